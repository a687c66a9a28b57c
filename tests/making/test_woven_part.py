import re

import networkx as nx
import numpy as np
import pytest

from convert.errors import PictureError
from convert.making.woven_part import woven_part
from convert.weave.islands import neighbours


def grid(*rows):
    return np.array([[float(letter == "#") for letter in row] for row in rows])


def woven_loops(coverage, *, joined=False):
    """The loops that are woven, and how many the picture covers besides."""
    around = neighbours(np.ones(coverage.shape, bool), joined=joined)
    woven = woven_part(coverage, around=around).woven
    return woven, int((coverage >= 0.5).sum() - woven.sum())


def test_whole_sheet_is_woven():
    woven, dropped = woven_loops(np.ones((3, 4)))
    assert woven.all()
    assert dropped == 0


def test_half_covered_loop_is_woven():
    woven, _ = woven_loops(np.array([[1.0, 0.5, 0.49]]))
    assert woven.tolist() == [[True, True, False]]


def test_lone_loops_are_dropped():
    woven, dropped = woven_loops(grid("##...#", "##....", "......"))
    assert dropped == 1
    assert woven.sum() == 4


def test_single_loop_alone_is_a_piece():
    woven, dropped = woven_loops(grid("...", ".#.", "..."))
    assert woven.sum() == 1
    assert dropped == 0


def test_odd_rows_are_shifted_to_the_right():
    # Loop (0, 1) touches (1, 0) and (1, 1); loop (0, 0) touches (1, 0) but not (1, 1).
    assert woven_loops(grid(".#", "#."))[0].sum() == 2
    with pytest.raises(PictureError, match="2 separate islands"):
        woven_loops(grid("##....", "......", "....##"))
    with pytest.raises(PictureError, match="2 separate islands"):
        woven_loops(grid("#..", "..#"))


def test_nothing_covered():
    with pytest.raises(PictureError, match="no loop"):
        woven_loops(np.zeros((4, 4)))


def test_islands_are_counted_with_their_sizes():
    with pytest.raises(PictureError, match=r"3 separate islands \(of 4, 3, 2 loops\)"):
        woven_loops(grid("####.###", "........", "##......"))


def test_islands_agree_with_networkx():
    generator = np.random.default_rng(5)
    for _ in range(30):
        covered = generator.random((7, 9)) < 0.55
        graph = nx.Graph()
        for row, place in zip(*np.nonzero(covered), strict=True):
            graph.add_node((row, place))
            below = place + row % 2
            for other in ((row, place + 1), (row + 1, below - 1), (row + 1, below)):
                if other[0] < 7 and 0 <= other[1] < 9 and covered[other]:
                    graph.add_edge((row, place), other)
        islands = [part for part in nx.connected_components(graph) if len(part) > 1]
        if len(islands) == 1:
            woven, dropped = woven_loops(covered.astype(float))
            assert {tuple(loop) for loop in np.argwhere(woven)} == islands[0]
            assert dropped == covered.sum() - len(islands[0])
        else:
            with pytest.raises(PictureError, match=f"{len(islands)} separate islands"):
                woven_loops(covered.astype(float))


@pytest.mark.parametrize(
    ("top", "told"),
    [
        ("##.##.##.##.##", "5 separate islands (of 3, 2, 2, 2, 2 loops)"),
        ("##.##.##.##.##.###", "6 separate islands (of 3, 3, 2, 2, 2, ... loops)"),
    ],
)
def test_five_islands_are_told_and_no_more(top, told):
    with pytest.raises(PictureError, match=re.escape(told)):
        woven_loops(grid(top, "#".ljust(len(top), ".")))


def test_lone_loops_are_several_pieces_only_where_there_is_nothing_else():
    with pytest.raises(PictureError, match=r"2 separate islands \(of 1, 1 loops\)"):
        woven_loops(grid("#.#"))
    woven, dropped = woven_loops(grid("#.##", "....", "#..."))
    assert woven.tolist() == (grid("..##", "....", "....") > 0).tolist()
    assert dropped == 2


@pytest.mark.parametrize("mend", [False, True])
def test_refusal_names_both_ways_out(mend):
    with pytest.raises(PictureError) as error:
        woven_part(grid("##....", "......", "....##"), mend=mend)
    assert "--islands join" in error.value.hint
    assert "--islands largest" in error.value.hint


def test_the_largest_piece_is_kept_and_what_goes_is_told():
    part = woven_part(grid("###..##", "##.....", "....###", "#......"), "largest")
    assert part.woven.tolist() == (grid("###....", "##.....", ".......", ".......") > 0).tolist()
    assert part.notes == (
        "1 single loop that hung by nothing left out",
        "the largest piece is kept; left out: 2 islands of 3, 2 loops",
    )
    assert part.added == 0


def test_one_island_that_goes_is_told():
    part = woven_part(grid("###..##", "##....."), "largest")
    assert part.notes == ("the largest piece is kept; left out: island of 2 loops",)


def test_joining_tells_where_as_the_chart_names_loops():
    part = woven_part(grid(".......", ".##..##", ".##..##", "......."), "join")
    assert part.added == 2
    assert part.woven.sum() == 10
    told, weak = part.notes
    assert told.startswith(
        "2 islands joined by 2 loops that the picture does not cover, in the colours it has there: "
    )
    named = told.rpartition(": ")[2].split(", ")
    row, place = np.nonzero(part.woven & ~(grid(".......", ".##..##", ".##..##", ".......") > 0))
    assert named == [f"{r}.{p}" for r, p in zip(row, place, strict=True)]
    assert weak.startswith(
        "weak: 2 places where the piece holds by a single bead, by which up to 5 loops hang: 2.3 to 2.5;"
    )
    assert weak.endswith("; --mend thickens them")


def test_mending_tells_where_and_leaves_nothing_weak():
    covered = grid(".......", "##...##", "#######", "##...##", ".......")
    weak = woven_part(covered)
    assert weak.added == 0
    assert "3 places where the piece holds by a single bead" in weak.notes[-1]
    part = woven_part(covered, mend=True)
    assert part.added == int(part.woven.sum() - covered.sum()) > 0
    (told,) = part.notes
    assert told.startswith(f"3 places that held by a single bead thickened by {part.added} loops: ")
    assert not any("weak" in note for note in woven_part(part.woven.astype(float)).notes)


def test_a_whole_sheet_has_nothing_to_tell():
    part = woven_part(np.ones((4, 5)), "join", mend=True)
    assert (part.notes, part.added) == ((), 0)


def test_many_places_are_counted_and_not_all_named():
    covered = grid("###" + "#" * 30 + "###", "###" + "." * 30 + "###", "###" + "." * 30 + "###")
    (told,) = woven_part(covered).notes
    assert told.endswith("hang: 1.4 to 1.34; --mend thickens them")
    (told,) = woven_part(covered, mend=True).notes
    assert told.count(",") == 11
    assert re.search(r" and \d+ more$", told)


@pytest.mark.parametrize("rows", [("#....#", "##..##"), ("......", "#....#"), ("#.....", ".....#")])
def test_a_ring_hangs_together_over_its_seam(rows):
    # The last loop of an odd row, half a loop further on, lies below the first of the row above.
    covered = grid(*rows)
    assert woven_loops(covered, joined=True)[0].tolist() == covered.astype(bool).tolist()
    with pytest.raises(PictureError, match="islands"):
        woven_loops(covered)


def test_a_ring_has_islands_too():
    with pytest.raises(PictureError, match="2 separate islands"):
        woven_loops(grid("##.##.", "##.##."), joined=True)
    with pytest.raises(PictureError, match="2 separate islands"):
        woven_loops(grid("##..##", "##..##"))
