"""Sizes of beads: the named ones that ship as data, and the user's own in millimetres."""

import csv
import math
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.errors import SizeError

GLASS_GRAMS_PER_MM3 = 2.5e-3  # soda-lime glass 2.49 g/cm3 (Britannica, "industrial glass")
SHELL_FILL = 0.85  # rounded edges; fitted to the published counts per gram of 11/0, 8/0 and 6/0, within 3%
# Smaller or larger is no bead to weave with; nor is what weighs next to nothing, or pounds.
LEAST_MM, MOST_MM = 0.1, 50.0
LEAST_PER_GRAM, MOST_PER_GRAM = 1e-3, 1e6
LONGEST_NAME = 200
CUSTOM = "custom"
CYLINDER = "cylinder bead"

_DIMENSIONS = re.compile(r"(\d{1,2}(?:\.\d{1,3})?)x(\d{1,2}(?:\.\d{1,3})?)x(\d{1,2}(?:\.\d{1,3})?)", re.ASCII)


@dataclass(frozen=True, slots=True)
class BeadSize:
    """A size of bead.

    Parameters
    ----------
    name : str
        What the user calls it: ``11/0``, ``11/0-cylinder`` or ``2.1x1.5x0.8``.
    kind : str
        Generic kind, such as "cylinder bead".
    diameter_mm : float
        Outer diameter, across the hole.
    length_mm : float
        Length along the hole.
    hole_mm : float
        Diameter of the hole.
    beads_per_gram : float
        Average count in one gram.

    Raises
    ------
    SizeError
        The name is not one line, a measure is none of a bead, or the hole is not smaller than the bead.
    """

    name: str
    kind: str
    diameter_mm: float
    length_mm: float
    hole_mm: float
    beads_per_gram: float

    def __post_init__(self) -> None:
        if not (self.name.isprintable() and len(self.name) <= LONGEST_NAME):
            raise SizeError(f"the name of a bead size is not one line of at most {LONGEST_NAME} letters")
        # Written so that NaN fails, too.
        for measure in (self.diameter_mm, self.length_mm, self.hole_mm):
            if not LEAST_MM <= measure <= MOST_MM:
                raise SizeError(
                    f"bead size {self.name}: {measure:g} mm is no measure of a bead",
                    f"measures are {LEAST_MM:g} to {MOST_MM:g} mm: diameter x length along the hole x hole",
                )
        if self.hole_mm >= self.diameter_mm:
            raise SizeError(
                f"bead size {self.name}: the hole ({self.hole_mm:g} mm) is not smaller than the bead",
                "the order is diameter x length along the hole x hole, all in mm",
            )
        if not LEAST_PER_GRAM <= self.beads_per_gram <= MOST_PER_GRAM:
            raise SizeError(f"bead size {self.name}: {self.beads_per_gram:.3g} beads cannot weigh a gram")

    @property
    def written(self) -> str:
        """What `bead_size` takes for this size."""
        if named_sizes().get(self.name) == self:
            return self.name
        measures = "x".join(f"{length:g}" for length in (self.diameter_mm, self.length_mm, self.hole_mm))
        return measures if self.name == measures else f"{self.name}={measures}"

    @property
    def rounded(self) -> bool:
        """Whether the ends are rounded; a bead longer than wide is taken as a straight cylinder."""
        return self.kind != CYLINDER and self.diameter_mm >= self.length_mm

    @property
    def shorter_mm(self) -> float:
        """The shorter of length and diameter."""
        return min(self.length_mm, self.diameter_mm)

    @property
    def longer_mm(self) -> float:
        """The longer of length and diameter."""
        return max(self.length_mm, self.diameter_mm)

    def reach_mm(self, along: ArrayLike, across: ArrayLike) -> NDArray[np.float64]:
        """Return how far the outline reaches from the bead's centre in a direction (its support function).

        Rounded beads are drawn as the hull of two circles of radius L/2 (the tightest of the two models of
        `convert.weave.spacing`); cylinders as a rectangle.

        Parameters
        ----------
        along, across : array_like of one shape, any
            Components of the unit direction along the hole and across it.

        Returns
        -------
        ndarray of that shape, float64, in mm
        """
        along, across = np.abs(along), np.abs(across)
        if self.rounded:
            return self.length_mm / 2 + (self.diameter_mm - self.length_mm) / 2 * across
        return self.length_mm / 2 * along + self.diameter_mm / 2 * across


@cache
def named_sizes() -> dict[str, BeadSize]:
    """Return the bead sizes that ship with the program, by name, in the order of the data file."""
    text = (files("convert.weave") / "bead_sizes.csv").read_text(encoding="utf-8")
    return {
        row["name"]: BeadSize(
            row["name"],
            row["kind"],
            float(row["diameter_mm"]),
            float(row["length_mm"]),
            float(row["hole_mm"]),
            float(row["beads_per_gram"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


def bead_size(text: str) -> BeadSize:
    """Return the bead size a user names.

    Parameters
    ----------
    text : str
        A name of `named_sizes`, or diameter x length x hole in mm, as in ``2.1x1.5x0.8``. A measure may be
        given a name to look up in palettes: ``11/0=2.0x1.45x0.8``.

    Raises
    ------
    SizeError
        No such size, or impossible measures.
    """
    wanted = text.strip().lower()
    if wanted in named_sizes():
        return named_sizes()[wanted]
    name, is_named, dimensions = wanted.rpartition("=")
    measures = _DIMENSIONS.fullmatch(dimensions)
    if measures is None or (is_named and not name):
        raise SizeError(
            f"there is no bead size {text[:40]!r}",
            f"known sizes: {', '.join(named_sizes())}; or diameter x length x hole in mm: 2.1x1.5x0.8",
        )
    diameter, length, hole = (float(measure) for measure in measures.groups())
    shell_mm3 = math.pi / 4 * (diameter**2 - hole**2) * length
    # Where there is no glass, the measures are at fault, and are told so first.
    per_gram = 1 / (shell_mm3 * SHELL_FILL * GLASS_GRAMS_PER_MM3) if shell_mm3 > 0 else math.inf
    return BeadSize(name or wanted, CUSTOM, diameter, length, hole, per_gram)
