"""Methods of the trade as worked examples. Both are common practice, no source.

They are written as turns to the left (L) and to the right (R), one a pass, as a beadworker would turn on her
chart, and replayed on the weave through the verifier.
"""

import networkx as nx
import numpy as np
import pytest

from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies, ThreadPlan
from convert.thread.verifier import verify
from tests.thread.pieces import TWO_SIZES, make

AMPLE = Supplies(needleful_mm=1e9)


class Walker:
    """Replays turns from the positions of beads alone."""

    def __init__(self, weave):
        self.weave = weave
        self.at_junction = {}
        for bead, ends in enumerate(weave.bead_junctions.tolist()):
            for end in ends:
                self.at_junction.setdefault(end, []).append(bead)

    def turn(self, bead, leaves, side):
        """The next bead to the left or to the right, and the junction at which the thread leaves that."""
        weave = self.weave
        (enters,) = set(weave.bead_junctions[bead].tolist()) - {leaves}
        heading = weave.junction_xy[leaves] - weave.junction_xy[enters]
        for other in self.at_junction[leaves]:
            (far,) = set(weave.bead_junctions[other].tolist()) - {leaves}
            onward = weave.junction_xy[far] - weave.junction_xy[leaves]
            # y points down: a positive cross product turns to the right.
            to_right = heading[0] * onward[1] - heading[1] * onward[0]
            if other != bead and (to_right > 1e-9) == (side == "R") and abs(to_right) > 1e-9:
                return other, far
        raise AssertionError(f"no bead to the {side} of bead {bead}")

    def replay(self, bead, leaves, turns):
        passes = [bead]
        for side in turns:
            bead, leaves = self.turn(bead, leaves, side)
            passes.append(bead)
        return passes


def plan_of(passes):
    return ThreadPlan(np.array(passes, np.int32), np.array([0], np.int32))


def runs(plan):
    """Beads picked up and beads passed through, turn and turn about."""
    found, strung = [], set()
    for bead in plan.passes.tolist():
        if bead not in strung and (not found or found[-1][1]):
            found.append([0, 0])
        found[-1][bead in strung] += 1
        strung.add(bead)
    return [tuple(run) for run in found]


class TestFlower:
    """Seven cores and the six mixed loops between them.

    Six and through all again; then seven, seven, one and through 2; seven, one and through 4, three times;
    seven, one and through 6; one and round to the rim.
    """

    TURNS = (
        "RRRRR RRRRRR"  # the centre, and through all again
        " LL RRRRRR"  # a connector and six core beads, through the first of the six
        " LL RRRRRR"  # once more
        " LL R"  # one connector, through 2
        + 3 * " LL RRRRRR LLLL R"  # seven, one, through 4
        + " LL RRRRRR LLLL R LL"  # seven, one, through 6
        + " LLLL"  # one, and round
    ).replace(" ", "")

    @pytest.fixture
    def weave(self):
        # Axial places of the centre, its six mixed neighbours and the six cores beyond them.
        cores = [(0, 0), (1, 1), (2, -1), (1, -2), (-1, -1), (-2, 1), (-1, 2)]
        mixed = [(1, 0), (0, 1), (-1, 1), (-1, 0), (0, -1), (1, -1)]
        woven = np.zeros((5, 6), bool)
        for q, r in cores + mixed:
            # The centre has to be a core: (q - r) divisible by 3.
            woven[r + 2, q + 2 + (r + 2) // 2] = True
        weave = make(woven, TWO_SIZES)
        assert weave.loop_core.sum() == 7
        return weave

    @pytest.fixture
    def plan(self, weave):
        centre = int(np.hypot(*(weave.loop_xy - weave.loop_xy.mean(axis=0)).T).argmin())
        side = int(weave.loop_start[centre])
        return plan_of(
            Walker(weave).replay(int(weave.side_bead[side]), int(weave.side_junction[side]), self.TURNS)
        )

    def test_it_weaves_54_beads_and_sews_every_corner(self, weave, plan):
        report = verify(weave, plan, AMPLE)
        assert (weave.loops, weave.beads) == (13, 54)
        assert np.bincount(weave.bead_size).tolist() == [42, 12]
        assert (report.corners, report.bound, report.passes) == (78, 79, 89)

    def test_it_is_told_in_the_words_of_the_trade(self, weave, plan):
        assert runs(plan) == [
            (6, 6),
            *[(7, 1), (7, 1), (1, 2)],
            *[(7, 1), (1, 4)] * 3,
            *[(7, 1), (1, 6)],
            (1, 3),
        ]

    def test_our_ways_take_less_thread(self, weave, plan):
        trade = verify(weave, plan, AMPLE)
        steady, thrifty = (
            verify(weave, plan_thread(weave, path=path), AMPLE) for path in ("steady", "thrifty")
        )
        assert (steady.passes, thrifty.passes) == (84, 79)
        assert thrifty.length_mm < steady.length_mm < trade.length_mm
        assert steady.most_open <= 2


class TestBays:
    """One loop set into each bay of a stepped edge, where three beads of each bay are there already.

    Pick up three and pass through seven: the bay's three to close, the one between, the next bay's three.
    """

    ROWS, PLACES = 9, 4

    def test_ten_passes_a_loop(self):
        woven = np.ones((self.ROWS, self.PLACES + 1), bool)
        woven[:, -1] = False  # the odd rows, shifted to the right, step out by half a loop
        edge = woven.copy()
        bays = list(range(2, self.ROWS - 1, 2))
        edge[bays, -1] = True
        base, weave = make(woven), make(edge)
        bead_of = {tuple(np.round(xy, 6)): bead for bead, xy in enumerate(weave.bead_xy)}
        first = plan_thread(base, path="thrifty").passes
        passes = [bead_of[tuple(np.round(base.bead_xy[bead], 6))] for bead in first]

        walker = Walker(weave)
        # Down the edge through the three beads of the first bay: the lower right of the loop above it, the
        # right of the loop beside it, the upper right of the loop below.
        loop_at = {
            place: number
            for number, place in enumerate(
                zip(weave.loop_row.tolist(), weave.loop_column.tolist(), strict=True)
            )
        }
        into = bead_between(weave, loop_at[1, self.PLACES - 1], loop_at[2, self.PLACES])
        start, leaves = self.from_above(weave, into)
        bay = walker.replay(start, leaves, "LL")
        base_beads = set(passes)
        passes = [*passes, *self.way_to(walker, passes, base_beads, start, leaves)[1:], *bay[1:]]
        before = len(passes)
        bead, leaves = passes[-1], self.leaving(weave, passes[-2], passes[-1])
        turns = "LLL LLL RR LL".replace(" ", "")
        told = walker.replay(bead, leaves, turns * (len(bays) - 1) + "LLLLLL")
        plan = plan_of(passes + told[1:])
        report = verify(weave, plan, AMPLE)
        assert runs(plan)[-len(bays) :] == [(3, 7)] * (len(bays) - 1) + [(3, 3)]
        assert len(plan.passes) - before == 10 * (len(bays) - 1) + 6

        ours = verify(weave, plan_thread(weave), AMPLE)
        thrifty = verify(weave, plan_thread(weave, path="thrifty"), AMPLE)
        assert thrifty.passes < ours.passes < report.passes
        assert thrifty.length_mm < ours.length_mm < report.length_mm

    @staticmethod
    def leaving(weave, before, bead):
        (met,) = set(weave.bead_junctions[before].tolist()) & set(weave.bead_junctions[bead].tolist())
        (leaves,) = set(weave.bead_junctions[bead].tolist()) - {met}
        return leaves

    @staticmethod
    def from_above(weave, bead):
        """A bead passed downwards or, lying level, to the left."""
        ends = weave.bead_junctions[bead].tolist()
        return bead, max(ends, key=lambda end: weave.junction_xy[end][1])

    def way_to(self, walker, passes, allowed, bead, leaves):
        graph = nx.DiGraph()
        for one in allowed:
            for end in walker.weave.bead_junctions[one].tolist():
                for side in "LR":
                    try:
                        other = walker.turn(one, end, side)
                    except AssertionError:
                        continue
                    if other[0] in allowed and shared_loop(walker.weave, one, other[0]):
                        graph.add_edge((one, end), other)
        now = passes[-1], self.leaving(walker.weave, passes[-2], passes[-1])
        return [step[0] for step in nx.shortest_path(graph, now, (bead, leaves))]


def shared_loop(weave, one, other):
    loops = [
        set(weave.side_loop[weave.bead_sides[bead][weave.bead_sides[bead] >= 0]]) for bead in (one, other)
    ]
    return bool(loops[0] & loops[1])


def bead_between(weave, one, other):
    rings = [
        set(weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]].tolist())
        for loop in (one, other)
    ]
    (bead,) = rings[0] & rings[1]
    return bead
