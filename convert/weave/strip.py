"""How long a strip must be to close round a wrist, and how many loops that takes.

The middle of the beads lies half a bead off the skin, so a strip that closes is longer than the wrist by pi
times the thickness of the beads (three bead diameters: "correct bracelet length", firemountaingems.com). A
clasp fills the gap that is left open.
"""

import math
from dataclasses import dataclass

from convert.errors import SizeError
from convert.weave.beads import BeadSize
from convert.weave.fit import sheet_loops, sheet_size_mm
from convert.weave.spacing import Spacing

# Ease for comfort, 19 to 25 mm: chain length guide (linkagejewelry.com). Clasps take up about 13 mm
# (patriciaswayze at indiemade.com), 12 to 15 mm (sizing guide, henmeide.co).
EASE_MM = 20.0
CLASP_MM = 13.0
# Nobody's wrist, neck or waist is longer.
MOST_WRIST_MM = 2000.0
# After so many loops of a row cores and connectors come again in the same order.
REPEAT_TWO_SIZES = 3


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip that closes round a wrist.

    Parameters
    ----------
    wrist_mm, ease_mm, clasp_mm : float
        Measure of the wrist, what the strip is to be wider, and what the clasp takes up.
    thickness_mm : float
        What is lost to the thickness of the beads.
    rows, places : int
        Rows of loops along the strip, and loops in a row: whole repeats of the weave.
    repeat : int
        Loops of a repeat.
    length_mm : float
        Length that comes out.
    """

    wrist_mm: float
    ease_mm: float
    clasp_mm: float
    thickness_mm: float
    rows: int
    places: int
    repeat: int
    length_mm: float

    @property
    def wanted_mm(self) -> float:
        """Length that is wanted, from end to end without the clasp."""
        return self.wrist_mm + self.ease_mm - self.clasp_mm + self.thickness_mm

    def __str__(self) -> str:
        """Say how the length comes about."""
        loops = f"{self.places} loops in a row"
        if self.repeat > 1:
            loops += f" ({self.places // self.repeat} repeats of {self.repeat})"
        return (
            f"wrist {self.wrist_mm:g} mm + ease {self.ease_mm:g} - clasp {self.clasp_mm:g}"
            f" + {self.thickness_mm:.1f} for the thickness of the beads = {self.wanted_mm:.0f} mm wanted;"
            f" {loops} come to {self.length_mm:.0f} mm"
        )


def fit_strip(
    wrist_mm: float,
    height_mm: float,
    sizes: tuple[BeadSize, BeadSize],
    spacing: Spacing,
    *,
    ease_mm: float = EASE_MM,
    clasp_mm: float = CLASP_MM,
) -> Strip:
    """Return the strip whose length comes nearest to what closes round a wrist, in whole repeats.

    Parameters
    ----------
    wrist_mm : float
        The wrist, measured snug.
    height_mm : float
        Wanted height of the strip, across its rows.
    sizes : tuple of BeadSize
        Core and connector.
    spacing : Spacing
        Sides of the loops.
    ease_mm, clasp_mm : float
        What the strip is to be wider than the wrist, and what the clasp takes up.

    Raises
    ------
    SizeError
        A measure is impossible.
    """
    if not (math.isfinite(wrist_mm) and 0 < wrist_mm <= MOST_WRIST_MM):
        raise SizeError(
            f"a wrist of {wrist_mm:g} mm cannot be",
            "measure it where the strip is to sit; an adult's is 140 to 200 mm",
        )
    for name, measure in (("ease", ease_mm), ("clasp", clasp_mm)):
        if not (math.isfinite(measure) and 0 <= measure <= MOST_WRIST_MM):
            raise SizeError(f"the {name} is 0 mm or more, not {measure:g}", f"leave --{name} out if unsure")
    thickness = math.pi * max(size.diameter_mm for size in sizes)
    wanted = wrist_mm + ease_mm - clasp_mm + thickness
    repeat = 1 if sizes[0] == sizes[1] else REPEAT_TWO_SIZES
    if wanted <= repeat * spacing.pitch_mm:
        raise SizeError(
            f"a clasp of {clasp_mm:g} mm leaves nothing to weave on a wrist of {wrist_mm:g} mm",
            "give the measures in mm; a clasp takes up about 13",
        )
    # Both measures are given, so the proportions of a picture are not asked for.
    rows, places = sheet_loops(sizes, spacing, 1.0, direction="across", width_mm=wanted, height_mm=height_mm)
    fewer = max(repeat, places - places % repeat)
    lengths = {
        number: sheet_size_mm(rows, number, sizes, spacing, "across")[0] for number in (fewer, fewer + repeat)
    }
    places = min(lengths, key=lambda number: abs(lengths[number] - wanted))
    return Strip(wrist_mm, ease_mm, clasp_mm, thickness, rows, places, repeat, lengths[places])
