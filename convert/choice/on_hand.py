"""What is on hand of a palette, and what is said where it does not suffice."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from convert.choice.stock import Shortage
from convert.errors import StockError
from convert.palette.model import Palette
from convert.weave.beads import BeadSize
from convert.weave.model import IntArray

# Grams are told in tenths, rounded up.
_TENTHS = 10


def stock_of(palette: Palette, sizes: Sequence[BeadSize], allowed: Sequence[IntArray]) -> NDArray[np.int64]:
    """Return the beads on hand of each entry, shape (K,); 0 where the palette does not say.

    Grams of a colour for any size are counted as beads of the larger size, so that they surely suffice.

    Raises
    ------
    StockError
        The palette says of no entry what is on hand.
    """
    beads = np.zeros(len(palette.entries), np.int64)
    known = False
    for entry in np.unique(np.concatenate(allowed)).tolist():
        found = [
            palette.entries[entry].beads_on_hand(size.beads_per_gram)
            for size, offered in zip(sizes, allowed, strict=True)
            if entry in offered
        ]
        on_hand = [count for count in found if count is not None]
        if on_hand:
            known = True
            beads[entry] = min(on_hand)
    if not known:
        raise StockError(
            f"palette {palette.name} does not say what is on hand",
            "fill its column on_hand (beads) or on_hand_g (grams), or leave out --stock",
        )
    return beads


def too_few(
    lacking: Shortage,
    palette: Palette,
    sizes: Sequence[BeadSize],
    allowed: Sequence[IntArray],
    copies: int,
    pieces: Sequence[str],
) -> StockError:
    """Return the refusal, with the purchase that helps most.

    Parameters
    ----------
    lacking : Shortage
        What is missing.
    palette : Palette
        Bead colours.
    sizes : sequence of BeadSize
        The sizes that beads are missing in.
    allowed : sequence of ndarray of int
        Entries that come in each.
    copies : int
        How many times all that is missing.
    pieces : sequence of str
        What the piece is called that each size is of; empty where there is only one.
    """
    beads = (lacking.beads * copies).tolist()
    missing = " and ".join(
        f"{count:,} of {size.name}{' in ' * bool(piece)}{piece}"
        for size, piece, count in zip(sizes, pieces, beads, strict=True)
        if count
    )
    colour = palette.entries[lacking.entry]
    fits = [size for size in range(len(sizes)) if lacking.entry in allowed[size]]
    size = sizes[max(fits, key=lambda number: int(lacking.beads[number]))]
    grams = lacking.bought * copies / (colour.per_gram or size.beads_per_gram)
    grams = np.ceil(grams * _TENTHS - 1e-9) / _TENTHS
    named = f"{colour.code} {colour.name}".strip()
    whole, smaller = ("set", "pieces") if any(pieces) else ("piece", "the piece")
    return StockError(
        f"the beads on hand cannot fill the {whole}: {missing} are missing",
        f"what helps most is {grams:.1f} g of {named} in {size.name}; or make {smaller} smaller",
    )
