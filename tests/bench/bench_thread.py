"""Time the planning and proving of thread paths, beside networkx on the same piece, in one run.

Run by hand: ``python tests/bench/bench_thread.py``. networkx builds the graph of beads that meet at a
junction and searches it breadth first once. Ragged pieces are timed in ``bench_thread_ragged.py``.
"""

import gc
import time

import networkx as nx
import numpy as np

from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.stitches import stitches
from convert.thread.verifier import verify
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours
from convert.weave.spacing import model_spacing

SIZES = (bead_size("11/0"),) * 2
SPACING = model_spacing(*SIZES)
ROUNDS, BEADS_A_ROUND = 4, 30_000


def square(beads):
    side = round((beads / 3) ** 0.5)
    return sheet(np.ones((side, side), bool), SIZES, SPACING)


def seconds(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def graph_search(weave):
    neighbours = bead_neighbours(weave)
    bead, place = np.nonzero(neighbours > np.arange(weave.beads)[:, None])
    pairs = list(zip(bead.tolist(), neighbours[bead, place].tolist(), strict=True))

    def build_and_search():
        graph = nx.Graph()
        graph.add_edges_from(pairs)
        return sum(1 for _ in nx.bfs_edges(graph, 0))

    return build_and_search


HEADER = (
    *("beads", "loops", "plan s", "prove s", "us a bead", "thrifty s", "steps s", "networkx s", "ratio"),
    *("passes / bound", "kinds"),
)


def measure(weave):
    """Seconds of each kind of work, and the proof."""
    plan_s, plan = seconds(lambda: plan_thread(weave))
    prove_s, report = seconds(lambda: verify(weave, plan, Supplies()))
    thrifty_s, _ = seconds(lambda: plan_thread(weave, path="thrifty"))
    steps_s, _ = seconds(lambda: stitches(weave, plan))
    return np.array([plan_s, prove_s, thrifty_s, steps_s, seconds(graph_search(weave))[0]]), report


def main():
    pieces = [square(beads) for beads in (1_000, 3_000, 10_000, 30_000, 100_000, 300_000)]
    best, reports = [np.inf] * len(pieces), {}
    # Sizes take turns, so that whatever else the machine does meets all of them.
    for _ in range(ROUNDS):
        for number, weave in enumerate(pieces):
            gc.collect()
            for _ in range(max(1, BEADS_A_ROUND // weave.beads)):
                times, reports[number] = measure(weave)
                best[number] = np.minimum(best[number], times)
    print(" | ".join(HEADER))
    for number, weave in enumerate(pieces):
        plan_s, prove_s, thrifty_s, steps_s, theirs_s = best[number]
        report, ours_s = reports[number], plan_s + prove_s
        cells = (
            *(f"{weave.beads:,}", f"{weave.loops:,}", f"{plan_s:.4f}", f"{prove_s:.4f}"),
            *(f"{ours_s / weave.beads * 1e6:.2f}", f"{thrifty_s:.4f}", f"{steps_s:.4f}", f"{theirs_s:.4f}"),
            *(f"{theirs_s / ours_s:.1f}", f"{report.passes / report.bound:.4f}", f"{report.step_kinds}"),
        )
        print(" | ".join(cell.rjust(len(name)) for cell, name in zip(cells, HEADER, strict=True)))


if __name__ == "__main__":
    main()
