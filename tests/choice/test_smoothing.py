import itertools
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.choice.smoothing import _PRICE, Unrest, smooth, unrest
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours, independent_classes
from convert.weave.spacing import model_spacing


class Piece:
    def __init__(self, rows, places, connectors="11/0"):
        sizes = bead_size("11/0"), bead_size(connectors)
        self.weave = sheet(np.ones((rows, places), bool), sizes, model_spacing(*sizes))
        self.neighbours = bead_neighbours(self.weave)
        self.classes = independent_classes(self.weave, self.neighbours)

    def pairs(self):
        bead, column = np.nonzero(self.neighbours >= 0)
        other = self.neighbours[bead, column]
        return np.stack([bead, other], axis=1)[bead < other]

    def energy(self, chosen, wanted, palette, strength, colour=None):
        off = ciede2000(wanted, palette[chosen]) ** 2
        seen = chosen if colour is None else colour[chosen]
        a, b = self.pairs().T
        return off.sum() + strength * _PRICE * (seen[a] != seen[b]).sum()

    def smooth(self, chosen, wanted, palette, strength, allowed=None, colour=None):
        every = np.arange(len(palette), dtype=np.int32)
        return smooth(
            chosen,
            wanted,
            palette,
            every if colour is None else colour,
            allowed or (every, every),
            self.weave.bead_size,
            self.neighbours,
            self.classes,
            strength,
        )


def noisy(piece, seed):
    """Colours and a palette in which the nearest beads change from bead to bead."""
    draw = np.random.default_rng(seed)
    wanted = srgb_to_lab(draw.integers(90, 160, (piece.weave.beads, 3)).astype(np.uint8))
    palette = srgb_to_lab(draw.integers(60, 190, (9, 3)).astype(np.uint8))
    return wanted, palette, nearest(wanted, palette)[0]


def test_strength_0_changes_nothing():
    piece = Piece(8, 8)
    wanted, palette, chosen = noisy(piece, 1)
    assert (piece.smooth(chosen, wanted, palette, 0.0) == chosen).all()


def test_a_lone_bead_that_hardly_differs_is_taken_in():
    piece = Piece(6, 6)
    palette = np.array([[50.0, 0, 0], [54, 0, 0]])
    wanted = np.tile(palette[0], (piece.weave.beads, 1))
    lone = int(np.flatnonzero(~piece.weave.rim_beads)[7])
    wanted[lone] = palette[1]
    chosen = nearest(wanted, palette)[0]
    assert unrest(chosen, piece.neighbours) == Unrest(1, 4, len(piece.pairs()))
    calm = piece.smooth(chosen, wanted, palette, 0.5)
    assert (calm == 0).all()
    assert unrest(calm, piece.neighbours) == Unrest(0, 0, len(piece.pairs()))


def test_a_lone_bead_that_matters_is_kept():
    """The eye of a water bird: a black bead among white ones, at full strength."""
    piece = Piece(6, 6)
    palette = np.array([[95.0, 0, 0], [10, 0, 0]])
    wanted = np.tile(palette[0], (piece.weave.beads, 1))
    wanted[40] = palette[1]
    chosen = nearest(wanted, palette)[0]
    assert (piece.smooth(chosen, wanted, palette, 1.0) == chosen).all()


@settings(deadline=None, max_examples=15, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1), strength=st.sampled_from([0.1, 0.4, 1.0]))
def test_energy_falls_to_where_no_single_bead_can_lower_it(seed, strength):
    piece = Piece(5, 4, "15/0")
    wanted, palette, chosen = noisy(piece, seed)
    calm = piece.smooth(chosen, wanted, palette, strength)
    least = piece.energy(calm, wanted, palette, strength)
    assert least <= piece.energy(chosen, wanted, palette, strength) + 1e-9
    for bead, entry in itertools.product(range(piece.weave.beads), range(len(palette))):
        other = calm.copy()
        other[bead] = entry
        assert piece.energy(other, wanted, palette, strength) >= least - 1e-9


def test_stronger_is_calmer():
    piece = Piece(30, 30)
    wanted, palette, chosen = noisy(piece, 3)
    counts = [
        unrest(piece.smooth(chosen, wanted, palette, strength), piece.neighbours)
        for strength in (0.0, 0.1, 0.3, 1.0)
    ]
    assert [c.changes for c in counts] == sorted((c.changes for c in counts), reverse=True)
    assert counts[-1].lone < counts[0].lone / 2


def test_each_size_takes_only_its_own_entries():
    piece = Piece(12, 12, "15/0")
    wanted, palette, _ = noisy(piece, 4)
    allowed = (np.arange(6, dtype=np.int32), np.arange(3, 9, dtype=np.int32))
    chosen = np.empty(piece.weave.beads, np.int32)
    for size, entries in enumerate(allowed):
        of_size = piece.weave.bead_size == size
        chosen[of_size] = entries[nearest(wanted[of_size], palette[entries])[0]]
    calm = piece.smooth(chosen, wanted, palette, 1.0, allowed)
    assert (calm != chosen).any()
    for size, entries in enumerate(allowed):
        assert set(calm[piece.weave.bead_size == size].tolist()) <= set(entries.tolist())


def listed_by_size(piece, seed):
    """A palette that lists its colours once a size, some in one size only, in mixed order."""
    draw = np.random.default_rng(seed)
    wanted, colours, _ = noisy(piece, seed)
    # Of nine colours six come in both sizes, and so have two entries; two in the first, one in the second.
    listed = [(number, size) for number in range(6) for size in (0, 1)] + [(6, 0), (7, 0), (8, 1)]
    colour, size = np.array(listed, np.int32)[draw.permutation(len(listed))].T
    palette = colours[colour]
    allowed = tuple(np.flatnonzero(size == which).astype(np.int32) for which in (0, 1))
    chosen = np.empty(piece.weave.beads, np.int32)
    for which, entries in enumerate(allowed):
        of_size = piece.weave.bead_size == which
        chosen[of_size] = entries[nearest(wanted[of_size], palette[entries])[0]]
    return wanted, palette, colour, allowed, chosen


@settings(deadline=None, max_examples=15, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1), strength=st.sampled_from([0.1, 0.4, 1.0]))
def test_a_colour_listed_once_a_size_is_one_colour(seed, strength):
    """No bead can lower the energy by another entry of its size; brute force over all of them."""
    piece = Piece(5, 4, "15/0")
    wanted, palette, colour, allowed, chosen = listed_by_size(piece, seed)
    calm = piece.smooth(chosen, wanted, palette, strength, allowed, colour)
    least = piece.energy(calm, wanted, palette, strength, colour)
    assert least <= piece.energy(chosen, wanted, palette, strength, colour) + 1e-9
    for bead, size in enumerate(piece.weave.bead_size.tolist()):
        assert calm[bead] in allowed[size]
        for entry in allowed[size].tolist():
            other = calm.copy()
            other[bead] = entry
            assert piece.energy(other, wanted, palette, strength, colour) >= least - 1e-9


@settings(deadline=None, max_examples=15, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1), strength=st.sampled_from([0.1, 0.4, 1.0]))
def test_two_sizes_are_smoothed_as_one_where_all_colours_come_in_both(seed, strength):
    piece = Piece(7, 6, "15/0")
    wanted, colours, chosen = noisy(piece, seed)
    count = len(colours)
    plain = piece.smooth(chosen, wanted, colours, strength)
    entries = np.arange(2 * count, dtype=np.int32)
    first = count * piece.weave.bead_size.astype(np.int32)
    twice = piece.smooth(
        chosen + first,
        wanted,
        np.tile(colours, (2, 1)),
        strength,
        (entries[:count], entries[count:]),
        entries % count,
    )
    assert np.array_equal(twice, plain + first)


@pytest.mark.parametrize("seed", range(3))
def test_unrest_counts_as_by_hand(seed):
    piece = Piece(4, 5)
    chosen = np.random.default_rng(seed).integers(0, 3, piece.weave.beads).astype(np.int32)
    a, b = piece.pairs().T
    like = {bead for pair in np.stack([a, b], 1)[chosen[a] == chosen[b]].tolist() for bead in pair}
    expected = Unrest(piece.weave.beads - len(like), int((chosen[a] != chosen[b]).sum()), len(a))
    assert unrest(chosen, piece.neighbours) == expected


def test_a_bead_without_neighbours_is_not_lone():
    alone = np.full((1, 4), -1, np.int32)
    assert unrest(np.zeros(1, np.int32), alone) == Unrest(lone=0, changes=0, pairs=0)


def test_a_calm_piece_is_not_looked_over_again():
    """One look at how far off its beads are, and no sweep; an unrest takes a look for each class."""
    looked = []

    def measure(standard, sample):
        looked.append(len(standard))
        return ciede2000(standard, sample)

    piece = Piece(6, 6)
    every = np.arange(2, dtype=np.int32)
    palette = np.array([[50.0, 0, 0], [54, 0, 0]])
    wanted = np.tile(palette[0], (piece.weave.beads, 1))
    rest = (every, (every, every), piece.weave.bead_size, piece.neighbours, piece.classes, 0.5, measure)
    smooth(np.zeros(piece.weave.beads, np.int32), wanted, palette, *rest)
    assert looked == [piece.weave.beads]
    looked.clear()
    lone = int(np.flatnonzero(~piece.weave.rim_beads)[7])
    wanted[lone] = palette[1]
    chosen = np.zeros(piece.weave.beads, np.int32)
    chosen[lone] = 1
    smooth(chosen, wanted, palette, *rest)
    assert (len(looked) - 1) % (int(piece.classes.max()) + 1) == 0
    assert sum(looked[1:]) <= 30


@pytest.mark.parametrize(("strength", "seen"), [(0.3, 1609304330), (1.0, 3670258379)])
def test_a_piece_smoothed_again_is_the_same_bead_for_bead(strength, seen):
    """Class by class, so that no two neighbours change at once; another order ends in other beads."""
    piece = Piece(20, 20)
    wanted, palette, chosen = noisy(piece, 3)
    assert zlib.crc32(piece.smooth(chosen, wanted, palette, strength).astype("<i4").tobytes()) == seen
