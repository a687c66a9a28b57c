from dataclasses import replace

import numpy as np
import pytest
from skimage import color, data

from convert.choice.choosing import Choosing, choose, in_codes, stock_of, wanted_at_tips
from convert.choice.part import Part
from convert.choice.smoothing import unrest
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import lab_to_linear, linear_to_lab, srgb_to_lab
from convert.colour.matching import nearest
from convert.colour.srgb import decode
from convert.errors import PaletteError, StockError
from convert.palette.model import BeadColour, Palette
from convert.picture.model import Picture
from convert.piece.materials import materials
from convert.settings.colour import ColourSettings
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of
from tests.choice.exact_median import best_possible
from tests.panels import panel, panel_options

ONE_SIZE = (bead_size("11/0"),) * 2
TWO_SIZES = (bead_size("11/0"), bead_size("8/0"))


def piece(sizes):
    """A small sheet, and the light a photograph wants there."""
    weave = sheet(np.ones((9, 12), bool), sizes, model_spacing(*sizes), "across")
    photo = decode(data.astronaut()[::16, ::16].reshape(-1, 3))
    wanted = photo[np.linspace(0, len(photo) - 1, weave.beads).astype(int)]
    return weave, wanted


def palette_of(sizes, count=24, seed=1, **more):
    """Random colours C0, C1 ... that come in each of the sizes."""
    draw = np.random.default_rng(seed)
    entries = []
    for number, rgb in enumerate(draw.integers(0, 256, (count, 3), dtype=np.uint8)):
        lab = tuple(srgb_to_lab(rgb).tolist())
        text = "#{:02X}{:02X}{:02X}".format(*rgb)
        entries += [BeadColour(f"C{number}", "", size, text, lab, **more) for size in sizes]
    return Palette("test", tuple(entries))


def codes(palette, chosen):
    return {palette.entries[entry].code for entry in np.unique(chosen)}


def test_without_wishes_the_nearest_of_the_size():
    weave, wanted = piece(TWO_SIZES)
    palette = palette_of(["11/0", "8/0"])
    choice = choose(wanted, weave, palette, ColourSettings())
    assert np.array_equal(choice.chosen, choice.nearest)
    assert choice.gap is None
    cost = ciede2000(linear_to_lab(wanted)[:, None], palette.labs())
    for size, name in enumerate(("11/0", "8/0")):
        cost[np.ix_(weave.bead_size == size, [entry.size != name for entry in palette.entries])] = np.inf
    assert np.array_equal(choice.chosen, cost.argmin(axis=1))


def test_noise_in_the_last_digits_leaves_an_even_part_even():
    """Halfway between two colours the digits beyond what is summed exactly would tell them apart by lot."""
    weave, _ = piece(ONE_SIZE)
    labs = [(50.0, 10.0, 0.0), (50.0, -10.0, 0.0)]
    palette = Palette(
        "two", tuple(BeadColour(f"C{a:g}", "", "11/0", "#777777", (x, a, b)) for x, a, b in labs)
    )
    between = np.tile(lab_to_linear(np.array([50.0, 0.0, 0.0])), (weave.beads, 1))
    noise = np.random.default_rng(0).normal(scale=1e-14, size=between.shape)
    for distance in ("ciede2000", "cie76"):
        settings = ColourSettings(distance=distance)
        assert len(np.unique(choose(between + noise, weave, palette, settings).chosen)) == 1


METHODS = {
    "nearest": {},
    "few": {"colours": 6},
    "stock": {"stock": True},
    "smooth": {"smoothing": 0.05},
    "spread": {"dither": 0.3},
    "threshold": {"dither": 0.3, "dither_kind": "threshold"},
}


@pytest.mark.parametrize("method", METHODS)
def test_where_lightness_weighs_more_every_method_keeps_more_of_it(method):
    """By scikit-image's k_L: better by the weighted difference, and lightness nearer, than without it."""
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"], count=60, on_hand=40)
    wanted_lab = linear_to_lab(wanted)
    plain, weighted = (
        palette.labs()[
            choose(wanted, weave, palette, ColourSettings(lightness=lightness, **METHODS[method])).chosen
        ]
        for lightness in (1.0, 2.0)
    )
    off = [color.deltaE_ciede2000(wanted_lab, chosen, kL=0.5).mean() for chosen in (plain, weighted)]
    lighter = [np.abs(wanted_lab - chosen)[:, 0].mean() for chosen in (plain, weighted)]
    assert off[1] < off[0]
    assert lighter[1] < 0.9 * lighter[0]


def test_the_nearest_and_the_best_few_are_those_of_the_weighted_difference():
    """By scikit-image's k_L and the independent solver."""
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"])
    cost = color.deltaE_ciede2000(linear_to_lab(wanted)[:, None], palette.labs()[None], kL=0.5)
    choice = choose(wanted, weave, palette, ColourSettings(lightness=2.0, colours=6))
    assert np.array_equal(choice.nearest, cost.argmin(axis=1))
    total = cost[np.arange(len(cost)), choice.chosen].sum()
    best = best_possible(cost, np.ones(len(cost)), 6)
    assert total * (1 - choice.gap) <= best + 1e-6 <= total + 2e-6
    assert choice.gap < 0.01


@pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES])
def test_few_colours_count_over_both_sizes(sizes):
    weave, wanted = piece(sizes)
    palette = palette_of(dict.fromkeys(size.name for size in sizes))
    settings = ColourSettings(colours=5, keep=("C3", "C3"), avoid=("C1", "C2"))
    choice = choose(wanted, weave, palette, settings)
    assert len(codes(palette, choice.chosen)) <= 5
    assert not codes(palette, choice.chosen) & {"C1", "C2"}
    assert not codes(palette, choice.nearest) & {"C1", "C2"}
    assert 0 <= choice.gap < 0.03
    without = choose(wanted, weave, palette, ColourSettings(colours=5, avoid=("C1", "C2")))
    wanted_lab = linear_to_lab(wanted)
    totals = [ciede2000(wanted_lab, palette.labs()[found.chosen]).sum() for found in (choice, without)]
    assert totals[1] <= totals[0]


def test_colours_are_kept_and_avoided_by_name_as_by_code():
    weave, wanted = piece(TWO_SIZES)
    coded = palette_of(["11/0", "8/0"])
    palette = Palette(
        "test", tuple(replace(entry, name=f"bird {entry.code[1:]} grey") for entry in coded.entries)
    )
    by_code = ColourSettings(colours=5, keep=("C3",), avoid=("C1", "C2"))
    by_name = ColourSettings(colours=5, keep=("Bird 3 GREY", "bird 3 "), avoid=("bird 1 grey", "c2"))
    found = [choose(wanted, weave, palette, settings).chosen for settings in (by_code, by_name)]
    assert np.array_equal(*found)
    assert in_codes(by_name, palette) == by_code


def test_a_colour_named_in_two_ways_cannot_be_kept_and_avoided():
    weave, wanted = piece(ONE_SIZE)
    palette = Palette(
        "test", tuple(replace(entry, name=f"b {entry.code}") for entry in palette_of(["11/0"]).entries)
    )
    with pytest.raises(PaletteError, match="C3: both to keep and to avoid"):
        choose(wanted, weave, palette, ColourSettings(colours=5, keep=("b c3",), avoid=("C3",)))
    with pytest.raises(PaletteError, match="may be"):
        choose(wanted, weave, palette, ColourSettings(avoid=("b c",)))


def test_a_kept_colour_is_used_where_it_is_nearest():
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"])
    dropped = sorted(
        codes(palette, choose(wanted, weave, palette, ColourSettings()).chosen)
        - codes(palette, choose(wanted, weave, palette, ColourSettings(colours=4)).chosen)
    )
    kept = choose(wanted, weave, palette, ColourSettings(colours=4, keep=(dropped[0],)))
    assert dropped[0] in codes(palette, kept.chosen)


def test_smoothing_stays_among_the_few_colours():
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"])
    few = choose(wanted, weave, palette, ColourSettings(colours=6))
    smooth = choose(wanted, weave, palette, ColourSettings(colours=6, smoothing=0.6))
    assert codes(palette, smooth.chosen) <= codes(palette, few.chosen)
    beside = bead_neighbours(weave)
    colours = palette.colour_numbers()
    calm, restless = (unrest(colours[found.chosen], beside) for found in (smooth, few))
    assert calm.changes < restless.changes


@pytest.mark.parametrize("sizes", [ONE_SIZE, TWO_SIZES])
def test_stock_is_never_exceeded_over_sizes_and_copies(sizes):
    weave, wanted = piece(sizes)
    palette = palette_of([None], on_hand=59)
    plain = choose(wanted, weave, palette, ColourSettings())
    assert np.bincount(plain.chosen).max() > 59 // 2
    choice = choose(wanted, weave, palette, ColourSettings(stock=True), copies=2)
    assert 2 * np.bincount(choice.chosen).max() <= 59
    assert np.array_equal(choice.nearest, plain.nearest)


def test_beads_for_one_piece_suffice_unless_more_are_asked_for():
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of([None], count=1, on_hand=weave.beads)
    stock = ColourSettings(stock=True)
    assert len(choose(wanted, weave, palette, stock).chosen) == weave.beads
    assert len(Choosing((Part(wanted, weave, stock),), palette).of_all().chosen) == weave.beads
    with pytest.raises(StockError):
        choose(wanted, weave, palette, stock, copies=2)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("greys", [(200, 200), (200, 190)])
def test_two_lots_are_mixed_evenly_over_the_piece(direction, greys):
    """No part of a plain piece shows one lot more than another does, whether the lots look alike or not."""
    weave = sheet(np.ones((30, 30), bool), ONE_SIZE, model_spacing(*ONE_SIZE), direction)
    wanted = np.full((weave.beads, 3), 198, np.uint8)
    share = 0.37
    on_hand = [int(share * weave.beads), weave.beads - int(share * weave.beads)]
    lots = [
        BeadColour(code, "", "11/0", f"#{grey:02X}{grey:02X}{grey:02X}", lab, on_hand=count)
        for code, grey, count in zip("AB", greys, on_hand, strict=True)
        for lab in [tuple(srgb_to_lab(np.full(3, grey, np.uint8)).tolist())]
    ]
    chosen = choose(wanted, weave, Palette("lots", tuple(lots)), ColourSettings(stock=True)).chosen
    assert np.bincount(chosen).tolist() == on_hand
    # In discs of 54 beads: dealt by chance the shares have a spread of 0.07 and differ by up to 0.2; dealt
    # in reading order they are 0 and 1.
    xy, radius = weave.bead_xy, 2.2 * weave.spacing.pitch_mm
    inner = weave.loop_xy[
        (np.abs(weave.loop_xy - xy.mean(axis=0)) < np.ptp(xy, axis=0) / 2 - radius).all(axis=1)
    ]
    shares = [(chosen[np.hypot(*(xy - centre).T) < radius] == 0).mean() for centre in inner]
    assert len(shares) > 100
    assert np.std(shares) < 0.035
    assert np.abs(np.array(shares) - share).max() < 0.12


def test_grams_are_counted_so_that_they_surely_suffice():
    palette = palette_of([None], count=2, on_hand_g=2.0)
    every = np.arange(2, dtype=np.int32)
    per_gram = min(size.beads_per_gram for size in TWO_SIZES)
    assert stock_of(palette, TWO_SIZES, (every, every)).tolist() == [int(2 * per_gram)] * 2
    assert stock_of(palette, ONE_SIZE, (every, every)).tolist() == [int(2 * ONE_SIZE[0].beads_per_gram)] * 2


def test_stock_that_cannot_fill_names_what_is_missing_and_a_purchase_that_does():
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"], on_hand=10, per_gram=100.0)
    with pytest.raises(StockError) as refused:
        choose(wanted, weave, palette, ColourSettings(stock=True))
    missing = weave.beads - 240
    assert f"{missing:,} of 11/0 are missing" in str(refused.value)
    grams = np.ceil(missing / 10) / 10
    code = next(entry.code for entry in palette.entries if f" of {entry.code} in" in refused.value.hint)
    assert f"{grams:.1f} g of {code} in 11/0" in refused.value.hint
    bought = tuple(
        BeadColour(entry.code, "", "11/0", entry.hex, entry.lab, on_hand=10 + missing * (entry.code == code))
        for entry in palette.entries
    )
    choice = choose(wanted, weave, Palette("bought", bought), ColourSettings(stock=True))
    assert np.bincount(choice.chosen).sum() == weave.beads


def test_stock_counts_the_beads_at_the_tips():
    photo = Picture("astronaut", data.astronaut()[::4, ::4].copy())
    palette = palette_of(["11/0"], on_hand=30)
    options = panel_options(*ONE_SIZE, across=10, edge="points", stock=True)
    result = panel(photo, palette, options)
    assert len(result.pattern.bead_colour) > result.pattern.weave.beads
    assert max(row.beads for row in materials(result.pattern)) <= 30
    few = panel(photo, palette, panel_options(*ONE_SIZE, across=10, edge="points", colours=3))
    assert len(few.pattern.used) <= 3
    assert few.nearest.shape == (few.pattern.weave.beads,)


def test_tips_are_nearest_to_the_two_beads_beside():
    weave, wanted = piece(ONE_SIZE)
    palette = palette_of(["11/0"])
    tips = wanted_at_tips(wanted, weave)
    choice = choose(np.concatenate([wanted, tips]), weave, palette, ColourSettings(dither=0.5))
    expected, _ = nearest(linear_to_lab(tips), palette.labs())
    assert np.array_equal(choice.chosen[weave.beads :], expected)
    junction = tips_of(weave).junctions[0]
    beside = np.flatnonzero((weave.bead_junctions == junction).any(axis=1))
    low, high = wanted[beside].min(axis=0), wanted[beside].max(axis=0)
    assert len(beside) == 2
    assert ((tips[0] >= low) & (tips[0] <= high)).all()


@pytest.mark.parametrize(
    ("settings", "error", "says"),
    [
        ({"colours": 3, "keep": ("C111",)}, PaletteError, "C111"),
        ({"avoid": ("D12",)}, PaletteError, "D12"),
        ({"avoid": tuple(f"C{number}" for number in range(24))}, PaletteError, "but those to avoid"),
        ({"stock": True}, StockError, "does not say what is on hand"),
    ],
)
def test_palettes_that_do_not_do(settings, error, says):
    weave, wanted = piece(ONE_SIZE)
    with pytest.raises(error, match=says) as refused:
        choose(wanted, weave, palette_of(["11/0"]), ColourSettings(**settings))
    assert refused.value.hint


def test_too_few_colours_for_both_sizes():
    weave, wanted = piece(TWO_SIZES)
    core, connector = palette_of(["11/0"], 3), palette_of(["8/0"], 3, seed=9)
    other = tuple(
        BeadColour(f"D{number}", "", "8/0", entry.hex, entry.lab)
        for number, entry in enumerate(connector.entries)
    )
    palette = Palette("apart", core.entries + other)
    with pytest.raises(PaletteError, match="1 colour cannot cover all bead sizes"):
        choose(wanted, weave, palette, ColourSettings(colours=1))
    with pytest.raises(PaletteError, match="none is left for 8/0"):
        choose(wanted, weave, palette, ColourSettings(colours=2, keep=("C0", "C1")))
    assert len(codes(palette, choose(wanted, weave, palette, ColourSettings(colours=2)).chosen)) == 2


def test_a_colour_that_is_kept_but_nowhere_the_nearest_is_told():
    weave, wanted = piece(ONE_SIZE)
    plain = palette_of(["11/0"])
    odd = BeadColour("ODD", "odd", "11/0", "#00FF00", (87.7, -86.2, 83.2))
    palette = Palette("test", (*plain.entries, odd))
    told = choose(wanted, weave, palette, ColourSettings(colours=5, keep=("ODD",))).notes
    used = choose(wanted, weave, palette, ColourSettings(colours=5, keep=("C3",))).notes
    assert told == ("none of ODD is woven in, though kept: nowhere is it the nearest bead",)
    assert used == ()
