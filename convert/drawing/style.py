"""The visual language of every drawing: type, greys, lines and spaces, decided once.

Calm and plain: one typeface, five sizes of type, four greys, one accent for the way of the thread. Colour
belongs to the beads.
"""

from typing import NamedTuple

RGB = tuple[int, int, int]
Box = tuple[float, float, float, float]
"""Left, top, right and bottom in mm, of a page or of the piece."""


class Type(NamedTuple):
    """A size of type in points, with its colour."""

    size_pt: float
    colour: RGB


# Greys. On white, type has at least 4.5:1 (WCAG 2.1, 1.4.3), lines that carry meaning at least 3:1 (1.4.11).
WHITE: RGB = (255, 255, 255)
INK: RGB = (26, 26, 26)
SOFT: RGB = (92, 92, 92)
LINE: RGB = (140, 140, 140)
HAIR: RGB = (205, 205, 205)
ACCENT: RGB = (0, 98, 136)
"""The start and the way of the work, and nothing else."""

# Type.
TITLE = Type(18.0, INK)
FACTS = Type(9.0, SOFT)
BODY = Type(8.0, INK)
BODY_SOFT = Type(8.0, SOFT)
SMALL = Type(7.0, SOFT)
ROW = Type(6.5, SOFT)
LOOP_COLOUR: RGB = (105, 105, 105)
LOOP_MOST_PT = 7.0
LEAST_PT = 5.0
"""Dark type on a light ground is not read below this (print practice)."""
LINE_HEIGHT = 1.4

# Lines, in mm on the page.
FINE_MM = 0.18
STRONG_MM = 0.35

# Spaces, in mm on the page.
MARGIN_MM = 12.0
GAP_MM = 1.2
BLOCK_MM = 7.0
LEAST_WIDTH_MM = 186.0

# Beads. Shares of the bead's shorter side, or factors on encoded sRGB.
RIM_SHARE = 0.075
"""Width of the darker outline, inside the bead's shape."""
RIM_SHADE = 0.55
SYMBOL_SHARE = 0.72
"""Side of the square that holds a symbol."""
THREAD_SHARE = 0.11
THREAD: RGB = (150, 150, 150)

# The chart.
DOTS_PER_INCH = 300
MOST_PIXELS = 36e6
COMFORTABLE_PIXELS = 10e6
LEAST_SYMBOL_PT = 5.0
SYMBOL_EM = 0.8
"""Side of a symbol's square as a share of its size of type, as for the geometric shapes of a typeface."""
EASY_SYMBOL_PT = 8.0
MOST_SYMBOL_PT = 12.0
PALE = 0.62
"""How far beads that only repeat others are faded towards white."""
SMALL_PIECE_MM = 150.0
"""Pieces are drawn with symbols larger than easy to read only as far as they stay smaller than this."""


def rim_colour(colour: RGB) -> RGB:
    """Return the darker colour of a bead's outline."""
    red, green, blue = (round(channel * RIM_SHADE) for channel in colour)
    return red, green, blue


def paler(colour: RGB) -> RGB:
    """Return the colour of a bead that is there already, in pictures of steps."""
    red, green, blue = (round(246 + (channel - 246) * 0.16) for channel in colour)
    return red, green, blue


def faded(colour: RGB, share: float = PALE) -> RGB:
    """Return a colour faded towards white by a share."""
    red, green, blue = (round(channel + (255 - channel) * share) for channel in colour)
    return red, green, blue
