"""The lakeside range: the bead colours of the invented workshop, filled up so that most pictures find theirs.

`range_csv` makes ``palettes/lakeside-range.csv``. It takes the colours the workshop has always had
(``established.csv``) and adds new ones where a picture misses them most, as a k-median problem: one after the
other, each the one that helps most, then exchanged for better ones until none helps any more (Teitz and Bart
1968). What is missed is the mean squared CIEDE2000 difference over three kinds of colour, each in units of
its own aim, since eyes are hard to please in greys and in faces.
"""

import csv
import io
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import lab_to_lch, srgb_to_lab
from convert.colour.srgb import parse_hex, to_hex
from convert.colour.surface_gamut import surface_chroma
from convert.weave.beads import bead_size

MOST_COLOURS = 240
GRID = 33  # steps of each channel of sRGB on which the range is judged
GREY_CHROMA = 8.0
# Skin of all people, roughly: lightness, chroma and hue in degrees. From memory.
SKIN = ((25.0, 85.0), (10.0, 35.0), (35.0, 75.0))
# What glass reaches: neither the blackest black nor the whitest white, and three quarters of the chroma that
# paint, dye and print reach; greys always. Common practice, no source.
GLASS_LIGHTNESS = (5.0, 96.0)
GLASS_SHARE = 0.75
# CIEDE2000 differences to be content with: anywhere, in greys, in skin.
AIMS = (6.5, 3.0, 4.0)
# So that differences can be added up as whole numbers, and every machine finds the same range.
_UNIT = 1e-8

# What a pack costs at each size in percent of 11/0, and at 11/0 in each finish in cents. All invented.
SIZES = {"15/0": 130, "11/0": 100, "8/0": 95, "6/0": 90}
PRICES = {"opaque": 220, "transparent": 230, "matte": 240, "lined": 270, "rainbow": 310, "metallic": 420}
PACK_G = 10
HEADER = ("code", "name", "size", "hex", "finish", "per_gram", "pack_g", "price")

# Lightness of each step of a family.
STEPS = {"pale": 89.0, "light": 75.0, "": 60.0, "deep": 44.0, "dark": 27.0, "night": 12.0}
# Code, name and finish of the new families, and the chroma and hue in degrees they stand about.
FAMILIES = (
    ("GU", "gull", "opaque", 3, 20),
    ("DN", "dunlin", "opaque", 7, 20),
    ("DF", "driftwood", "matte", 7, 75),
    ("ST", "silt", "lined", 5, 110),
    ("LI", "lichen", "matte", 6, 144),
    ("EG", "eelgrass", "opaque", 5, 144),
    ("MI", "mist", "transparent", 6, 199),
    ("RN", "rain", "transparent", 3, 199),
    ("TN", "tern", "opaque", 7, 240),
    ("GS", "grebe slate", "lined", 5, 291),
    ("PV", "plover", "lined", 6, 325),
    ("WG", "wigeon", "matte", 7, 344),
    ("RF", "ruff", "opaque", 16, 40),
    ("SP", "sandpiper", "lined", 26, 44),
    ("CU", "curlew", "matte", 26, 68),
    ("WL", "willow", "opaque", 70, 110),
    ("TF", "tree frog", "transparent", 60, 138),
    ("PW", "pondweed", "transparent", 42, 160),
    ("DR", "dragonfly", "rainbow", 40, 275),
    ("WV", "water violet", "transparent", 58, 305),
    ("LS", "loosestrife", "opaque", 60, 325),
    ("MW", "mallow", "lined", 58, 348),
)

Colour = tuple[str, str, str, str]  # code, name, hex, finish


def range_csv() -> str:
    """Return the lakeside range as the text of its palette file: every colour in every size."""
    colours = [*_established(), *_new_colours()]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for size, percent in SIZES.items():
        per_gram = f"{bead_size(size).beads_per_gram:g}"
        for code, name, colour, finish in colours:
            price = PRICES[finish] * percent // 100 / 100
            writer.writerow((code, name, size, colour, finish, per_gram, PACK_G, f"{price:.2f}"))
    return out.getvalue()


def grid() -> tuple[NDArray[np.uint8], NDArray[np.float64], NDArray[np.bool_]]:
    """Return the colours on which a range is judged.

    Returns
    -------
    rgb : ndarray of shape (N, 3), uint8
        The grid over encoded sRGB.
    lab : ndarray of shape (N, 3), float64
        The same in CIELAB.
    kinds : ndarray of shape (3, N), bool
        Which lie within the surface of the grid, which are nearly grey, and which are skin.
    """
    steps = np.linspace(0, 255, GRID).round().astype(np.uint8)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    lab = srgb_to_lab(rgb)
    lch = lab_to_lch(lab)
    lch[:, 2] = np.degrees(lch[:, 2]) % 360
    low, high = np.array(SKIN).T
    skin = ((lch >= low) & (lch <= high)).all(axis=1)
    inside = ((rgb > 0) & (rgb < 255)).all(axis=1)
    return rgb, lab, np.stack([inside, lch[:, 1] < GREY_CHROMA, skin])


def within_glass(lab: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which colours (N, 3) of CIELAB new beads are taken to reach."""
    least, most = GLASS_LIGHTNESS
    lightness, chroma, _ = np.moveaxis(lab_to_lch(lab), -1, 0)
    limit = np.maximum(GREY_CHROMA, GLASS_SHARE * surface_chroma(lab))
    within: NDArray[np.bool_] = (least <= lightness) & (lightness <= most) & (chroma <= limit)
    return within


def _established() -> list[Colour]:
    text = (files("convert.palette") / "established.csv").read_text(encoding="utf-8")
    _, *rows = csv.reader(io.StringIO(text))
    return [(code, name, colour, finish) for code, name, colour, finish in rows]


def _new_colours() -> list[Colour]:
    """Return the colours to add, family by family and each family from light to dark."""
    established = np.array([parse_hex(colour) for _, _, colour, _ in _established()], np.uint8)
    rgb, lab, kinds = grid()
    # Every other place of the grid suffices for the colours at large.
    coarse = (np.indices((GRID,) * 3) % 2 == 0).all(axis=0).ravel()
    kinds[0] &= coarse
    judged = np.flatnonzero(kinds.any(axis=0))
    shares = kinds / kinds.sum(axis=1, keepdims=True)
    weight = 1 / np.square(AIMS) @ shares[:, judged]
    offered = judged[within_glass(lab[judged])]

    def missed(beads: NDArray[np.float64]) -> NDArray[np.int32]:
        """Return what each colour judged misses with each bead, shape (beads, judged)."""
        units = (np.rint(weight * ciede2000(lab[judged], bead) ** 2 / _UNIT) for bead in beads)
        return np.stack([of_bead.astype(np.int32) for of_bead in units])

    least = missed(srgb_to_lab(established)).min(axis=0)
    added = _filled_up(missed(lab[offered]), least, MOST_COLOURS - len(established))
    return _named(rgb[offered[added]])


def _filled_up(missed: NDArray[np.int32], least: NDArray[np.int32], count: int) -> NDArray[np.int64]:
    """Return the offers to add.

    Parameters
    ----------
    missed : ndarray of shape (offers, judged), int32
        What each colour judged misses with each offer.
    least : ndarray of shape (judged,), int32
        What it misses without any.
    count : int
        How many to add.
    """
    # Most offers are far from most colours and help them in no case.
    offer, of = np.nonzero(missed < least)
    here = missed[offer, of]

    def gains(others: list[int]) -> NDArray[np.float64]:
        """Return how much less is missed with each offer when others are there; whole numbers."""
        rest = np.minimum(least, missed[others].min(axis=0, initial=np.iinfo(np.int32).max))
        return np.bincount(offer, np.maximum(rest[of] - here, 0), len(missed)).astype(np.float64)

    added: list[int] = []
    for _ in range(count):
        added.append(int(gains(added).argmax()))
    place, idle = 0, 0
    while idle < count:
        gain = gains(added[:place] + added[place + 1 :])
        best = int(gain.argmax())
        if gain[best] > gain[added[place]]:
            added[place], idle = best, 0
        else:
            idle += 1
        place = (place + 1) % count
    return np.array(added, np.int64)


def _named(rgb: NDArray[np.uint8]) -> list[Colour]:
    """Return colours with a place in the new families: the nearest places in all."""
    from scipy.optimize import linear_sum_assignment

    families = np.repeat(np.array([(chroma, hue) for *_, chroma, hue in FAMILIES], np.float64), len(STEPS), 0)
    lightness = np.tile(list(STEPS.values()), len(FAMILIES))
    chroma, hue = families[:, 0], np.radians(families[:, 1])
    places = np.column_stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)])
    lab = srgb_to_lab(rgb)
    colour, place = linear_sum_assignment(ciede2000(lab[:, None], places))
    order = np.argsort(place)
    colour, place = colour[order], place[order]
    # Within a family what is lighter stands before what is darker.
    colour = colour[np.lexsort((-lab[colour, 0], place // len(STEPS)))]
    named = []
    for of, at in zip(colour.tolist(), place.tolist(), strict=True):
        code, name, finish, *_ = FAMILIES[at // len(STEPS)]
        step = list(STEPS)[at % len(STEPS)]
        named.append((f"{code}{at % len(STEPS) + 1}", f"{step} {name}".strip(), to_hex(rgb[of]), finish))
    return named
