"""Pieces for the thread's tests, and a slow proof of a thread path that shares no code with the package."""

import networkx as nx
import numpy as np
from scipy.ndimage import gaussian_filter

from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tips_of

ONE_SIZE = (bead_size("11/0"),) * 2
TWO_SIZES = (bead_size("11/0"), bead_size("8/0"))


def make(woven, sizes=ONE_SIZE, direction="across"):
    return sheet(np.asarray(woven, bool), sizes, model_spacing(*sizes), direction)


def beside(row, place):
    """The six places around a place of a sheet, odd rows being shifted by half a loop."""
    shift = row % 2
    above = [(row + step, place + shift - 1 + side) for step in (-1, 1) for side in (0, 1)]
    return [(row, place - 1), (row, place + 1), *above]


def largest_part(woven):
    places = set(zip(*np.nonzero(woven), strict=True))
    graph = nx.Graph((place, other) for place in places for other in beside(*place) if other in places)
    graph.add_nodes_from(places)
    kept = np.zeros_like(woven)
    kept[tuple(zip(*max(nx.connected_components(graph), key=len), strict=True))] = True
    return kept


def flower(rounds, bare_rounds=-1):
    """The mask of a hexagon of loops, its middle left bare up to a round."""
    row, place = np.indices((2 * rounds + 1, 2 * rounds + 1))
    odd = rounds % 2
    q, r = place - (row + odd) // 2 - (rounds - odd) // 2, row - rounds
    distance = np.max([np.abs(q), np.abs(r), np.abs(q + r)], axis=0)
    woven = (distance <= rounds) & (distance > bare_rounds)
    return np.vstack([np.zeros((odd, woven.shape[1]), bool), woven])


def silhouette(seed, shape=(30, 36), smooth=3.5, bare=0.35):
    """The largest part of a random shape with bays and holes."""
    noise = gaussian_filter(np.random.default_rng(seed).standard_normal(shape), smooth)
    return largest_part(noise > np.quantile(noise, bare))


def loop_graph(weave):
    """Loops that share a bead, as a networkx graph."""
    graph = nx.Graph()
    graph.add_nodes_from(range(weave.loops))
    owner = {}
    for loop in range(weave.loops):
        for bead in weave.side_bead[weave.loop_start[loop] : weave.loop_start[loop + 1]].tolist():
            if bead in owner:
                graph.add_edge(owner[bead], loop)
            owner[bead] = loop
    return graph


def is_sound(weave, plan, needleful_mm=np.inf, tail_mm=150.0):
    """Whether a plan weaves the piece: bead by bead, straight from the words of the rules."""
    passes, marks = plan.passes.tolist(), plan.new_threads.tolist()
    tips = tips_of(weave).junctions.tolist()
    known = weave.beads + len(tips)
    if len(passes) < 2 or any(not 0 <= bead < known for bead in passes):
        return False
    ends = [set(pair) for pair in weave.bead_junctions.tolist()]
    corners = {}
    for loop in range(weave.loops):
        sides = range(weave.loop_start[loop], weave.loop_start[loop + 1])
        ring = weave.side_bead[sides].tolist()
        for bead, following in zip(ring, [*ring[1:], ring[0]], strict=True):
            (junction,) = ends[bead] & ends[following]
            corners[frozenset([bead, following]), junction] = loop

    left_in, sewn, loop_ends, lengths = {}, set(), set(), []
    for corner, loop in corners.items():
        left_in.setdefault(loop, set()).add(corner)
    unwoven = len(corners)
    begun = set()
    entered = None
    for at, bead in enumerate(passes):
        if at and bead >= weave.beads:
            junction = tips[bead - weave.beads]
            around = {passes[at - 1], passes[at + 1]} if at + 1 < len(passes) else set()
            if len(around) < 2 or any(one >= weave.beads or junction not in ends[one] for one in around):
                return False
        elif at == 0 and bead >= weave.beads:
            return False
        elif at:
            before = passes[at - 1] if passes[at - 1] < weave.beads else passes[at - 2]
            shared = ends[before] & ends[bead]
            if before == bead or not shared:
                return False
            (junction,) = shared
            if junction == entered:
                return False
            entered = junction
            corner = frozenset([before, bead]), junction
            if corner in corners:
                loop = corners[corner]
                if corner not in sewn:
                    sewn.add(corner)
                    unwoven -= 1
                    begun.add(loop)
                    left_in[loop].discard(corner)
                    if not left_in[loop]:
                        begun.discard(loop)
                        loop_ends.add(at)
            elif unwoven:
                return False
        if not begun and loop_ends:
            loop_ends.add(at)
    strung = set(passes)
    wanted = known if any(bead >= weave.beads for bead in passes) else weave.beads
    if unwoven or len(strung) != wanted:
        return False
    if not marks or marks[0] != 0 or marks != sorted(set(marks)) or marks[-1] >= len(passes):
        return False
    if any(mark - 1 not in loop_ends for mark in marks[1:]):
        return False
    side_mm = [(weave.spacing.core_mm, weave.spacing.connector_mm)[size] for size in weave.bead_size.tolist()]
    side_mm += [min(weave.sizes, key=lambda size: size.diameter_mm).length_mm] * len(tips)
    for start, end in zip(marks, [*marks[1:], len(passes)], strict=True):
        lengths.append(sum(side_mm[bead] for bead in passes[start:end]) + 2 * tail_mm)
    return max(lengths) <= needleful_mm + 5e-4
