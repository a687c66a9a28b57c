import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.choice.blue_noise import thresholds
from convert.choice.dithering import _SLACK, _Options, _shares, mix_by_threshold, spread_error
from convert.colour.distances import CIEDE2000, DISTANCES, distance_named
from convert.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab
from convert.colour.matching import nearest
from convert.colour.srgb import decode
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours, independent_classes, row_order
from convert.weave.spacing import model_spacing

BLACK_AND_WHITE = np.array([[0, 0, 0], [255, 255, 255]], np.uint8)


class Piece:
    """A sheet with what dithering is told about it."""

    def __init__(self, rows, places, connectors="11/0"):
        sizes = bead_size("11/0"), bead_size(connectors)
        self.weave = sheet(np.ones((rows, places), bool), sizes, model_spacing(*sizes))
        self.neighbours = bead_neighbours(self.weave)
        self.order = row_order(self.weave, independent_classes(self.weave, self.neighbours))
        self.thresholds = thresholds(self.weave.bead_xy, self.weave.spacing.pitch_mm)

    def nearest(self, wanted, palette, allowed):
        index = np.empty(self.weave.beads, np.int32)
        for size, entries in enumerate(allowed):
            of_size = self.weave.bead_size == size
            index[of_size] = entries[
                nearest(linear_to_lab(wanted[of_size]), linear_to_lab(palette[entries]))[0]
            ]
        return index

    def dither(self, kind, wanted, palette, strength=1.0, allowed=None):
        every = np.arange(len(palette), dtype=np.int32)
        allowed = allowed or (every, every)
        first = self.nearest(wanted, palette, allowed)
        size = self.weave.bead_size
        if kind == "spread":
            return spread_error(first, wanted, palette, allowed, size, self.neighbours, self.order, strength)
        return mix_by_threshold(first, wanted, palette, allowed, size, self.thresholds, strength)


PIECES = {name: Piece(60, 50, name) for name in ("11/0", "15/0")}
KINDS = ["spread", "threshold"]


def grey(lightness, beads):
    return np.tile(np.clip(lab_to_linear([lightness, 0, 0]), 0, 1), (beads, 1))


def photograph(piece, seed=0):
    """Smooth colours that change across the piece."""
    draw = np.random.default_rng(seed)
    x, y = (piece.weave.bead_xy / piece.weave.bead_xy.max(axis=0)).T
    waves = [np.sin(draw.uniform(1, 6) * x + draw.uniform(1, 6) * y + draw.uniform(0, 6)) for _ in range(3)]
    return (np.stack(waves, axis=1) + 1) / 2


@pytest.mark.parametrize("kind", KINDS)
def test_strength_0_changes_nothing(kind):
    piece = PIECES["11/0"]
    wanted, palette = photograph(piece), decode(np.arange(36, dtype=np.uint8).reshape(12, 3) * 7)
    every = np.arange(12, dtype=np.int32)
    assert (piece.dither(kind, wanted, palette, 0.0) == piece.nearest(wanted, palette, (every, every))).all()


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_input_gives_the_same_beads(kind):
    piece = PIECES["11/0"]
    wanted, palette = photograph(piece), decode(np.arange(36, dtype=np.uint8).reshape(12, 3) * 7)
    assert (piece.dither(kind, wanted, palette) == piece.dither(kind, wanted, palette)).all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("connectors", list(PIECES))
@pytest.mark.parametrize("lightness", [15, 35, 50, 65, 80, 93])
def test_flat_grey_keeps_its_mean(kind, connectors, lightness):
    """Within 0.5 in L* of the light of black and white beads together."""
    piece = PIECES[connectors]
    palette = decode(BLACK_AND_WHITE)
    chosen = piece.dither(kind, grey(lightness, piece.weave.beads), palette)
    mean = linear_to_lab(palette[chosen].mean(axis=0))
    assert mean[0] == pytest.approx(lightness, abs=0.5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("lightness", [20, 35, 65, 80, 93])
def test_flat_grey_keeps_its_mean_with_colours_about(kind, lightness):
    piece = PIECES["11/0"]
    palette = decode(
        np.array([[10] * 3, [80] * 3, [240] * 3, [200, 30, 20], [20, 60, 170], [230, 200, 40]], np.uint8)
    )
    chosen = piece.dither(kind, grey(lightness, piece.weave.beads), palette)
    mean = linear_to_lab(palette[chosen].mean(axis=0))
    assert mean[0] == pytest.approx(lightness, abs=0.5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("lightness", [30, 50, 70])
def test_flat_grey_is_far_more_even_than_chance(kind, lightness):
    """In windows of 200 beads the share of white varies a little above half as much as with lots, or less."""
    piece = PIECES["11/0"]
    palette = decode(BLACK_AND_WHITE)
    white = piece.dither(kind, grey(lightness, piece.weave.beads), palette) == 1
    place = (piece.weave.bead_xy // (8 * piece.weave.spacing.pitch_mm)).astype(int)
    _, window = np.unique(place[:, 0] * 1000 + place[:, 1], return_inverse=True)
    count = np.bincount(window)
    full = count > 180
    share = (np.bincount(window, weights=white) / count)[full]
    chance = np.sqrt(white.mean() * (1 - white.mean()) / count[full].mean())
    assert share.std() < 0.6 * chance


@pytest.mark.parametrize("lightness", [30, 60])
def test_spreading_leans_neither_left_nor_right(lightness):
    """White follows white as often down to the left as down to the right."""
    piece = PIECES["11/0"]
    palette = decode(BLACK_AND_WHITE)
    white = piece.dither("spread", grey(lightness, piece.weave.beads), palette) == 1
    place = {
        tuple(xy): bead for bead, xy in enumerate(np.rint(piece.weave.bead_xy * 100).astype(int).tolist())
    }
    pitch = piece.weave.spacing.pitch_mm * 100
    meets = []
    for sideways in (-0.5, 0.5):
        step = np.array([sideways * pitch, pitch * np.sqrt(3) / 2])
        pairs = [
            (bead, place[there])
            for xy, bead in place.items()
            for there in [_near(place, np.array(xy) + step)]
            if there is not None
        ]
        a, b = np.array(pairs).T
        meets.append((white[a] & white[b]).mean())
    assert meets[0] == pytest.approx(meets[1], abs=0.25 * max(meets) + 0.005)


def _near(place, xy):
    for dx in (0, -1, 1):
        for dy in (0, -1, 1):
            there = (round(xy[0]) + dx, round(xy[1]) + dy)
            if there in place:
                return there
    return None


@pytest.mark.parametrize("kind", KINDS)
def test_each_size_takes_only_its_own_entries(kind):
    piece = PIECES["15/0"]
    palette = decode(np.random.default_rng(3).integers(0, 256, (20, 3)).astype(np.uint8))
    allowed = (np.arange(0, 12, dtype=np.int32), np.arange(8, 20, dtype=np.int32))
    chosen = piece.dither(kind, photograph(piece), palette, allowed=allowed)
    for size, entries in enumerate(allowed):
        assert set(chosen[piece.weave.bead_size == size].tolist()) <= set(entries.tolist())


@pytest.mark.parametrize("kind", KINDS)
def test_one_entry_is_all_there_is(kind):
    piece = PIECES["11/0"]
    assert (piece.dither(kind, photograph(piece), np.array([[0.2, 0.3, 0.1]])) == 0).all()


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("strength", "most"), [(0.5, 0.85), (1.0, 0.75)])
def test_the_light_of_a_picture_is_nearer_on_the_whole(kind, strength, most):
    """Over windows of 4 loops the mean light is nearer to the picture's than that of the nearest beads."""
    piece = PIECES["11/0"]
    wanted = photograph(piece) * 0.6 + 0.2
    palette = decode(np.random.default_rng(5).integers(0, 256, (24, 3)).astype(np.uint8))
    every = np.arange(24, dtype=np.int32)
    place = (piece.weave.bead_xy // (4 * piece.weave.spacing.pitch_mm)).astype(int)
    _, window = np.unique(place[:, 0] * 1000 + place[:, 1], return_inverse=True)

    def off(chosen):
        error = np.stack([np.bincount(window, weights=e) for e in (palette[chosen] - wanted).T], axis=1)
        return np.abs(error).sum()

    plain = off(piece.nearest(wanted, palette, (every, every)))
    assert off(piece.dither(kind, wanted, palette, strength)) < most * plain


@pytest.mark.parametrize("measure", [*DISTANCES.values(), distance_named("ciede2000", 1.8)])
@settings(deadline=None, max_examples=6, derandomize=True)
@given(seed=st.integers(0, 2**32 - 1))
def test_beads_at_a_time_are_as_one_after_the_other(measure, seed):
    """The same rule told bead by bead, pushing errors on instead of fetching them, gives the same beads."""
    piece = Piece(7, 6, "15/0")
    draw = np.random.default_rng(seed)
    wanted = draw.random((piece.weave.beads, 3))
    palette = draw.random((15, 3))
    allowed = (np.arange(0, 10, dtype=np.int32), np.arange(5, 15, dtype=np.int32))
    first = piece.nearest(wanted, palette, allowed)
    size = piece.weave.bead_size
    together = spread_error(
        first, wanted, palette, allowed, size, piece.neighbours, piece.order, 0.9, measure
    )

    share, _ = _shares(piece.neighbours, piece.order)
    options = _Options(palette, allowed, measure)
    limits = _SLACK * options.reach()
    received = np.zeros_like(wanted)
    for bead in sorted(range(piece.weave.beads), key=lambda bead: piece.order[bead]):
        limit = limits[size[bead], first[bead]]
        length = np.linalg.norm(received[bead])
        target = wanted[bead] + received[bead] * (limit / length if length > limit else 1)
        entry = options.nearest(target[None], size[[bead]])[0]
        assert entry == together[bead]
        error = 0.9 * (target - palette[entry])
        later = [
            (other, weight)
            for other, weight in zip(piece.neighbours[bead].tolist(), share[bead].tolist(), strict=True)
            if other >= 0 and piece.order[other] > piece.order[bead]
        ]
        for other, weight in later:
            received[other] += error * weight / sum(weight for _, weight in later)


@pytest.mark.parametrize("measure", [CIEDE2000, distance_named("ciede2000", 2.5)])
def test_the_shortlist_is_near_the_nearest(measure):
    """On random colours, harder than a picture's: four in five the very nearest, 7 % more off."""
    draw = np.random.default_rng(11)
    palette, colours = draw.random((200, 3)), draw.random((4000, 3))
    entries = np.arange(200, dtype=np.int32)
    exact, least = nearest(linear_to_lab(colours), linear_to_lab(palette), measure)
    options = _Options(palette, (entries,), measure)
    quick = options.nearest(colours, np.zeros(4000, np.uint8))
    assert (exact == quick).mean() > 0.75
    off = measure(linear_to_lab(colours), linear_to_lab(palette[quick]))
    assert off.mean() < 1.08 * least.mean()


def test_reach_of_black_and_white_is_from_their_middle_to_white():
    palette = decode(BLACK_AND_WHITE)
    middle = lab_to_linear(srgb_to_lab(BLACK_AND_WHITE).mean(axis=0))
    expected = np.linalg.norm(palette[1] - middle)
    options = _Options(palette, (np.arange(2, dtype=np.int32),), CIEDE2000)
    assert options.reach()[0] == pytest.approx([expected, expected])


@pytest.mark.parametrize("strength", [0.25, 0.5, 0.75])
def test_weaker_thresholds_mix_in_proportion(strength):
    """Black and white for a grey: the share of white ones is that of full strength, times the strength."""
    piece = PIECES["11/0"]
    wanted, palette = grey(45, piece.weave.beads), decode(BLACK_AND_WHITE)
    full = piece.dither("threshold", wanted, palette).mean()
    assert 0.1 < full < 0.5
    assert piece.dither("threshold", wanted, palette, strength).mean() == pytest.approx(
        strength * full, rel=0.03
    )


def test_neighbours_of_one_turn_leave_the_error_to_later_ones():
    """Beads 0 and 1 are chosen at a time, so bead 2 gets all of bead 0's error: black."""
    wanted = np.repeat([[0.5], [0.5], [0.68]], 3, axis=1)
    every = np.arange(2, dtype=np.int32)
    neighbours = np.array([[1, 2], [0, -1], [0, -1]], np.int32)
    chosen = spread_error(
        np.array([1, 1, 1], np.int32),
        wanted,
        decode(BLACK_AND_WHITE),
        (every,),
        np.zeros(3, np.uint8),
        neighbours,
        np.array([0, 0, 1]),
        1.0,
    )
    # 0.68 - 0.5 is below L* 50, half way from black to white, which is 0.184 in linear light.
    assert chosen.tolist() == [1, 1, 0]


def test_shares_are_uneven_from_0_3_to_1_3():
    """Of a ring of beads each has a share in its two neighbours; to the later ones it hands all of it."""
    beads = 20_000
    number = np.arange(beads, dtype=np.int32)
    ring = np.stack([np.roll(number, 1), np.roll(number, -1)], axis=1)
    share, total = _shares(ring, number.astype(np.int64))
    assert (share.min(), share.max()) == pytest.approx((0.3, 1.3), abs=1e-3)
    assert share.mean() == pytest.approx(0.8, abs=0.01)
    # What one gives the other takes.
    assert share[1:, 0] == pytest.approx(share[:-1, 1])
    assert total[1:-1] == pytest.approx(share[1:-1, 1])
    assert (total[0], total[-1]) == pytest.approx((share[0].sum(), 0))


@pytest.mark.parametrize(
    ("kind", "few", "seen"),
    [
        ("spread", 7, 3765031283),
        ("spread", 30, 1938726860),
        ("threshold", 7, 347939678),
        ("threshold", 30, 2576728390),
    ],
)
def test_a_piece_woven_again_is_the_same_bead_for_bead(kind, few, seen):
    """Whoever changes a rule or a number of it should know that every dithered piece changes by it."""
    piece = Piece(24, 20, "15/0")
    palette = np.random.default_rng(8).random((60, 3))
    allowed = np.arange(few, dtype=np.int32), np.arange(few - 3, 60, dtype=np.int32)
    chosen = piece.dither(kind, photograph(piece, 4), palette, allowed=allowed)
    assert zlib.crc32(chosen.astype("<i4").tobytes()) == seen


def test_a_size_of_one_entry_leaves_the_other_its_mixture():
    piece = Piece(12, 10, "15/0")
    palette = decode(BLACK_AND_WHITE)
    allowed = np.array([0], np.int32), np.arange(2, dtype=np.int32)
    chosen = piece.dither("threshold", grey(50, piece.weave.beads), palette, allowed=allowed)
    assert (chosen[piece.weave.bead_size == 0] == 0).all()
    assert 0.05 < chosen[piece.weave.bead_size == 1].mean() < 0.5
