"""Which loops of a sheet are woven, so that the piece hangs together, where parts of its picture are bare."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.errors import PictureError
from convert.weave.islands import bridges, components, islands_of, loop_names, neighbours
from convert.weave.necks import Necks, mended, necks_of

# A loop is woven if the picture covers at least half of it.
LEAST_COVERAGE = 0.5
REFUSE, LARGEST, JOIN = "refuse", "largest", "join"
# So many places are named; of more it is told how many there are.
_MOST_NAMED = 12
_MOST_SIZES = 5

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, eq=False, slots=True)
class WovenPart:
    """The loops of a sheet that are woven.

    Parameters
    ----------
    woven : ndarray of shape (rows, places), bool
        Which they are.
    added : int
        How many of them the picture does not cover: bridges between islands, and what thickens necks.
    is_changed : bool
        Whether there are such, or islands were left out.
    notes : tuple of str
        What the user should know.
    """

    woven: BoolArray
    added: int
    is_changed: bool
    notes: tuple[str, ...]


def covered_loops(
    coverage: NDArray[np.float64], islands: str = REFUSE, around: NDArray[np.intp] | None = None
) -> tuple[BoolArray, list[str]]:
    """Return which loops the picture covers, less those that are left out, and what to say of these.

    Parameters
    ----------
    coverage : ndarray of shape (rows, places), float64
        Share of each loop that the picture covers; odd rows are shifted by half a loop.
    islands : str
        ``largest`` leaves out all islands but that one; else only single loops are left out.
    around : ndarray of shape (rows * places, 6), intp, optional
        From `convert.weave.islands.neighbours`; without it those of a whole sheet.

    Raises
    ------
    PictureError
        Nothing is covered.
    """
    covered = coverage >= LEAST_COVERAGE
    if not covered.any():
        raise PictureError(
            "the picture leaves no loop to weave: nowhere does it cover half a loop",
            "choose a larger size or smaller beads, or make less of the picture transparent",
        )
    label, sizes = islands_of(covered, _of_whole(coverage) if around is None else around)
    lone = (sizes == 1) & bool((sizes > 1).any())
    kept = ~lone
    notes = []
    if lone.any():
        notes.append(f"{_counted(int(lone.sum()), 'single loop')} that hung by nothing left out")
    if islands == LARGEST and kept.sum() > 1:
        largest = np.arange(len(sizes)) == sizes.argmax()
        gone = np.sort(sizes[kept & ~largest])[::-1].tolist()
        what = "island" if len(gone) == 1 else f"{len(gone)} islands"
        notes.append(f"the largest piece is kept; left out: {what} of {_listed(gone, 'loop')}")
        kept = largest
    return np.where(covered, kept[label], False), notes


def woven_part(
    coverage: NDArray[np.float64],
    islands: str = REFUSE,
    *,
    mend: bool = False,
    around: NDArray[np.intp] | None = None,
) -> WovenPart:
    """Return the loops that are woven.

    Parameters
    ----------
    coverage : ndarray of shape (rows, places), float64
        Share of each loop that the picture covers; odd rows are shifted by half a loop.
    islands : str
        What is done with islands: ``refuse``, ``largest`` keeps that one, ``join`` builds bridges.
    mend : bool
        Whether places that hold by a single bead are thickened.
    around : ndarray of shape (rows * places, 6), intp, optional
        From `convert.weave.islands.neighbours`; without it those of a whole sheet.

    Raises
    ------
    PictureError
        Nothing is covered, or the loops form separate islands.
    """
    around = _of_whole(coverage) if around is None else around
    covered, notes = covered_loops(coverage, islands, around)
    _, sizes = islands_of(covered, around)
    if len(sizes) > 1 and islands != JOIN:
        counts = ", ".join(str(size) for size in np.sort(sizes)[::-1][:_MOST_SIZES].tolist())
        more = ", ..." if len(sizes) > _MOST_SIZES else ""
        raise PictureError(
            f"the picture falls into {len(sizes)} separate islands (of {counts}{more} loops)",
            f"--islands {JOIN} builds bridges of loops, --islands {LARGEST} keeps the largest; or join them"
            " in the picture, or choose a larger size so that thin bridges survive",
        )
    bridging = bridges(covered, coverage, around)
    woven = covered | bridging
    necks = necks_of(woven, around)
    thickening = mended(woven, necks, coverage, around) if mend else np.zeros_like(woven)
    woven = woven | thickening
    if bridging.any():
        notes.append(
            f"{_counted(len(sizes), 'island')} joined by {_counted(int(bridging.sum()), 'loop')}"
            f" that the picture does not cover, in the colours it has there: {_named(woven, bridging)}"
        )
    if thickening.any():
        beads = _counted(len(necks.first), "place")
        notes.append(
            f"{beads} that held by a single bead thickened by {_counted(int(thickening.sum()), 'loop')}:"
            f" {_named(woven, thickening)}"
        )
    else:
        notes += _told_weak(woven, necks)
    added = int(bridging.sum() + thickening.sum())
    _, before = islands_of(coverage >= LEAST_COVERAGE, around)
    is_cut = islands == LARGEST and int((before > 1).sum()) > 1
    return WovenPart(woven, added, added > 0 or is_cut, tuple(notes))


def _of_whole(coverage: NDArray[np.float64]) -> NDArray[np.intp]:
    return neighbours(np.ones(coverage.shape, bool))


def _told_weak(woven: BoolArray, necks: Necks) -> list[str]:
    """Return a note on places that hold by a single bead, those by which most loops hang first."""
    count = len(necks.first)
    if not count:
        return []
    chain = components(woven.size, necks.first, necks.second)[necks.first]
    chains = [np.flatnonzero(chain == number) for number in np.unique(chain)]
    chains.sort(key=lambda places: -int(necks.hanging[places].max()))
    names = ", ".join(_ends(woven, necks, places) for places in chains[:_MOST_NAMED])
    more = f" and {len(chains) - _MOST_NAMED} more" if len(chains) > _MOST_NAMED else ""
    return [
        f"weak: {_counted(count, 'place')} where the piece holds by a single bead, by which up to"
        f" {_counted(int(necks.hanging.max()), 'loop')} hang: {names}{more}; --mend thickens them"
    ]


def _ends(woven: BoolArray, necks: Necks, places: NDArray[np.intp]) -> str:
    """Return between which loops a bead lies, or from which to which loop a chain of such beads runs."""
    loops, beads = np.unique(np.concatenate([necks.first[places], necks.second[places]]), return_counts=True)
    ends = loops[beads == 1] if len(places) > 1 else loops
    names = loop_names(woven, np.isin(np.arange(woven.size), ends).reshape(woven.shape))
    return "/".join(names) if len(places) == 1 else " to ".join((names[0], names[-1]))


def _named(woven: BoolArray, which: BoolArray) -> str:
    """Return the names of loops, as far as there are few enough to read."""
    names = loop_names(woven, which)
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    return ", ".join(names[:_MOST_NAMED]) + more


def _listed(sizes: list[int], what: str) -> str:
    shown = ", ".join(str(size) for size in sizes[:_MOST_SIZES])
    more = ", ..." if len(sizes) > _MOST_SIZES else ""
    return f"{shown}{more} {what}{'s' * (sizes != [1])}"


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"
