from dataclasses import replace

import numpy as np
import pytest

from convert.drawing.piece import draw_piece
from convert.drawing.set_symbols import agreed_symbols
from convert.drawing.symbols import symbols
from convert.palette.model import Palette
from convert.piece.pattern_file import parse_pattern, pattern_json
from tests.instructions.pieces import piece


def two_pieces():
    """A piece in four colours, most of them the first two, and a smaller one in the last two."""
    first = piece(np.ones((8, 9)), colours=4)
    colour = np.arange(first.weave.beads, dtype=np.int32) % 4
    colour[: len(colour) * 3 // 4] %= 2
    first = replace(first, bead_colour=colour)
    second = piece(np.ones((3, 3)), colours=2, seed=1)
    return first, replace(second, bead_colour=second.bead_colour + 2)


def drawn(pattern):
    return {colour.bead.code: colour.symbol for colour in draw_piece(pattern).colours}


def test_a_bead_has_one_symbol_on_every_chart():
    pieces = two_pieces()
    agreed = agreed_symbols(pieces)
    first, second = (drawn(replace(one, symbols=agreed)) for one in pieces)
    assert set(second) == {"LB", "BK"}
    assert all(first[code] == symbol for code, symbol in second.items())
    assert len(set(first.values())) == 4
    # By itself the second has the symbols that come first.
    assert drawn(pieces[1]) != second


def test_a_piece_alone_has_the_symbols_it_would_choose():
    (pattern, _) = two_pieces()
    assert drawn(replace(pattern, symbols=agreed_symbols([pattern]))) == drawn(pattern)


def test_one_code_in_two_colours_is_not_agreed_upon():
    pattern, other = two_pieces()
    entries = pattern.palette.entries
    twice = (
        replace(entries[0], size="11/0", hex="#112233"),
        replace(entries[1], code=entries[0].code, size="8/0"),
        *entries[2:],
    )
    assert agreed_symbols([replace(pattern, palette=Palette("twice", twice)), other]) == ()


@pytest.mark.parametrize("agreed", [(("WH", 3),), tuple((code, 10_000) for code in ("WH", "RG", "LB", "BK"))])
def test_what_does_not_tell_all_colours_apart_is_left_unheard(agreed):
    """As when a colour has been changed by hand, or a file says a symbol that there is not."""
    pattern, _ = two_pieces()
    assert drawn(replace(pattern, symbols=agreed)) == drawn(pattern)


def test_they_are_kept_in_the_pattern_file():
    pattern, other = two_pieces()
    agreed = agreed_symbols([pattern, other])
    assert max(number for _, number in agreed) < len(symbols())
    assert parse_pattern(pattern_json(replace(pattern, symbols=agreed)), "p").symbols == agreed
    assert '"symbols"' not in pattern_json(pattern)
