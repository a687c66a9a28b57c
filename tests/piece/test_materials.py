from dataclasses import replace

import numpy as np
import pytest

from convert.choice.choosing import ColourSettings, choose
from convert.drawing.piece import draw_piece
from convert.errors import PaletteError, SizeError
from convert.palette.model import BeadColour, Palette
from convert.piece.materials import finished_size, grams_told, materials, spare_told
from convert.piece.pattern import Pattern
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import gauge_spacing, model_spacing
from convert.weave.tips import tips_of

LAB = (50.0, 0.0, 0.0)


def make(
    entries,
    colour,
    rows=4,
    places=5,
    *,
    copies=1,
    gauge=None,
    beads=("11/0", "11/0"),
    shape=None,
    points=False,
):
    sizes = bead_size(beads[0]), bead_size(beads[1])
    spacing = model_spacing(*sizes) if gauge is None else gauge_spacing(*sizes, gauge)
    shape = shape or Sheet(np.ones((rows, places), bool))
    weave = shape.build(sizes, spacing)
    bead_colour = np.resize(np.asarray(colour, np.int32), weave.beads + points * len(tips_of(weave)))
    plan = plan_thread(weave)
    return Pattern("test", shape, weave, Palette("p", tuple(entries)), bead_colour, plan, Supplies(), copies)


def test_grams_packs_and_cost():
    entry = BeadColour("A", "a", None, "#777777", LAB, on_hand=20, per_gram=100.0, pack_g=0.25, price=1.5)
    (row,) = materials(make([entry], [0]))
    assert row.beads == 3 * 20 + 2 * 4 + 2 * 5 - 1 == 77
    assert row.grams == pytest.approx((77 + 8) / 100)  # a tenth to spare, rounded up to whole beads
    assert (row.on_hand, row.to_buy) == (20, 65)
    assert row.packs == 3  # 0.65 g in packs of 0.25 g
    assert row.cost == 4.5
    assert row.cost_used == pytest.approx(77 / 100 / 0.25 * 1.5)  # those woven in, on hand or not


def test_stock_in_grams_and_unknown():
    grams = BeadColour("A", "a", None, "#777777", LAB, on_hand_g=2.0)
    (row,) = materials(make([grams], [0]))
    assert row.on_hand == int(2.0 * bead_size("11/0").beads_per_gram)
    assert row.to_buy == 0
    (row,) = materials(make([BeadColour("A", "a", None, "#777777", LAB)], [0]))
    assert (row.on_hand, row.to_buy, row.packs, row.cost) == (None, 85, None, None)


def test_beads_to_spare_are_those_asked_for():
    entry = BeadColour("A", "a", None, "#777777", LAB, on_hand=80, per_gram=100.0, pack_g=0.25, price=1.5)
    piece = make([entry], [0])
    spares = {0.0: 77, 0.1: 85, 0.15: 89, 1.0: 154}
    for spare, wanted in spares.items():
        (row,) = materials(replace(piece, spare=spare))
        assert row.grams == pytest.approx(wanted / 100)
        assert row.to_buy == max(0, wanted - 80)
        assert row.left == 3
        assert row.cost_used == pytest.approx(4.62)
    assert spare_told(0.0) == "none to spare counted in"
    assert spare_told(0.1) == "a tenth to spare counted in"
    assert spare_told(0.15) == "15% to spare counted in"


@pytest.mark.parametrize("spare", [-0.1, 1.5, float("nan"), float("inf")])
def test_spare_is_a_share(spare):
    with pytest.raises(SizeError, match="to spare are from 0 to 1"):
        replace(make([BeadColour("A", "a", None, "#777777", LAB)], [0]), spare=spare)


def test_the_currency_asked_for_goes_before_the_one_of_the_palette():
    piece = make([BeadColour("A", "a", None, "#777777", LAB, currency="EUR")], [0])
    assert piece.costs_in == "EUR"
    assert replace(piece, currency="kr").costs_in == "kr"
    with pytest.raises(PaletteError, match="is no currency"):
        replace(piece, currency="x" * 200)


@pytest.mark.parametrize("case", range(12))
def test_of_what_is_chosen_within_stock_nothing_is_bought_and_never_more_used_than_there_is(case):
    """Colours for one size and for any, stock in beads and in grams, and in pieces of one size and of two."""
    draw = np.random.default_rng(case)
    sizes = [("11/0", "11/0"), ("11/0", "8/0"), ("8/0", "15/0")][case % 3]
    beads = [bead_size(name) for name in sizes]
    entries = []
    for number in range(10):
        lab = (float(draw.uniform(10, 90)), *draw.uniform(-40, 40, 2).tolist())
        size = draw.choice([None, *sizes])
        stock = (
            {"on_hand": int(draw.integers(0, 60))}
            if draw.integers(2)
            else {"on_hand_g": draw.uniform(0, 0.6)}
        )
        entries.append(BeadColour(f"C{number}", "", size, "#777777", lab, pack_g=5.0, price=2.0, **stock))
    entries += [BeadColour("P", "", None, "#777777", LAB, on_hand=100)]
    piece = make(entries, [0], beads=sizes, copies=1 + case % 2)
    wanted = draw.integers(0, 256, (piece.weave.beads, 3), dtype=np.uint8)
    choice = choose(wanted, piece.weave, piece.palette, ColourSettings(stock=True), piece.copies)
    rows = materials(replace(piece, bead_colour=choice.chosen, spare=0.0))
    assert sum(row.beads for row in rows) == piece.weave.beads * piece.copies
    for row in rows:
        assert row.to_buy == 0
        assert row.packs in (0, None)
        assert row.beads + row.left <= row.on_hand
    for entry in {row.entry for row in rows}:
        of = [row for row in rows if row.entry == entry]
        grams = piece.palette.entries[entry].on_hand_g
        if grams is None:
            assert sum(row.beads for row in of) <= piece.palette.entries[entry].on_hand
        else:
            assert sum(row.beads / row.size.beads_per_gram for row in of) <= grams
    assert {row.size for row in rows} <= set(beads)


@pytest.mark.parametrize(
    ("grams", "told"), [(0.004, "0.00"), (0.126, "0.13"), (0.99, "0.99"), (1.0, "1.0"), (12.34, "12.3")]
)
def test_weights_are_told_finer_below_a_gram(grams, told):
    assert grams_told(grams) == told


def test_copies_multiply():
    entry = BeadColour("A", "a", None, "#777777", LAB)
    assert materials(make([entry], [0], copies=2))[0].beads == 154


def test_one_colour_in_two_sizes_is_two_rows():
    entry = BeadColour("A", "a", None, "#777777", LAB)
    rows = materials(make([entry], [0], beads=("11/0", "8/0")))
    assert [row.size.name for row in rows] == ["11/0", "8/0"]
    assert sum(row.beads for row in rows) == 77


def two_sizes(**stock):
    """The rows of a colour for any size in the two-size weave, cores then connectors."""
    entry = BeadColour("A", "a", None, "#777777", LAB, **stock)
    piece = make([entry], [0], beads=("11/0", "8/0"))
    core, connector = materials(piece)
    assert (core.beads, connector.beads) == tuple(np.bincount(piece.weave.bead_size).tolist())
    return core, connector


@pytest.mark.parametrize("on_hand", [0, 10, 40, 60, 77, 78, 85, 86, 87, 500])
def test_both_sizes_draw_on_the_beads_of_a_colour_for_any_size(on_hand):
    core, connector = two_sizes(on_hand=on_hand)
    assert core.left == connector.left == max(0, on_hand - 77)
    wanted = [row.beads + -(-row.beads // 10) for row in (core, connector)]
    assert core.to_buy == max(0, wanted[0] - on_hand)
    assert core.to_buy + connector.to_buy == max(0, sum(wanted) - on_hand)


@pytest.mark.parametrize("grams", [0.0, 0.3, 0.7, 1.0, 5.0])
def test_both_sizes_draw_on_the_grams_of_a_colour_for_any_size(grams):
    core, connector = two_sizes(on_hand_g=grams)
    woven = sum(row.beads / row.size.beads_per_gram for row in (core, connector))
    for row in (core, connector):
        assert row.left == pytest.approx(max(0.0, grams - woven) * row.size.beads_per_gram, abs=1.5)
        assert row.on_hand == int(grams * row.size.beads_per_gram)
    wanted = [row.grams for row in (core, connector)]
    bought = sum(row.to_buy / row.size.beads_per_gram for row in (core, connector))
    assert bought == pytest.approx(max(0.0, sum(wanted) - grams), abs=2 / connector.size.beads_per_gram)


def test_grams_that_are_whole_beads_are_not_rounded_down():
    # 0.29 * 100 is 28.999999999999996 in binary floating point.
    assert (
        BeadColour("A", "a", None, "#777777", LAB, on_hand_g=0.29, per_gram=100.0).beads_on_hand(None) == 29
    )


def test_stock_is_not_known_where_grams_cannot_be_counted():
    assert BeadColour("A", "a", None, "#777777", LAB, on_hand_g=3.0).beads_on_hand(None) is None
    assert BeadColour("A", "a", None, "#777777", LAB, on_hand_g=0.0).beads_on_hand(None) == 0
    assert BeadColour("A", "a", None, "#777777", LAB).beads_on_hand(100.0) is None


def test_most_beads_first():
    entries = [BeadColour(code, "", None, "#777777", LAB) for code in "ABC"]
    rows = materials(make(entries, [1, 2, 1, 1, 2]))
    assert [row.colour.code for row in rows] == ["B", "C"]


def test_finished_size_and_its_range():
    entry = BeadColour("A", "a", None, "#777777", LAB)
    size = finished_size(make([entry], [0]))
    bead, side = bead_size("11/0"), model_spacing(bead_size("11/0"), bead_size("11/0")).side_mm
    # Five loops in a row and half of one for the shift, plus the bead that hangs over.
    assert size.width_mm == pytest.approx(5.5 * np.sqrt(3) * side + bead.diameter_mm)
    assert size.width_range_mm[0] < size.width_mm < size.width_range_mm[1]
    assert size.width_range_mm[1] / size.width_mm == pytest.approx(1.065, abs=0.01)
    wide, high = size.width_range_mm, size.height_range_mm
    assert (
        f"({wide[0]:.0f} x {high[0]:.0f} to {wide[1]:.0f} x {high[1]:.0f} mm, from the bead shapes)"
        in str(size)
    )
    gauge = finished_size(make([entry], [0], gauge=40.0))
    assert gauge.width_mm == pytest.approx(5.5 * 4.0 + bead.diameter_mm)
    assert gauge.width_range_mm == (gauge.width_mm, gauge.width_mm)
    assert "from your gauge" in str(gauge)


@pytest.mark.parametrize("beads", [("11/0", "11/0"), ("11/0", "15/0"), ("11/0", "8/0"), ("8/0", "8/0")])
@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("points", [False, True])
def test_finished_size_is_that_of_the_beads_as_drawn(beads, direction, points):
    """The corners of every outline of the chart; it draws directions in whole degrees."""
    shape = Sheet(np.ones((4, 5), bool), direction)
    piece = make([BeadColour("A", "a", None, "#777777", LAB)], [0], beads=beads, shape=shape, points=points)
    drawn = draw_piece(piece)
    corners = np.concatenate(
        [
            drawn.outlines[outline].polygon() + xy
            for outline, xy in zip(drawn.bead_outline, drawn.bead_xy, strict=True)
        ]
    )
    size = finished_size(piece)
    assert (size.width_mm, size.height_mm) == pytest.approx(np.ptp(corners, axis=0), abs=0.05)


@pytest.mark.parametrize("centre", [3, 4, 5])
def test_a_cup_is_as_wide_as_the_rim_of_its_cone(centre):
    """Six sectors lie flat; of fewer the rim is so much shorter, and so is what it goes round."""
    entry = BeadColour("A", "a", None, "#777777", LAB)
    flat, cup = (finished_size(make([entry], [0], shape=Flower(12, sectors))) for sectors in (6, centre))
    bead = bead_size("11/0").diameter_mm
    # Neither is round: a hexagon's widths differ by 2 / sqrt(3), and so do those of a cup laid flat.
    assert cup.width_mm - bead == pytest.approx((flat.width_mm - bead) * centre / 6, rel=0.16)
    assert cup.height_mm - bead == pytest.approx((flat.height_mm - bead) * centre / 6, rel=0.16)


def test_a_tenth_to_spare_is_no_bead_more():
    entries = [BeadColour(code, "", None, "#777777", LAB) for code in "AB"]
    rows = materials(make(entries, [0] * 70 + [1] * 7))
    assert [(row.beads, row.to_buy) for row in rows] == [(70, 77), (7, 8)]


def test_packs_that_just_suffice_are_not_one_more():
    # 21 beads of 10 to the gram are 2.1 g; 2.1 / 0.3 is 7.000000000000001 in binary floating point.
    entries = [BeadColour("A", "", None, "#777777", LAB, on_hand=56, per_gram=10.0, pack_g=0.3)]
    entries.append(BeadColour("B", "", None, "#777777", LAB))
    row = materials(make(entries, [0] * 70 + [1] * 7))[0]
    assert (row.to_buy, row.packs) == (21, 7)
