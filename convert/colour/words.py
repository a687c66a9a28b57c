"""Plain words for colours."""

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000

# Words of common speech with a colour of each, CIELAB under D65; the colours are our own.
WORDS: dict[str, tuple[tuple[int, int, int], ...]] = {
    "white": ((96, 0, 0), (92, 0, 1), (90, -1, -3)),
    "cream": ((86, 3, 8), (92, 0, 11), (87, 2, 15)),
    "light grey": ((87, 0, 0), (83, 0, 0), (76, 0, 0), (78, -2, -5)),
    "grey": ((63, 0, 0), (54, 0, 0), (56, -3, -6)),
    "dark grey": ((40, 0, 0), (30, 0, 0), (33, -2, -5), (31, -9, -4)),
    "black": ((18, 0, 0), (8, 0, 0)),
    "beige": ((78, 4, 18), (70, 6, 20)),
    "light brown": ((60, 12, 28), (56, 14, 24)),
    "brown": ((42, 17, 27), (36, 18, 22)),
    "dark brown": ((24, 12, 14), (18, 9, 9)),
    "light pink": ((85, 16, 3), (80, 22, 3)),
    "pink": ((70, 40, 4), (62, 52, -2)),
    "dusty pink": ((62, 20, 8), (54, 22, 8)),
    "red": ((48, 66, 44), (42, 58, 32)),
    "dark red": ((26, 38, 18), (32, 44, 22)),
    "coral": ((66, 46, 30), (70, 36, 28)),
    "orange": ((75, 24, 79), (68, 42, 68), (60, 54, 60)),
    "rust": ((45, 38, 42), (40, 34, 36), (54, 34, 50)),
    "light yellow": ((93, -5, 38), (92, -8, 50)),
    "yellow": ((86, 2, 76), (92, -14, 84)),
    "mustard": ((66, 10, 60), (60, 8, 50)),
    "olive": ((48, -6, 38), (38, -6, 30), (55, -24, 48)),
    "light olive": ((73, -8, 38), (66, -8, 32)),
    "yellow green": ((76, -34, 64), (82, -40, 76)),
    "light green": ((84, -28, 26), (82, -40, 36)),
    "green": ((56, -48, 40), (50, -44, 30), (72, -66, 58)),
    "grey green": ((62, -14, 12), (50, -13, 10)),
    "dark green": ((30, -28, 18), (24, -20, 8)),
    "light turquoise": ((86, -26, -4), (82, -24, -10)),
    "turquoise": ((68, -38, -8), (72, -44, 4), (62, -30, -20)),
    "dark turquoise": ((42, -28, -8), (34, -20, -10)),
    "light blue": ((87, -4, -7), (78, -10, -22), (70, -8, -32), (78, -2, -17)),
    "blue": ((48, 4, -48), (40, 20, -62), (54, -8, -38), (32, 76, -104), (62, 8, -48)),
    "grey blue": ((58, -5, -16), (48, -3, -16)),
    "dark blue": ((22, 12, -36), (18, 20, -46), (26, 0, -22)),
    "lilac": ((74, 18, -20), (66, 24, -28)),
    "violet": ((52, 40, -62), (58, 30, -46), (44, 34, -54)),
    "purple": ((42, 46, -46), (46, 60, -54), (36, 38, -36)),
    "dark purple": ((22, 26, -24), (18, 18, -16)),
    "magenta": ((52, 72, -28), (44, 62, -14)),
    "plum": ((34, 32, -6), (28, 28, -4)),
}


def plain_words(labs: NDArray[np.float64]) -> list[str]:
    """Return the word of each colour: that of the nearest colour in `WORDS`, by CIEDE2000.

    Parameters
    ----------
    labs : ndarray of shape (N, 3)
        CIELAB under D65.
    """
    words = [word for word, colours in WORDS.items() for _ in colours]
    known = np.array([colour for colours in WORDS.values() for colour in colours], float)
    return [words[place] for place in ciede2000(labs[:, None], known[None]).argmin(axis=1).tolist()]
