import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter
from skimage import color, data
from skimage.draw import polygon

from convert import compare_colours, make_panel
from convert.choice.choosing import choose, stock_of
from convert.choice.pooling import Pooling, groups_apart
from convert.choice.refining import refine
from convert.choice.search import Eye, Search, _Lone
from convert.choice.sight import Sight
from convert.choice.smoothing import unrest
from convert.choice.swapping import within_stock
from convert.colour.distances import DISTANCES
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.colour.matching import nearest
from convert.colour.scielab import OPPONENT_OF_LINEAR
from convert.palette.model import Palette
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path
from convert.picture.model import Picture
from convert.settings.colour import ColourSettings
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours
from convert.weave.spacing import model_spacing
from tests.panels import panel, panel_options

ONE_SIZE = (bead_size("11/0"),) * 2
TWO_SIZES = (bead_size("11/0"), bead_size("8/0"))


def weave_of(rows, places, sizes=ONE_SIZE):
    return sheet(np.ones((rows, places), bool), sizes, model_spacing(*sizes))


def pooling_of(weave, distance_mm=1000.0):
    return Pooling(weave.bead_xy, float(weave.cell_mm2.mean()), distance_mm)


# Table 1 of Zhang and Wandell (1997): for each channel weights and spreads in degrees of the Gaussians
# w k exp(-(x^2 + y^2) / s^2); and their opponent channels of XYZ, the last number of red-green with the sign
# of their program. All from memory, and written down here once more on purpose.
TABLE_1 = [
    [(0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336)],
    [(0.531, 0.0392), (0.330, 0.494)],
    [(0.488, 0.0536), (0.371, 0.386)],
]
CHANNELS = np.array([[0.279, 0.72, -0.107], [-0.449, 0.29, 0.077], [0.086, -0.59, 0.501]])
PIXELS_PER_MM = 3.0


def painted(weave, rgb):
    """The piece as flat cells on a raster, by scikit-image's polygons; and which pixels are the piece's."""
    corners = (weave.cells - weave.cells.reshape(-1, 2).min(axis=0)) * PIXELS_PER_MM
    width, height = np.ceil(corners.reshape(-1, 2).max(axis=0)).astype(int) + 1
    cell = np.full((height, width), -1)
    for bead, cell_px in enumerate(corners):
        rows, columns = polygon(cell_px[:, 1], cell_px[:, 0], cell.shape)
        cell[rows, columns] = bead
    return np.vstack([rgb, rgb.mean(axis=0)])[cell], cell


def blurred(linear, distance_mm):
    """Opponent channels under the filters of the table, by scipy."""
    xyz = linear @ color.colorconv.xyz_from_rgb.T
    opponent = xyz @ CHANNELS.T
    degree = math.tan(math.radians(1)) * distance_mm * PIXELS_PER_MM
    seen = np.zeros_like(opponent)
    for channel, gaussians in enumerate(TABLE_1):
        for weight, spread in gaussians:
            part = gaussian_filter(opponent[..., channel], spread / math.sqrt(2) * degree, truncate=4)
            seen[..., channel] += weight / sum(w for w, _ in gaussians) * part
    return seen


def seen_lab(weave, rgb, distance_mm=1000.0):
    linear, cell = painted(weave, rgb)
    xyz = np.maximum(blurred(linear, distance_mm) @ np.linalg.inv(CHANNELS).T, 0)
    return color.xyz2lab(xyz)[cell >= 0]


def figure(weave, wanted, beads):
    """Mean S-CIELAB difference from a metre, by CIEDE2000 (Johnson, Fairchild 2003)."""
    return color.deltaE_ciede2000(seen_lab(weave, wanted), seen_lab(weave, beads)).mean()


@pytest.fixture(scope="module")
def shelf():
    return read_palette(palette_path("workshop-shelf"))[0]


@pytest.fixture(scope="module", params=["coffee", "chelsea"])
def photograph(request):
    """A real photograph in 24 colours of the range, nearest, spread and searched."""
    palette = read_palette(palette_path("lakeside-range"))[0]
    picture = Picture(request.param, getattr(data, request.param)().copy())
    results = {
        name: panel(picture, palette, panel_options(*ONE_SIZE, across=24, colours=24, **setting))
        for name, setting in {
            "none": {},
            "spread": {"dither": 0.5},
            "search": {"dither": 0.5, "dither_kind": "search"},
        }.items()
    }
    pattern = results["none"].pattern
    light = np.clip(lab_to_linear(pattern.palette.labs()), 0, 1)
    neighbours, colours = bead_neighbours(pattern.weave), pattern.palette.colour_numbers()
    found = {}
    for name, result in results.items():
        chosen = result.pattern.bead_colour
        seen = figure(pattern.weave, result.wanted, light[chosen])
        found[name] = seen, unrest(colours[chosen], neighbours).lone, chosen
    return found


def test_is_nearer_from_afar_than_spread_by_the_paper_and_has_fewer_lone_beads(photograph):
    (none, *_), (spread, lone, _), (searched, its_lone, _) = (
        photograph[name] for name in ("none", "spread", "search")
    )
    assert searched < 0.9 * min(none, spread)
    assert its_lone <= lone


def test_takes_no_more_colours_than_were_asked_for(photograph):
    assert len(np.unique(photograph["search"][2])) <= 24


def test_is_the_same_each_time():
    weave, wanted, palette, plain, every = flat_piece()
    one, other = (
        refine(weave, plain, wanted, palette, every, (every, every), dither=0.7, dither_kind="search")
        for _ in range(2)
    )
    assert (one == other).all()
    assert (one != plain).mean() > 0.2


def flat_piece():
    """A sheet of one brownish grey, and a palette that has nothing near it."""
    weave = weave_of(24, 20)
    wanted = np.tile(lab_to_linear([52.0, 6, 9]), (weave.beads, 1))
    palette = lab_to_linear(np.array([[40.0, 2, 4], [64, 10, 14], [52, 30, -10], [50, -25, 30], [55, 0, 0]]))
    plain, _ = nearest(linear_to_lab(wanted), linear_to_lab(palette))
    return weave, wanted, palette, plain, np.arange(len(palette), dtype=np.int32)


def test_mixes_what_the_palette_does_not_have():
    """A flat sheet of mixed beads comes nearer to a colour that none of them has, the more so from afar."""
    weave, wanted, palette, plain, every = flat_piece()
    mixed = refine(weave, plain, wanted, palette, every, (every, every), dither=1.0, dither_kind="search")
    left = []
    for distance_mm in (1000.0, 2500.0):
        before, after = (
            color.deltaE_ciede2000(
                seen_lab(weave, wanted, distance_mm),
                seen_lab(weave, np.clip(palette[chosen], 0, 1), distance_mm),
            ).mean()
            for chosen in (plain, mixed)
        )
        left.append(after / before)
    assert left[1] < left[0] < 0.9


def search_of(weave, wanted, palette, every, distance_mm=1000.0):
    eye = Eye.at(weave.bead_xy, float(weave.cell_mm2.mean()), distance_mm)
    neighbours = bead_neighbours(weave)
    return Search(wanted, palette, every, weave.bead_size, eye, neighbours, DISTANCES["ciede2000"])


def test_looks_from_the_distance_that_it_is_asked_for():
    """What is searched for from three metres is closer from there than what is searched for from a foot."""
    weave, wanted, palette, plain, every = flat_piece()
    close, far = (
        search_of(weave, wanted, palette, every, distance_mm).beads(plain, (every, every), 1.0)
        for distance_mm in (300.0, 3000.0)
    )
    seen_close, seen_far = (
        color.deltaE_ciede2000(
            seen_lab(weave, wanted, 3000.0), seen_lab(weave, np.clip(palette[chosen], 0, 1), 3000.0)
        ).mean()
        for chosen in (close, far)
    )
    assert seen_far < 0.8 * seen_close


@pytest.mark.parametrize("distance_m", [1e-4, 1e4])
def test_the_distance_may_be_anything(distance_m):
    weave, wanted, palette, plain, every = flat_piece()
    chosen = search_of(weave, wanted, palette, every, distance_m * 1000).beads(plain, (every, every), 1.0)
    if distance_m < 1:
        # So close no bead makes up for another.
        assert (chosen == plain).all()
    assert np.isin(chosen, every).all()


def test_the_view_distance_of_the_options_gets_through(shelf):
    """Of a panel and of the sheet of colours."""
    picture = Picture("coffee", data.coffee()[::4, ::4].copy())
    options = panel_options(*ONE_SIZE, across=14, dither=0.5, dither_kind="search", colours=8)
    close, far = (
        make_panel(picture, shelf, replace(options, view_distance_m=metres)).pattern.bead_colour
        for metres in (0.2, 3.0)
    )
    assert (close != far).mean() > 0.05
    sheets = (
        {
            one.rung.colours: one.rung.chosen
            for one in compare_colours(picture, shelf, replace(options, view_distance_m=metres)).candidates
        }
        for metres in (0.2, 3.0)
    )
    one, other = sheets
    assert any((one[count] != other[count]).any() for count in one.keys() & other.keys())


class TestFewColoursThatMix:
    """The number of colours is held, and they are those that mix best, not those that lie nearest."""

    def choices(self, **more):
        weave = weave_of(24, 20)
        draw = np.random.default_rng(3)
        # Greys and browns that lie between the colours of the palette.
        wanted = lab_to_linear(
            np.array([52.0, 4, 6]) + draw.uniform(-14, 14, (weave.beads, 3)) * [1, 0.5, 0.5]
        )
        palette = read_palette(palette_path("lakeside-range"))[0]
        palette = Palette("range", tuple(entry for entry in palette.entries if entry.size == "11/0")[::3])
        settings = ColourSettings(colours=6, dither=1.0, dither_kind="search", **more)
        return weave, wanted, palette, settings

    def test_closer_than_the_nearest_few_mixed(self):
        """A cup of coffee in 16 colours, beside the same search in the 16 that lie nearest."""
        palette = read_palette(palette_path("lakeside-range"))[0]
        picture = Picture("coffee", data.coffee().copy())
        plain, searched = (
            panel(picture, palette, panel_options(*ONE_SIZE, across=24, colours=16, **setting))
            for setting in ({}, {"dither": 0.5, "dither_kind": "search"})
        )
        weave, palette, nearest_few = plain.pattern.weave, plain.pattern.palette, plain.pattern.bead_colour
        few, light = np.unique(nearest_few), lab_to_linear(palette.labs())
        mixed = refine(
            weave,
            nearest_few,
            plain.wanted,
            light,
            palette.colour_numbers(),
            (few, few),
            dither=0.5,
            dither_kind="search",
        )
        chosen = searched.pattern.bead_colour
        assert len(np.unique(chosen)) <= 16
        its_figure, other = (
            figure(weave, plain.wanted, np.clip(light[one], 0, 1)) for one in (chosen, mixed)
        )
        assert its_figure < 0.99 * other

    def test_keeps_what_is_to_be_kept_and_avoids_what_is_not(self):
        weave, wanted, palette, settings = self.choices()
        codes = [entry.code for entry in palette.entries]
        chosen = choose(wanted, weave, palette, settings).chosen
        favourite = codes[np.bincount(chosen).argmax()]
        without = choose(wanted, weave, palette, replace(settings, avoid=(favourite,)))
        assert codes.index(favourite) not in without.chosen
        kept = codes[(codes.index(favourite) + 1) % len(codes)]
        choice = choose(wanted, weave, palette, replace(settings, keep=(kept,)))
        assert len(np.unique(choice.chosen)) <= 6
        assert codes.index(kept) in choice.chosen or any(kept in note for note in choice.notes)

    @pytest.mark.parametrize("count", [1, 500])
    def test_any_number_will_do(self, count):
        weave, wanted, palette, settings = self.choices()
        choice = choose(wanted, weave, palette, replace(settings, colours=count))
        assert len(np.unique(choice.chosen)) <= count

    def test_is_the_same_each_time(self):
        weave, wanted, palette, settings = self.choices()
        one, other = (choose(wanted, weave, palette, settings).chosen for _ in range(2))
        assert (one == other).all()


def test_strength_0_changes_nothing_and_little_strength_little():
    weave, wanted, palette, plain, every = flat_piece()
    search = search_of(weave, wanted, palette, every)
    changed = [
        (search.beads(plain, (every, every), strength) != plain).mean() for strength in (0.0, 0.02, 1.0)
    ]
    assert changed[0] == 0
    assert changed[1] < 0.5 * changed[2]


def test_a_search_made_ready_once_finds_what_a_new_one_finds():
    weave, wanted, palette, plain, every = flat_piece()
    ready = search_of(weave, wanted, palette, every)
    other = every[:2]
    ready.beads(plain, (every, every), 1.0)
    again = ready.beads(np.zeros_like(plain), (other, other), 0.5)
    fresh = search_of(weave, wanted, palette, every).beads(np.zeros_like(plain), (other, other), 0.5)
    assert (again == fresh).all()
    assert np.isin(again, other).all()


def test_beads_are_looked_at_as_often_as_said():
    weave, wanted, palette, plain, every = flat_piece()
    search = search_of(weave, wanted, palette, every)
    looked = [search.beads(plain, (every, every), 1.0, most_sweeps=sweeps) for sweeps in (0, 1, 8)]
    assert (looked[0] == plain).all()
    off = [figure(weave, wanted, np.clip(palette[chosen], 0, 1)) for chosen in looked]
    assert max(off[1:]) < 0.9 * off[0]
    assert (looked[1] != looked[2]).any()


@pytest.mark.parametrize("distance", sorted(DISTANCES))
def test_every_distance_will_do(distance):
    weave, wanted, palette, plain, every = flat_piece()
    mixed = refine(
        weave,
        plain,
        wanted,
        palette,
        every,
        (every, every),
        dither=1.0,
        dither_kind="search",
        measure=DISTANCES[distance],
    )
    light = np.clip(palette, 0, 1)
    assert figure(weave, wanted, light[mixed]) < 0.95 * figure(weave, wanted, light[plain])


class TestPooling:
    weave = weave_of(16, 14)

    @pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES])
    def test_even_beads_are_seen_as_they_are(self, sizes):
        weave = weave_of(9, 12, sizes)
        even = np.tile([0.3, -0.1, 0.2], (weave.beads, 1))
        assert pooling_of(weave).seen(even) == pytest.approx(even, abs=1e-5)

    @pytest.mark.parametrize("distance_mm", [1000.0, 3000.0])
    def test_beads_are_seen_as_the_filters_of_the_paper_show_their_cells(self, distance_mm):
        """Against the mean over each cell of the raster that scipy has blurred, away from the rim.

        Cells are not quite Gaussians, so that it is the same but for a part.
        """
        beads = np.random.default_rng(4).random((self.weave.beads, 3))
        linear, cell = painted(self.weave, beads)
        expected = np.stack(
            [
                np.bincount(cell.ravel() + 1, channel.ravel())[1:] / np.bincount(cell.ravel() + 1)[1:]
                for channel in np.moveaxis(blurred(linear, distance_mm), -1, 0)
            ],
            axis=1,
        )
        found = pooling_of(self.weave, distance_mm).seen(beads @ OPPONENT_OF_LINEAR.T)
        x, y = self.weave.bead_xy.T
        inside = (x > 9) & (x < x.max() - 9) & (y > 9) & (y < y.max() - 9)
        off = (found - expected)[inside].std(axis=0)
        assert (off < 0.4 * expected[inside].std(axis=0)).all()
        for one, other in zip(found[inside].T, expected[inside].T, strict=True):
            assert np.corrcoef(one, other)[0, 1] > 0.93

    def test_nearest_site_is_the_bead_itself(self):
        pooling = pooling_of(self.weave)
        assert (pooling.sites[:, 0] == np.arange(self.weave.beads)).all()
        # From a metre a bead is mostly seen at its own place, its colour less so than its light.
        own = pooling.weights[:, 0].mean(axis=0)
        assert own[0] > 0.6 > own[1]
        assert (pooling.weights[pooling.sites == self.weave.beads] == 0).all()


def test_groups_come_in_no_order():
    """Else a change would run through the piece: one after the other they lie as often above as below."""
    weave = weave_of(60, 60, ONE_SIZE)
    groups = groups_apart(weave.bead_xy, 20.0, 1.3)
    first = np.array([group.min() for group in groups])
    assert len(groups) > 100
    assert 0.4 < (np.diff(first) > 0).mean() < 0.6


def test_groups_are_apart_and_hold_every_bead_once():
    weave = weave_of(20, 20, TWO_SIZES)
    groups = groups_apart(weave.bead_xy, 9.0, 1.5)
    assert np.array_equal(np.sort(np.concatenate(groups)), np.arange(weave.beads))
    for group in groups:
        xy = weave.bead_xy[group]
        apart = np.hypot(*(xy[:, None] - xy).transpose(2, 0, 1))
        assert apart[~np.eye(len(xy), dtype=bool)].min(initial=np.inf) >= 9.0
    # A group shares no neighbour, nor a neighbour's neighbour.
    neighbours = bead_neighbours(weave)
    for group in Eye.at(weave.bead_xy, float(weave.cell_mm2.mean()), 1000.0).groups:
        near = np.concatenate([group[:, None], neighbours[group]], axis=1)
        near = near[near >= 0]
        assert len(np.unique(near)) == len(near)


class TestSight:
    weave = weave_of(12, 12)

    def sight(self, distance="ciede2000"):
        draw = np.random.default_rng(5)
        wanted = draw.uniform(0.1, 0.6, (self.weave.beads, 3))
        palette = draw.uniform(0.05, 0.8, (12, 3))
        chosen = draw.integers(0, 12, self.weave.beads).astype(np.int32)
        sight = Sight(pooling_of(self.weave), wanted, palette, DISTANCES[distance])
        sight.show(chosen)
        return sight, wanted, palette

    def total(self, sight):
        """The sum of differences, each reckoned in full, of all beads."""
        beads = np.arange(self.weave.beads)
        return float(sight.differences(beads, sight.chosen[:, None], 1).sum(dtype=np.float64))

    def test_tells_what_a_change_makes_of_the_sum(self):
        sight, _, _ = self.sight()
        sight.look()
        bead = np.array([self.weave.beads // 2])
        entries = np.arange(12, dtype=np.int32)[None]
        told = sight.differences(bead, entries, 5)[0]
        before, had = self.total(sight), sight.chosen[bead].copy()
        for entry in range(12):
            sight.change(bead, np.array([entry], np.int32))
            change = self.total(sight) - before
            assert told[entry] - told[had[0]] == pytest.approx(change, abs=0.05 * float(np.ptp(told)))
            sight.change(bead, had)

    def test_changes_come_to_what_is_seen_anew(self):
        sight, _, _ = self.sight()
        sight.look()
        draw = np.random.default_rng(6)
        beads = draw.permutation(self.weave.beads)[:40]
        sight.change(beads, draw.integers(0, 12, 40).astype(np.int32))
        light, slope = sight._light.copy(), sight._slope.copy()
        sight.look()
        # What comes from far off is brought up to date only when the piece is looked at.
        assert light[:, :-1] == pytest.approx(sight._light[:, :-1], abs=0.02)
        assert np.corrcoef(slope.ravel(), sight._slope.ravel())[0, 1] > 0.99

    @pytest.mark.parametrize(
        ("distance", "formula"),
        [
            ("ciede2000", color.deltaE_ciede2000),
            ("cie94", color.deltaE_ciede94),
            ("cie76", color.deltaE_cie76),
        ],
    )
    def test_small_differences_are_those_of_the_formula(self, distance, formula):
        """Beads a little off all over, against scikit-image's formulas; without a veil and with 15%."""
        draw = np.random.default_rng(7)
        wanted = np.tile(draw.uniform(0.1, 0.6, (1, 3)), (self.weave.beads, 1))
        palette = wanted[:1] * draw.uniform(0.93, 1.07, (8, 3))
        for entry in range(8):
            chosen = np.full(self.weave.beads, entry, np.int32)
            sight = Sight(pooling_of(self.weave), wanted, palette, DISTANCES[distance])
            sight.show(chosen)
            sight.look()
            expected = 0.0
            for count, veil in ((0.3, 0.0), (0.7, 0.15)):
                a, b = (
                    color.rgb2lab(encoded((1 - veil) * light + veil))
                    for light in (wanted[:1], palette[entry : entry + 1])
                )
                expected += count * formula(a, b)[0]
            assert self.total(sight) / self.weave.beads == pytest.approx(expected, rel=0.12)


def encoded(linear):
    return np.where(linear > 0.0031308, 1.055 * linear ** (1 / 2.4) - 0.055, 12.92 * linear)


@pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES])
def test_counts_lone_beads_as_they_come_out(sizes):
    weave = weave_of(7, 7, sizes)
    neighbours = bead_neighbours(weave)
    draw = np.random.default_rng(8)
    colour = np.array([0, 1, 2, 0, 1, 2], np.int32)
    chosen = draw.integers(0, 6, weave.beads).astype(np.int32)
    lone = _Lone(colour, neighbours)
    entries = np.arange(6, dtype=np.int32)
    for bead in range(weave.beads):
        told = lone.made(chosen, np.array([bead]), entries[None])[0]
        counted = []
        for entry in entries:
            trial = chosen.copy()
            trial[bead] = entry
            counted.append(unrest(colour[trial], neighbours).lone)
        assert (told - told[0]).tolist() == (np.array(counted) - counted[0]).tolist()


class TestStock:
    def test_no_swap_uses_more_than_there_is_or_costs_more(self):
        draw = np.random.default_rng(9)
        for _ in range(200):
            beads, count = draw.integers(1, 40), draw.integers(1, 8)
            entries = np.sort(draw.permutation(20)[:count]).astype(np.int32)
            held = draw.choice(entries, beads)
            spare = draw.integers(0, 3, 20)
            price = draw.uniform(0, 10, (beads, count))
            left = spare.copy()
            taken = within_stock(price, held, entries, left)
            on_hand = spare + np.bincount(held, minlength=20)
            assert (np.bincount(taken, minlength=20) + left == on_hand).all()
            assert (left >= 0).all()
            rows = np.arange(beads)
            before, after = (price[rows, np.searchsorted(entries, one)].sum() for one in (held, taken))
            assert after <= before

    def test_two_beads_that_want_each_others_change_places(self):
        price = np.array([[1.0, 0.0], [0.0, 1.0]])
        entries = np.array([3, 7], np.int32)
        taken = within_stock(price, entries.copy(), entries, np.zeros(9, np.int64))
        assert taken.tolist() == [7, 3]

    @pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES])
    @pytest.mark.parametrize("edge", ["plain", "points"])
    def test_never_more_than_on_hand_and_nearer_from_afar(self, shelf, sizes, edge):
        picture = Picture("astronaut", data.astronaut().copy())
        options = panel_options(*sizes, across=16, edge=edge, stock=True)
        before = panel(picture, shelf, options)
        # The shelf made so bare that many colours run out.
        used = np.bincount(before.pattern.bead_colour, minlength=len(before.pattern.palette.entries))
        bare = Palette(
            "bare",
            tuple(
                replace(entry, on_hand=int(count * 0.6) + 40, on_hand_g=None)
                for entry, count in zip(before.pattern.palette.entries, used, strict=True)
            ),
        )
        before = panel(picture, bare, options)
        after = panel(picture, bare, replace(options, dither=0.5, dither_kind="search"))
        pattern = after.pattern
        allowed = [pattern.palette.for_size(size.name) for size in sizes]
        on_hand = stock_of(pattern.palette, sizes, allowed)
        count = np.bincount(pattern.bead_colour, minlength=len(on_hand))
        assert (count <= on_hand).all()
        assert (count[count > 0] == on_hand[count > 0]).any()
        light, beads = np.clip(lab_to_linear(pattern.palette.labs()), 0, 1), pattern.weave.beads
        was, is_now = (
            figure(pattern.weave, after.wanted, light[one.pattern.bead_colour[:beads]])
            for one in (before, after)
        )
        assert is_now < 0.97 * was

    def test_holds_for_copies_and_lots(self, shelf):
        """Two lots of each colour, the second a colour's own entry, and three copies to be woven."""
        weave = weave_of(9, 12)
        photo = data.coffee()[::16, ::16].reshape(-1, 3)
        wanted = photo[np.linspace(0, len(photo) - 1, weave.beads).astype(int)]
        of_size = [entry for entry in shelf.entries if entry.size == "11/0"]
        lots = Palette(
            "lots",
            tuple(
                replace(entry, code=f"{entry.code}{lot}", on_hand=beads, on_hand_g=None)
                for entry in of_size
                for lot, beads in (("a", 31), ("b", 90))
            ),
        )
        settings = ColourSettings(stock=True, dither=0.5, dither_kind="search")
        chosen = choose(wanted, weave, lots, settings, copies=3).chosen
        count = np.bincount(chosen, minlength=len(lots.entries)).reshape(-1, 2)
        assert (count <= np.array([10, 30])).all()
        # A later lot is opened only where the first does not suffice.
        assert (count[count[:, 1] > 0, 0] == 10).all()
        assert (count[:, 1] > 0).any()
        plain = choose(wanted, weave, lots, ColourSettings(stock=True), copies=3).chosen
        assert (chosen != plain).mean() > 0.05
