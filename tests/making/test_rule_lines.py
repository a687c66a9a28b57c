"""Colours by rule lie where geometry says: places are taken from the beads in mm, not from tables."""

import math

import numpy as np
import pytest
from scipy import stats

from convert.errors import RuleError, StockError
from convert.making.options import MotifOptions, PanelOptions
from convert.making.pipeline import make
from convert.making.shapes.flower import Flower
from convert.making.shapes.silhouette import Silhouette
from convert.making.sources.plain import Plain
from convert.making.sources.rule import ByRule
from convert.palette.model import BeadColour, Palette
from convert.weave.tips import tips_of

ONE, TWO = ("11/0", None), ("11/0", "15/0")
CODES = "ABCD"
PALETTE = Palette(
    "lake",
    tuple(
        BeadColour(code, f"reed {code}", size, f"#{20 * place + 60:02X}8080", (50.0, 10.0 * place, 0.0))
        for size in ("11/0", "15/0")
        for place, code in enumerate(CODES)
    ),
)


def made(rule, sizes=ONE, direction="across", width=40, height=25, shape=None, palette=PALETTE, **more):
    kind = MotifOptions if shape else PanelOptions
    options = kind(beads=sizes[0], connectors=sizes[1], **more)
    shape = shape or Silhouette(width_mm=width, height_mm=height, direction=direction)
    return make("piece", shape, ByRule(rule=rule), palette, options)


def colours(result):
    pattern = result.pattern
    return np.array([pattern.palette.entries[entry].code for entry in pattern.bead_colour])


def places(result, direction="across"):
    """Centres of the beads along and across the rows, in sides of a loop, from the first loop's centre.

    Of the plain honeycomb: in two sizes beads lie a little off it.
    """
    weave = result.pattern.weave
    cell = weave.cells[:, [1, 3]].mean(axis=1) - weave.loop_xy[0]
    xy = cell / weave.spacing.side_mm
    return xy if direction == "across" else xy[:, ::-1]


@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
@pytest.mark.parametrize("direction", ["across", "along"])
class TestSheets:
    def test_rows_are_lines_of_beads(self, sizes, direction):
        result = made("rows 3A B 2C", sizes, direction)
        _, y = places(result, direction).T
        # The upper zigzag of the first row lies three quarters of a side above its middle.
        line = np.rint(y / 0.75).astype(int) + 1
        assert (colours(result) == np.array(list("AAABCC"))[line % 6]).all()
        assert line.max() > 12

    def test_columns_are_half_a_loop_wide(self, sizes, direction):
        result = made("columns A 2B", sizes, direction)
        x, _ = places(result, direction).T
        quarter = np.rint(x / (math.sqrt(3) / 4)).astype(int)
        assert (colours(result) == np.array(list("ABB"))[(quarter - quarter.min()) // 2 % 3]).all()

    def test_diagonal_stripes_rise_at_sixty_degrees(self, sizes, direction):
        result = made("diagonal A B C", sizes, direction)
        x, y = places(result, direction).T
        # Distance from a line that rises at sixty degrees, in steps of three quarters of a side.
        off = (x * math.sin(math.radians(60)) + y * math.cos(math.radians(60))) / 0.75
        stripe = np.rint(off - off.min()).astype(int)
        assert np.allclose(off - off.min(), stripe, atol=1e-6)
        assert (colours(result) == np.array(list("ABC"))[stripe % 3]).all()

    def test_chevron_is_alike_on_both_sides_of_its_axis(self, sizes, direction):
        for width, height in ((60, 18), (25, 60)):
            result = made("chevron A B C 2", sizes, direction, width, height)
            xy = result.pattern.weave.bead_xy
            axis = int(np.argmin(np.ptp(xy, axis=0)))
            of = dict(zip(map(tuple, np.round(xy, 3).tolist()), colours(result), strict=True))
            best = 0.0
            for centre in np.unique(np.round(result.pattern.weave.loop_xy[:, axis], 6)):
                mirrored = xy.copy()
                mirrored[:, axis] = 2 * centre - mirrored[:, axis]
                pairs = [
                    (of[tuple(here)], of.get(tuple(there)))
                    for here, there in zip(
                        np.round(xy, 3).tolist(), np.round(mirrored, 3).tolist(), strict=True
                    )
                ]
                met = [one == other for one, other in pairs if other is not None]
                if len(met) > 0.8 * len(xy):
                    best = max(best, float(np.mean(met)))
            assert best == 1.0

    def test_rounds_lie_about_the_middle(self, sizes, direction):
        result = made("rounds A B C D", sizes, direction, 45, 45)
        weave, found = result.pattern.weave, colours(result)
        low, high = weave.bead_xy.min(axis=0), weave.bead_xy.max(axis=0)
        cores = np.flatnonzero(weave.loop_core)
        off = np.linalg.norm(weave.loop_xy[cores] - (low + high) / 2, axis=1)
        centre = weave.loop_xy[cores[off.argmin()]]
        # The hexagonal norm of a place: the largest of its distances along the three ways to the next loops.
        turn = 0 if direction == "across" else 30
        ways = np.deg2rad(np.arange(0, 180, 60) + turn + 30)
        ways = np.stack([np.cos(ways), np.sin(ways)])

        def steps(xy):
            return np.abs((xy - centre) @ ways).max(axis=1) / (weave.spacing.pitch_mm * math.sqrt(3) / 2)

        # Loops of round n lie n steps away, and a bead belongs to the inner of its two loops.
        loops = np.rint(steps(weave.loop_xy)).astype(int)
        for bead in range(weave.beads):
            beside = weave.side_loop[weave.bead_sides[bead][weave.bead_sides[bead] >= 0]]
            assert found[bead] == CODES[loops[beside].min() % 4]

    def test_checks_are_squares_of_loops(self, sizes, direction):
        result = made("checks A B 2", sizes, direction)
        x, y = places(result, direction).T
        across = np.floor((x - x.min() + 1e-6) / (2 * math.sqrt(3)))
        down = np.floor((y - y.min() + 1e-6) / (2 * 1.5))
        assert (colours(result) == np.array(list("AB"))[((across + down) % 2).astype(int)]).all()

    def test_shares_of_chance_are_those_asked_for(self, sizes, direction):
        result = made("random A 3 B 1 C 1", sizes, direction)
        weave, found = result.pattern.weave, colours(result)
        for size in np.unique(weave.bead_size):
            of_size = found[weave.bead_size == size]
            for code, share in (("A", 0.6), ("B", 0.2), ("C", 0.2)):
                assert abs((of_size == code).sum() - share * len(of_size)) <= 1

    def test_a_shade_goes_evenly_from_end_to_end(self, sizes, direction):
        result = made("shade A B C", sizes, direction, 80, 30)
        x, found = result.pattern.weave.bead_xy[:, 0], colours(result)
        along = (x - x.min()) / np.ptp(x)
        assert set(found[along < 0.02]) == {"A"}
        assert set(found[along > 0.98]) == {"C"}
        assert not (found[along > 0.51] == "A").any()
        assert not (found[along < 0.49] == "C").any()
        # In each tenth the share of B is what a straight line says, as far as the few beads there can.
        for start in np.arange(0, 1, 0.1):
            there = (along >= start) & (along < start + 0.1)
            expected = np.mean(1 - np.abs(along[there] - 0.5) * 2)
            assert abs(np.mean(found[there] == "B") - expected) < 0.1


def test_chance_is_spread_as_chance_is():
    """Over 40 seeds the reeds in the left half are distributed as drawing without return has them."""
    result = made("random A 1 B 1", width=30, height=20)
    left = result.pattern.weave.bead_xy[:, 0] < np.median(result.pattern.weave.bead_xy[:, 0])
    counts = []
    for seed in range(40):
        piece = make(
            "p",
            Silhouette(width_mm=30, height_mm=20),
            ByRule(rule="random A 1 B 1", seed=seed),
            PALETTE,
            PanelOptions(),
        )
        counts.append(int((colours(piece)[left] == "A").sum()))
    beads = len(left)
    drawn = stats.hypergeom(beads, round(beads / 2), int(left.sum()))
    below = np.array(counts) <= drawn.median()
    # scipy: the chi-square test of equal shares below and above the middle of that distribution.
    assert (
        stats.chisquare(
            [below.sum(), (~below).sum()], [40 * drawn.cdf(drawn.median()), 40 * drawn.sf(drawn.median())]
        ).pvalue
        > 0.01
    )
    assert np.std(counts) == pytest.approx(drawn.std(), rel=0.4)


def test_a_seed_gives_the_same_throw_and_another_another():
    throws = [
        colours(
            make("p", Flower(rounds=3), ByRule(rule="random A B", seed=seed), PALETTE, MotifOptions())
        ).tolist()
        for seed in (None, 0, 7, 7)
    ]
    assert throws[0] == throws[1] != throws[2] == throws[3]


@pytest.mark.parametrize("centre", [3, 5, 6, 8])
@pytest.mark.parametrize("sizes", [ONE, TWO], ids=["one size", "two sizes"])
def test_rounds_of_a_flower_are_its_rounds(sizes, centre):
    result = made("rounds A B C D", sizes, shape=Flower(rounds=3, centre=centre))
    weave, found = result.pattern.weave, colours(result)
    for bead in range(weave.beads):
        sides = weave.bead_sides[bead][weave.bead_sides[bead] >= 0]
        assert found[bead] == CODES[weave.loop_row[weave.side_loop[sides]].min()]


def test_cores_and_connectors_have_their_colours():
    weave = (result := made("cores A connectors B", TWO)).pattern.weave
    assert (colours(result) == np.where(weave.bead_size == 0, "A", "B")).all()
    # In one size every third loop is a core: whole in A, and no two of them share a bead.
    weave = (result := made("cores A connectors B", ONE)).pattern.weave
    found = colours(result)
    whole = [
        all(found[weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]]] == "A")
        for loop in range(weave.loops)
    ]
    assert sum(whole) == pytest.approx(weave.loops / 3, abs=weave.loops * 0.05)
    in_cores = np.bincount(weave.side_bead[np.array(whole)[weave.side_loop]], minlength=weave.beads)
    assert in_cores.max() == 1


@pytest.mark.parametrize("rule", ["rows A", "columns A", "checks A B 1", "chevron A", "diagonal A"])
def test_lines_need_a_piece_that_lies_flat(rule):
    made(rule, shape=Flower(rounds=2))
    with pytest.raises(RuleError, match="lie flat, which a flower about 5 beads does not") as refused:
        made(rule, shape=Flower(rounds=2, centre=5))
    assert "rounds, random, shade" in refused.value.hint


def test_points_take_the_colour_of_a_bead_beside_them():
    result = made("rows 2A 3B", shape=Flower(rounds=3), edge="points")
    weave, found = result.pattern.weave, colours(result)
    woven, points = tips_of(weave).parted(found)
    for point, junction in zip(points, tips_of(weave).junctions, strict=True):
        beside = np.flatnonzero((weave.bead_junctions == junction).any(axis=1))
        assert len(beside) == 2
        assert point in woven[beside]


def test_an_unknown_colour_is_shown_in_the_rule_with_the_nearest():
    with pytest.raises(RuleError, match="has no bead 'read A'") as refused:
        made("rows A 2'read A'")
    assert refused.value.place == 7
    assert refused.value.hint.startswith("did you mean reed A (A), reed ")
    with pytest.raises(RuleError, match="has no bead 'XX'"):
        made("rows 1000A XX", height=15)


def test_a_colour_that_no_line_takes_is_told():
    assert any("none of B is woven in" in note for note in made("rows 1000A B").notes)


def test_only_sizes_that_occur_are_asked_of_the_palette():
    few = Palette(
        "few", tuple(e for e in PALETTE.entries if (e.code, e.size) in {("A", "11/0"), ("B", "15/0")})
    )
    assert set(colours(made("cores A connectors B", TWO, palette=few))) == {"A", "B"}
    with pytest.raises(RuleError, match="no bead 'A' in size 15/0"):
        made("rows A B", TWO, palette=few)


def test_stock_is_heeded():
    def shelf(on_hand):
        return Palette(
            "shelf",
            tuple(
                BeadColour(e.code, e.name, e.size, e.hex, e.lab, on_hand=on_hand)
                for e in PALETTE.entries
                if e.size == "11/0"
            ),
        )

    beads = np.bincount(made("rows A B").pattern.bead_colour)
    made("rows A B", palette=shelf(int(beads.max())), stock=True)
    with pytest.raises(StockError, match=rf"do not suffice for [AB] \(takes {beads.max()}, on hand"):
        made("rows A B", palette=shelf(int(beads.max()) - 1), stock=True)
    with pytest.raises(StockError, match="do not suffice"):
        make("p", Flower(rounds=2), Plain(), shelf(5), MotifOptions(stock=True))


def test_a_seed_without_chance_and_an_even_chevron_are_told():
    with pytest.raises(RuleError, match="--seed is for beads thrown at random"):
        ByRule(rule="rows A", seed=3)
    with pytest.raises(RuleError, match="--seed is 0 or more"):
        ByRule(rule="random A", seed=-3)
    with pytest.raises(RuleError, match="--seed"):
        ByRule(seed=3)
    notes = {rows: made("chevron A B", width=90, height=rows * 3.35 + 2).notes for rows in (5, 6)}
    assert not notes[5]
    assert "6 rows have none in the middle" in notes[6][0]
