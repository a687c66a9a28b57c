"""How a design fills a sheet: in repeats that are bead for bead equal, mirrored, or closed to a ring.

Everything here is told along a row and across the rows, whichever way the rows run on the page; a repeat is a
translation of the weave and a mirror line one of its mirror lines, see `convert.weave.symmetry`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from convert.errors import SizeError
from convert.settings.design import AUTO, DesignSettings, MirrorSettings, mirror_lines
from convert.weave.lattice import REPEAT_TWO_SIZES
from convert.weave.model import Weave
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import Spacing
from convert.weave.symmetry import NO_BEAD, Symmetry, mirror_partners

# Less than this off its proportions a picture is drawn as it is for all one sees.
_WORTH_SAYING = 0.005
_MISS_WORTH_SAYING = 0.02
_ROUNDING_MM = 1e-6
_EVEN = 2
_ROW_BY_LOOP = 3**0.5 / 2


class Lattice(Protocol):
    """What is known of the beads a sheet is to be woven of."""

    @property
    def spacing(self) -> Spacing:
        """Sides of the loops."""

    @property
    def repeat(self) -> int:
        """After how many loops of a row cores and connectors come again in the same order."""

    def size_mm(self, rows: int, places: int, direction: str = "across") -> tuple[float, float]:
        """Return width and height of a full sheet."""


@dataclass(frozen=True, slots=True)
class Repeats:
    """A sheet made up of equal repeats; None along or across where there is no repeat.

    Parameters
    ----------
    rows, places : int
        Rows, and loops in a row, of the whole sheet.
    times_along, times_across : int or None
        How often the design comes along a row, and across the rows.
    """

    rows: int
    places: int
    times_along: int | None = None
    times_across: int | None = None

    @property
    def loops(self) -> int | None:
        """Loops of a repeat along a row."""
        return None if self.times_along is None else self.places // self.times_along

    @property
    def repeat_rows(self) -> int | None:
        """Rows of a repeat."""
        return None if self.times_across is None else self.rows // self.times_across


Loops = Callable[[float], tuple[int, int]]
"""What tells rows and loops in a row of a sheet over a picture of some width by height."""


class Measures(NamedTuple):
    """Finished width and height that are asked for, and loops from left to right instead of a width."""

    width_mm: float | None = None
    height_mm: float | None = None
    across: int | None = None

    @property
    def given(self) -> tuple[bool, bool]:
        """Whether the width is given, and the height."""
        return (self.width_mm, self.across) != (None, None), self.height_mm is not None


def planned(
    frame: Lattice,
    design: DesignSettings,
    aspect: float | None,
    loops: Loops,
    measures: Measures,
    direction: str = "across",
) -> tuple[Repeats, list[str]]:
    """Return the sheet that a design takes, and what the user should know of it.

    Parameters
    ----------
    frame : Lattice
        The beads.
    design : DesignSettings
        The design.
    aspect : float or None
        Width by height of its picture, if it has one.
    loops : callable
        The sheet without repeats.
    measures : Measures
        What is asked for; what is not follows from the picture.
    direction : str
        Which way the rows run on the page.

    Raises
    ------
    SizeError
        There are more repeats than the sheet has room for.
    """
    given = measures.given
    across, down = design.repeat, design.repeat_down
    shown = aspect or 1.0
    if across == AUTO:
        across = _as_often_as_fits(loops, given, shown, direction, down or 1)
    assert not isinstance(across, str)
    upright = direction != "across"
    if design.join:
        # What is closed to a ring is one repeat all round, or several.
        across, down = (across, down or 1) if upright else (across or 1, down)
    times = (down, across) if upright else (across, down)
    rows, places = loops(shown * (across or 1) / (down or 1))
    length_mm = measures.height_mm if upright else measures.width_mm
    if design.join and length_mm is not None:
        # The way round a ring is whole loops: there is no end at which anything sticks out.
        places = max(1, round(length_mm / frame.spacing.pitch_mm))
    if times == (None, None):
        return _for_mirror(frame, design, rows, places, measures, direction), []
    ratio = 1 / shown if upright else shown
    keeps = {(True, False): "places" if upright else "rows", (False, True): "rows" if upright else "places"}
    found = repeated(frame, rows, places, times, ratio, keeps=keeps.get(given, ""))
    notes = [] if aspect is None else [stretch_note(found, ratio, direction)]
    return found, [*notes, *_missed(frame, found, (rows, places), given, direction, ring=bool(design.join))]


def _for_mirror(
    frame: Lattice, design: DesignSettings, rows: int, places: int, measures: Measures, direction: str
) -> Repeats:
    """Return the rows and places with which a sheet that is mirrored comes nearest to its measures."""
    across_rows, along_rows = mirrored_lines(design, direction)
    wanted = (measures.width_mm, measures.height_mm)
    along_mm, across_mm = wanted if direction == "across" else wanted[::-1]
    axis = 0 if direction == "across" else 1
    if along_rows and rows % 2 == 0:
        # Between two rows there is no mirror line, as they are half a loop apart.
        less, more = (frame.size_mm(number, places, direction)[1 - axis] for number in (rows - 1, rows + 1))
        rows += 1 if across_mm is None or more + less <= 2 * across_mm else -1
    if across_rows and rows > 1 and along_mm is not None and not design.join:
        # Every other row has a loop less, which makes the sheet half a loop shorter.
        pitch_mm = frame.spacing.pitch_mm
        short_mm = along_mm - (frame.size_mm(rows, places, direction)[axis] - pitch_mm / 2)
        places += short_mm > pitch_mm / 2 + _ROUNDING_MM
    return Repeats(rows, places)


def _missed(
    frame: Lattice,
    found: Repeats,
    wanted: tuple[int, int],
    given: tuple[bool, bool],
    direction: str,
    *,
    ring: bool,
) -> list[str]:
    """Return by how much whole repeats miss a measure that is given, and what the next ones come to."""
    told = []
    sizes = {"width": 0, "height": 1}
    for name, axis in sizes.items():
        along = (axis == 0) == (direction == "across")
        have, want = (found.places, wanted[1]) if along else (found.rows, wanted[0])
        times = found.times_along if along else found.times_across
        if not given[axis] or times is None or abs(have / want - 1) <= _MISS_WORTH_SAYING:
            continue
        step = times * (frame.repeat if along else _EVEN)
        other = have + (step if have < want else -step)
        lengths = [
            one * frame.spacing.pitch_mm
            if ring and along
            else frame.size_mm(*((found.rows, one) if along else (one, found.places)), direction)[axis]
            for one in (have, want, other)
            if one > 0
        ]
        more = "" if len(lengths) < 3 else f"; with the next length of repeat it is {lengths[2]:.0f}"
        told.append(f"whole repeats make the {name} {lengths[0]:.0f} mm, not {lengths[1]:.0f}{more}")
    return told


def _as_often_as_fits(
    loops: Loops, given: tuple[bool, bool], aspect: float, direction: str, times_down: int
) -> int:
    """Return how many repeats from left to right keep a picture's proportions on a sheet of two measures."""
    if not all(given):
        return 1
    rows, places = loops(aspect)
    width_by_height = places / (rows * _ROW_BY_LOOP)
    if direction != "across":
        width_by_height = 1 / width_by_height
    return max(1, round(width_by_height / aspect * times_down))


def repeated(
    frame: Lattice,
    rows: int,
    places: int,
    times: tuple[int | None, int | None],
    along_by_across: float,
    *,
    keeps: str = "",
) -> Repeats:
    """Return the sheet of whole repeats that comes nearest to one of so many rows and places.

    Parameters
    ----------
    frame : Lattice
        The beads.
    rows, places : int
        Rows and loops in a row that are wanted.
    times : tuple of int or None
        How often the design comes along a row and across the rows.
    along_by_across : float
        Length of the picture along a row divided by that across the rows.
    keeps : str
        Which measure follows the other so that the picture keeps its proportions: ``rows``, ``places``, or
        neither.

    Raises
    ------
    SizeError
        There are more repeats than the sheet has room for.
    """
    along, across = times
    step, rows_step = frame.repeat, _EVEN
    loops, of_rows = _each(places, along, step), _each(rows, across, rows_step)
    if keeps == "rows":
        high = (loops + (along is None)) / along_by_across / _ROW_BY_LOOP - (across is None)
        of_rows = _nearest(high, rows_step if across else 1)
    elif keeps == "places":
        wide = (of_rows + (across is None)) * _ROW_BY_LOOP * along_by_across - (along is None)
        loops = _nearest(wide, step if along else 1)
    return Repeats(of_rows * (across or 1), loops * (along or 1), along, across)


def _each(whole: int, times: int | None, step: int) -> int:
    """Return the length of each of so many repeats, a multiple of a step."""
    if times is None:
        return whole
    if times * step > whole:
        what = {1: "a loop", _EVEN: "two rows", REPEAT_TWO_SIZES: "three loops in two sizes of bead"}[step]
        most = whole // step
        raise SizeError(
            f"{times} repeats do not fit: the piece is {whole} {'rows' if step == _EVEN else 'loops'} long,"
            f" and a repeat takes at least {what}",
            f"give {most} repeats or fewer, or make the piece larger" if most else "make the piece larger",
        )
    return _nearest(whole / times, step)


def _nearest(length: float, step: int) -> int:
    return max(step, step * round(length / step))


def stretch_note(repeats: Repeats, along_by_across: float, direction: str) -> str:
    """Return how a picture is repeated, and by how much it is drawn out of its proportions."""
    told = []
    times = {"along": repeats.times_along, "rows": repeats.times_across}
    words = {
        "along": "across" if direction == "across" else "down",
        "rows": "down" if direction == "across" else "across",
    }
    if times["along"] is not None:
        told.append(f"{times['along']} times {words['along']}, {repeats.loops} loops each")
    if times["rows"] is not None:
        told.append(f"{times['rows']} times {words['rows']}, {repeats.repeat_rows} rows each")
    off = proportions(repeats) / along_by_across - 1
    if direction != "across":
        off = 1 / (1 + off) - 1
    said = f"the picture repeats {' and '.join(told)}".replace(" 1 times", " once")
    if abs(off) < _WORTH_SAYING:
        return f"{said}; it keeps its proportions"
    return f"{said}; it is drawn {abs(off):.0%} {'wider' if off > 0 else 'narrower'} than it is"


def proportions(repeats: Repeats) -> float:
    """Return the length of what the picture is laid over along a row, divided by that across the rows."""
    # Where it does not repeat the picture reaches half a loop or half a row over the edge on either side.
    along = repeats.loops or repeats.places + 1
    return along / ((repeats.repeat_rows or repeats.rows + 1) * _ROW_BY_LOOP)


def mirrored_lines(design: DesignSettings, direction: str) -> tuple[bool, bool]:
    """Return whether there is a mirror line across the rows, and one along them."""
    lines = mirror_lines(design.mirror)
    swaps = "across" in lines, "down" in lines
    return swaps if direction == "across" else swaps[::-1]


def laid_out(
    frame: Lattice, repeats: Repeats, design: DesignSettings, direction: str
) -> tuple[NDArray[np.bool_], Symmetry | None]:
    """Return which loops of a sheet are woven, and what maps its design onto itself.

    Raises
    ------
    SizeError
        The sheet is too small for a mirror line.
    """
    rows, places = repeats.rows, repeats.places
    across_rows, along_rows = mirrored_lines(design, direction)
    half_loops = row = None
    if along_rows:
        rows += repeats.repeat_rows is None and rows % 2 == 0
        row = rows // 2 if repeats.repeat_rows is None else repeats.repeat_rows // 2
    woven = np.ones((rows, places), bool)
    if across_rows and (design.join or repeats.loops is not None):
        period = repeats.loops or places
        half_loops = frame.repeat * round((period - 1) / frame.repeat)
    elif across_rows:
        if rows > 1 and places == 1:
            raise SizeError(
                "a single loop in a row leaves none in the rows between to be mirrored",
                "make the piece two loops wide or wider",
            )
        # Odd rows have a loop less, so that both ends are alike; empty places on the left bring a core onto
        # the mirror line.
        before = next(at for at in range(REPEAT_TWO_SIZES) if (places - 1 + 2 * at) % frame.repeat == 0)
        woven = np.zeros((rows, before + places), bool)
        woven[:, before:] = True
        woven[1::2, -1] = False
        half_loops = places - 1 + 2 * before
    symmetry = Symmetry(repeats.loops, repeats.repeat_rows, half_loops, row, direction)
    return woven, symmetry if symmetry.repeats or symmetry.mirrors else None


def about_middle(shape: Sheet | Flower, weave: Weave, mirror: MirrorSettings) -> Symmetry | None:
    """Return the mirror lines about the middle of a shape that is what it is, None if none is asked for.

    Parameters
    ----------
    shape, weave : Sheet or Flower, Weave
        The shape, such as one cut in an outline, and its weave.
    mirror : MirrorSettings
        Which lines.

    Raises
    ------
    SizeError
        The shape is no mirror image of itself.
    """
    lines = mirror_lines(mirror.mirror)
    if not lines:
        return None
    direction, twice = "across", (0, 0)
    if isinstance(shape, Sheet):
        row, place = np.nonzero(shape.woven)
        along = 2 * place + row % 2
        direction, twice = shape.direction, (int(along.min() + along.max()), int(row.min() + row.max()))
    swaps = [line in lines for line in ("across", "down")]
    across_rows, along_rows = swaps if direction == "across" else swaps[::-1]
    symmetry = Symmetry(
        mirror_half_loops=twice[0] // 2 if across_rows else None,
        mirror_row=twice[1] // 2 if along_rows else None,
        direction=direction,
    )
    missing = (mirror_partners(weave, symmetry)[:, :2] == NO_BEAD).any(axis=0).tolist()
    for line, is_missing in zip(
        ("across", "down"), missing if direction == "across" else missing[::-1], strict=True
    ):
        if line in lines and is_missing:
            sides = "left and the right" if line == "across" else "top and the bottom"
            raise SizeError(
                f"the {sides} of this shape are no mirror images of each other",
                "leave out --mirror, or mirror it the other way",
            )
    return symmetry
