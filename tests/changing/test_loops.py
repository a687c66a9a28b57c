"""Loops dropped and added: islands as networkx finds them, threads by the slow proof of their own tests."""

from dataclasses import replace

import networkx as nx
import numpy as np
import pytest

from convert.changing.changing import changed
from convert.errors import ChangeError, ConvertError
from convert.palette.model import Palette
from convert.piece.about import Wishes
from convert.piece.pattern_file import parse_pattern, pattern_json
from convert.settings.changes import ChangeOptions
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.weave.shapes import Flower
from convert.weave.symmetry import Symmetry, mirror_partners
from convert.weave.tips import tips_of
from tests.changing.test_finding import finder
from tests.instructions.pieces import LAKE, piece
from tests.thread.pieces import beside, is_sound, silhouette


def asked(pattern):
    """A pattern of which a picture asks light that rises from left to right."""
    x = pattern.weave.bead_xy[:, 0]
    level = np.rint(65535 * (x - x.min()) / np.ptp(x))
    wanted = np.repeat(level[:, None], 3, axis=1).astype(np.uint16)
    return replace(pattern, wanted=wanted, unshown=(1,))


def by_place(pattern, first=(1, 1)):
    """The colour of each bead by the loops it lies in, as rows and places of the chart before."""
    weave = pattern.weave
    found = {}
    for bead in range(weave.beads):
        loops = [weave.side_loop[side] for side in weave.bead_sides[bead] if side >= 0]
        places = sorted(
            (int(weave.loop_row[at] + first[0]), int(weave.loop_column[at] + first[1])) for at in loops
        )
        if len(places) == 2:
            found[tuple(places)] = int(pattern.bead_colour[bead])
    return found


@pytest.mark.parametrize("sizes", [("11/0", "11/0"), ("11/0", "8/0")])
@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(
    ("drop", "add", "first"),
    [
        ("1.1", "", (1, 1)),
        ("", "0.2", (0, 1)),
        ("", "2.0,3.0", (1, 0)),
        ("", "0.2,-1.2,-2.2", (-2, 1)),
        ("", "2.0,2.-1,2.-2,2.-3", (1, -3)),
        ("", "5.1-7.6", (1, 1)),
        ("1.1-1.9", "2.6", (2, 1)),
        ("1.1-4.2,2.3", "", (1, 3)),
    ],
)
def test_beads_of_both_shapes_keep_their_colour_and_the_thread_is_sound(sizes, direction, drop, add, first):
    pattern = asked(piece(np.ones((4, 5), bool), sizes=sizes, direction=direction, seed=3))
    new, notes = changed(pattern, ChangeOptions(drop=(drop,), add=(add,)))
    before, after = by_place(pattern), by_place(new, first)
    both = before.keys() & after.keys()
    assert both
    assert {place: after[place] for place in both} == {place: before[place] for place in both}
    assert verify(new.weave, new.thread, new.supplies).threads >= 1
    assert is_sound(new.weave, new.thread)
    assert ("anew" in notes[0]) and (first == (1, 1)) == (not any("counted" in note for note in notes))
    # The file of the new piece can be read, and says the same.
    assert pattern_json(parse_pattern(pattern_json(new), "test")) == pattern_json(new)


@pytest.mark.parametrize("add", ["0.1", "0.2", "1.0", "2.0", "3.6", "5.5", "5.1"])
def test_cores_stay_cores_where_the_sheet_grows(add):
    pattern = piece(np.ones((4, 5), bool), sizes=("11/0", "8/0"))
    new, _ = changed(pattern, ChangeOptions(add=(add,)))
    # Where the chart begins now, as the chart before has it.
    row, place = (min(1, int(number)) for number in add.split("."))
    before, after = cores(pattern, (1, 1)), cores(new, (row, place))
    assert before.keys() < after.keys()
    assert {loop: after[loop] for loop in before} == before
    (fresh,) = after.keys() - before.keys()
    # No two cores lie side by side.
    assert not (after[fresh] and any(after.get(loop) for loop in beside_named(fresh)))


def cores(pattern, first):
    """Whether each loop is a core, by row and place of the chart before."""
    weave = pattern.weave
    places = zip((weave.loop_row + first[0]).tolist(), (weave.loop_column + first[1]).tolist(), strict=True)
    return dict(zip(places, weave.loop_core.tolist(), strict=True))


def beside_named(loop):
    """The loops around one, where the first row is called 1 and does not lie half a loop to the right."""
    shifted = (loop[0] - 1) % 2
    return [(loop[0] + row - shifted, place + 1) for row, place in beside(shifted, loop[1] - 1)]


@pytest.mark.parametrize("seed", range(6))
def test_a_piece_that_would_fall_apart_is_refused_with_its_islands(seed):
    pattern = piece(silhouette(seed, (12, 14)))
    woven = pattern.shape.woven
    origin = np.argwhere(woven).min(axis=0) - 1
    places = [tuple(place) for place in np.argwhere(woven).tolist()]
    graph = nx.Graph((place, other) for place in places for other in beside(*place) if other in set(places))
    cuts = sorted(nx.articulation_points(graph))
    whole = sorted(set(graph) - set(cuts))
    for row, place in cuts[:3]:
        parts = sorted(
            map(len, nx.connected_components(graph.subgraph(set(graph) - {(row, place)}))), reverse=True
        )
        with pytest.raises(ChangeError, match=f"{len(parts)} islands") as refused:
            changed(pattern, ChangeOptions(drop=(f"{row - origin[0]}.{place - origin[1]}",)))
        assert f"(of {', '.join(map(str, parts))} loops)" in str(refused.value)
    row, place = whole[len(whole) // 2]
    new, _ = changed(pattern, ChangeOptions(drop=(f"{row - origin[0]}.{place - origin[1]}",)))
    assert new.weave.loops == pattern.weave.loops - 1


def test_new_beads_take_the_light_of_those_about_them_and_are_not_judged():
    pattern = asked(piece(np.ones((3, 8), bool), colours=4))
    greys = np.array([entry.lab[0] for entry in pattern.palette.entries])
    new, _ = changed(pattern, ChangeOptions(add=("2.9",)))
    fresh = set(finder(new).beads("2.9")) - set(finder(new).beads("2.8"))
    assert len(fresh) == 5
    # On the right the picture asks white, of which the lightest grey comes nearest.
    assert set(greys[new.bead_colour[list(fresh)]]) == {greys.max()}
    assert fresh < set(new.unshown)
    # What was not shown before is not shown now.
    assert len(new.unshown) == 6
    left, _ = changed(pattern, ChangeOptions(add=("2.0",)))
    fresh = set(finder(left).beads("2.1")) - set(finder(left).beads("2.2"))
    assert set(greys[left.bead_colour[sorted(fresh & set(left.unshown))]]) == {greys.min()}


def test_without_a_picture_new_beads_are_as_the_nearest_of_their_size():
    pattern = piece(np.ones((3, 6), bool), sizes=("11/0", "8/0"))
    plain = replace(pattern, bead_colour=pattern.weave.bead_size.astype(np.int32))
    new, _ = changed(plain, ChangeOptions(add=("0.1-0.6", "1.7,2.0")))
    assert new.wanted is None
    np.testing.assert_array_equal(new.bead_colour, new.weave.bead_size)


@pytest.mark.parametrize(("add", "left"), [("2.0", True), ("2.7", False)])
def test_without_a_picture_new_beads_are_as_those_beside_them(add, left):
    pattern = piece(np.ones((3, 6), bool), sizes=("11/0", "8/0"))
    weave = pattern.weave
    on_the_right = weave.bead_xy[:, 0] > weave.bead_xy[:, 0].mean()
    # On the right cores are what connectors are on the left.
    colours = np.where(on_the_right, 1 - weave.bead_size, weave.bead_size).astype(np.int32)
    new, _ = changed(replace(pattern, bead_colour=colours), ChangeOptions(add=(add,)))
    loop, neighbour = ("2.1", "2.2") if left else ("2.7", "2.6")
    fresh = sorted(set(finder(new).beads(loop)) - set(finder(new).beads(neighbour)))
    sizes = new.weave.bead_size[fresh]
    assert set(sizes.tolist()) == {0, 1}
    np.testing.assert_array_equal(new.bead_colour[fresh], sizes if left else 1 - sizes)


def test_beads_above_the_first_row_are_as_those_of_that_row():
    pattern = piece(np.ones((6, 4), bool), edge="points")
    weave, tips = pattern.weave, tips_of(pattern.weave)
    colours = np.where(weave.bead_xy[:, 1] < weave.loop_xy[0, 1] + 1, 2, 3)
    at_tips = np.where(weave.junction_xy[tips.junctions, 1] < weave.loop_xy[0, 1] + 1, 0, 1)
    striped = replace(pattern, bead_colour=tips.extended(colours.astype(np.int32), at_tips))
    new, _ = changed(striped, ChangeOptions(add=("0.1-0.4",)))
    fresh = sorted({bead for place in range(1, 5) for bead in finder(new).beads(f"1.{place}")})
    assert set(new.bead_colour[fresh].tolist()) == {2}
    above = new.weave.junction_xy[tips_of(new.weave).junctions, 1] < new.weave.loop_xy[0, 1]
    assert set(new.bead_colour[new.weave.beads :][above].tolist()) == {0}


def test_what_is_wanted_of_new_beads_is_their_own_colour():
    pattern = asked(piece(np.ones((3, 6), bool), colours=4))
    entries = tuple(
        replace(entry, hex=f"#{level:02X}0000")
        for entry, level in zip(LAKE.entries, (0, 80, 160, 255), strict=True)
    )
    new, _ = changed(replace(pattern, palette=Palette("reds", entries)), ChangeOptions(add=("2.7",)))
    fresh = sorted(set(finder(new).beads("2.7")) - set(finder(new).beads("2.6")))
    levels = np.array([int(entries[entry].hex[1:3], 16) for entry in new.bead_colour[fresh]])
    np.testing.assert_allclose(new.wanted[fresh][:, 0] / 257, levels, atol=0.01)
    assert not new.wanted[fresh][:, 1:].any()


def test_the_thread_is_as_long_as_it_was():
    pattern = piece(np.ones((6, 6), bool), supplies=Supplies(needleful_mm=600.0))
    new, _ = changed(pattern, ChangeOptions(drop=("1.1",)))
    report = verify(new.weave, new.thread, new.supplies)
    assert report.threads > 1
    assert report.longest_thread_mm <= 600


def test_points_stay_at_the_tips():
    pattern = piece(np.ones((3, 4), bool), edge="points")
    only = replace(pattern, bead_colour=np.full_like(pattern.bead_colour, 2))
    for options in (ChangeOptions(drop=("1.1",)), ChangeOptions(add=("0.1,0.2",))):
        new, _ = changed(only, options)
        assert (new.edge, set(new.bead_colour.tolist())) == ("points", {2})
        assert set(tips_of(new.weave).numbers) <= set(new.thread.passes.tolist())
        assert verify(new.weave, new.thread, new.supplies)


def test_the_thread_is_planned_the_way_it_was():
    pattern = replace(piece(np.ones((5, 5), bool), path="thrifty"), path="thrifty")
    thrifty, _ = changed(pattern, ChangeOptions(drop=("1.1",)))
    steady, _ = changed(replace(pattern, path="steady"), ChangeOptions(drop=("1.1",)))
    assert thrifty.thread.passes.tolist() != steady.thread.passes.tolist()
    assert len(thrifty.thread.passes) < len(steady.thread.passes)


def test_marked_loops_are_carried_out_unless_they_are_to_be_left():
    pattern = replace(piece(np.ones((3, 4), bool)), wishes=Wishes(("1.1",), ("2.5",)))
    new, notes = changed(pattern, ChangeOptions())
    assert new.weave.loops == 12
    assert new.wishes == Wishes()
    assert "marked on the page" in notes[0]
    left, notes = changed(pattern, ChangeOptions(leave_marked=True))
    assert (left.weave.loops, left.wishes, notes) == (12, pattern.wishes, ())
    assert left.weave is pattern.weave


def test_a_block_takes_what_there_is_of_it():
    pattern = piece(np.ones((4, 5), bool))
    new, notes = changed(pattern, ChangeOptions(drop=("3.4-9.9",)))
    assert new.weave.loops == 16
    assert notes[0].startswith("4 loops dropped;")
    new, _ = changed(pattern, ChangeOptions(add=("5.1-3.6",)))
    assert new.weave.loops == 20 + 6 + 2


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"drop": ("9.9",)}, "--drop: there is no loop 9.9; the nearest are 4.5, 4.4 and 3.5"),
        ({"add": ("2.2",)}, "--add: 2.2 is there already"),
        ({"add": ("1.1-2.2",)}, "--add: 1.1-2.2 is there already"),
        ({"drop": ("reed",)}, "--drop: 'reed' names no loop"),
        ({"add": ("2",)}, "--add: '2' names no loop"),
        ({"add": ("7.7",)}, "2 islands (of 20, 1 loops): by nothing would hang 7.7"),
        ({"drop": ("1.1-4.5",)}, "no loop of the piece would be left"),
        ({"drop": ("1.1-4.5",), "add": ("0.1",)}, "no loop of the piece would be left"),
        ({"add": ("-99999.1",)}, "islands"),
        ({"add": ("-99999.-99999",)}, "the sheet would be"),
        ({"add": ("1.1-999999.999999",)}, "more than a piece can have"),
        ({"add": ("5.1-100004.5",)}, "more than 1,000,000 beads"),
        ({"drop": tuple(f"9.{n}" for n in range(12))}, "; and 2 more, 12 in all"),
    ],
    ids=str,
)
def test_what_cannot_be_is_refused_in_one_line(options, words):
    with pytest.raises(ConvertError) as refused:
        changed(piece(np.ones((4, 5), bool)), ChangeOptions(**options))
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 1_000


def test_the_loops_of_a_flower_stay():
    pattern = piece(np.ones((2, 2), bool))
    flower = replace(pattern, shape=Flower(1))
    with pytest.raises(ChangeError, match="not to a flower"):
        changed(flower, ChangeOptions(drop=("1",)))


def test_mirror_lines_stay_where_they_are_when_a_sheet_grows():
    pattern = piece(np.ones((5, 5), bool), sizes=("11/0", "8/0"))
    line = Symmetry(repeat_loops=5, mirror_half_loops=3, mirror_row=2)
    pattern = replace(pattern, symmetry=line)
    was = mirror_partners(pattern.weave, line)
    new, _ = changed(pattern, ChangeOptions(add=("0.2,3.0",)))
    found = new.symmetry
    assert (found.repeat_loops, found.mirror_half_loops, found.mirror_row) == (None, 3 + 6, 2 + 2)
    now = mirror_partners(new.weave, found)
    # The beads of before, told by where they lie.
    shift = new.weave.bead_xy.max(axis=0) - pattern.weave.bead_xy.max(axis=0)
    at = [
        int(np.linalg.norm(new.weave.bead_xy - xy - shift, axis=1).argmin()) for xy in pattern.weave.bead_xy
    ]
    for bead, partners in enumerate(was.tolist()):
        for column, partner in enumerate(partners):
            if partner >= 0:
                assert now[at[bead], column] == at[partner]


def test_a_ring_may_lose_loops_and_grow_at_its_rims_but_has_no_ends():
    plain = piece(np.ones((4, 6), bool))
    shape = replace(plain.shape, joined=True)
    weave = shape.build(plain.weave.sizes, plain.weave.spacing)
    colours = (np.arange(weave.beads) % 4).astype(np.int32)
    ring = replace(plain, shape=shape, weave=weave, bead_colour=colours, thread=plan_thread(weave))
    new, _ = changed(ring, ChangeOptions(drop=("2.6",), add=("5.1,0.3",)))
    assert new.shape.joined
    assert new.weave.loops == 24 - 1 + 2
    assert verify(new.weave, new.thread, new.supplies).loops == 25
    with pytest.raises(ChangeError, match="no ends to add loops to"):
        changed(ring, ChangeOptions(add=("2.7",)))
