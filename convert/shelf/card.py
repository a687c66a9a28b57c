"""The card that is printed and laid beside the beads: its marks, its patches and their values.

Values and arrangement are our own: twelve hues in steps of 30 degrees, each once vivid and once soft, as far
as both the screen and common printers reach, and twelve steps of grey. Lengths are mm; places are counted
right and down from the middle of the upper left mark.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import lab_to_linear
from convert.colour.srgb import encode_to_bytes, to_hex

# Nested squares: black of 7 units, white of 5, black of 3. No letter and no heap of beads looks so.
MARK_UNITS = (7, 5, 3)
MARK_MM = 10.0
SPAN_MM = (172.0, 96.0)
"""From the middle of the first mark to those to its right and below it."""
PATCH_MM = (11.6, 11.0)
_PITCH_MM = (13.2, 20.0)
_FIRST_MM = (13.4, 15.5)
COLUMNS = 12
_VIVID = (
    (50, 58, 16), (58, 48, 48), (74, 18, 66), (84, -19, 70), (62, -41, 41), (56, -41, 11),
    (58, -33, -9), (58, -22, -22), (54, -9, -35), (36, 13, -48), (42, 40, -40), (48, 56, -15),
)  # fmt: skip
_SOFT = (
    (80, 17, 5), (32, 20, 20), (80, 7, 27), (40, -8, 29), (84, -21, 21), (30, -21, 6),
    (80, -19, -5), (30, -11, -11), (74, -6, -21), (24, 8, -29), (72, 18, -18), (28, 29, -8),
)  # fmt: skip
_GREY = tuple((lightness, 0, 0) for lightness in range(92, 14, -7))


class Patch(NamedTuple):
    """A patch of the card: its code, the middle of it in mm, and its value, CIELAB under D65."""

    code: str
    x_mm: float
    y_mm: float
    lab: tuple[int, int, int]

    @property
    def hex(self) -> str:
        """The value for a screen, ``#RRGGBB``."""
        return to_hex(encode_to_bytes(lab_to_linear(self.lab)))


def _row(row: int, letter: str, labs: tuple[tuple[int, int, int], ...]) -> tuple[Patch, ...]:
    left, top = _FIRST_MM
    across, down = _PITCH_MM
    return tuple(
        Patch(f"{letter}{place + 1}", left + place * across, top + row * down, lab)
        for place, lab in enumerate(labs)
    )


PATCHES = (*_row(0, "V", _VIVID), *_row(1, "S", _SOFT), *_row(2, "G", _GREY))
"""24 patches of colour, V and S, and twelve steps of grey, G, from the lightest to the darkest."""


def corners_mm() -> NDArray[np.float64]:
    """Return the middles of the four marks, clockwise from the upper left one, shape (4, 2)."""
    wide, high = SPAN_MM
    return np.array([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)])
