"""The finished piece as a photograph would show it: beads in light and shade, thread and backing between."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from convert.colour.srgb import decode, encode
from convert.drawing import style
from convert.drawing.canvas import Canvas
from convert.drawing.finish import finish_of, lit, surface
from convert.drawing.piece import Outline, Piece
from convert.drawing.png_file import encode_png
from convert.drawing.raster import coverage
from convert.drawing.style import RGB, Box
from convert.units import MM_PER_INCH

MOST_PIXELS = 24e6
_WANTED_PX = 2400
_LEAST_DPI, _MOST_DPI = 100.0, 2400.0
_MARGIN_SHARE = 0.06
_THREAD: RGB = (222, 219, 211)
_THREAD_MM = 0.16
# Smaller beads are placed to half a pixel, larger ones to a whole one.
_LARGE_PX = 24.0
# Beads are not all alike: each is a little out of place and a little lighter or darker than the next.
_SCATTER_SHARE = 0.018
_TONES = (0.95, 1.0, 1.05)
# The shadow on the backing: how far it falls to the lower right, how soft and how dark it is.
_SHADOW_FALL = (0.10, 0.15)
_SHADOW_SOFT = 0.16
_SHADOW = 0.42
# Pixels whose light is reckoned at a time.
_BLOCK = 1 << 16


def preview_dpi(piece: Piece, dots_per_inch: float | None = None) -> float:
    """Return the resolution of the picture: what is wished, or what gives a good size, within the limit.

    Parameters
    ----------
    piece : Piece
        The piece.
    dots_per_inch : float, optional
        What is wished; it is lowered where the picture would exceed `MOST_PIXELS`.
    """
    width, height = _page_mm(piece)
    if dots_per_inch is None:
        wanted = _WANTED_PX * MM_PER_INCH / max(width, height)
        dots_per_inch = min(max(wanted, _LEAST_DPI), _MOST_DPI)
    return min(dots_per_inch, math.sqrt(MOST_PIXELS / (width * height)) * MM_PER_INCH)


def write_preview(
    piece: Piece,
    dots_per_inch: float | None = None,
    backing: RGB = style.WHITE,
    words: Mapping[str, str] | None = None,
) -> bytes:
    """Return the picture of a piece as a PNG file that is true to size at its resolution.

    Parameters
    ----------
    piece : Piece
        The piece.
    dots_per_inch : float, optional
        See `preview_dpi`.
    backing : tuple of int
        Colour of what it lies on, sRGB bytes.
    words : mapping of str to str, optional
        What the file tells of itself, see `convert.drawing.told`.
    """
    dots_per_inch = preview_dpi(piece, dots_per_inch)
    return encode_png(draw_preview(piece, dots_per_inch, backing), dots_per_inch, words)


def draw_preview(piece: Piece, dots_per_inch: float, backing: RGB = style.WHITE) -> NDArray[np.uint8]:
    """Return the picture of a piece as pixels, shape (H, W, 4), encoded sRGB and 255; see `write_preview`."""
    dots = dots_per_inch / MM_PER_INCH
    width, height = _page_mm(piece)
    canvas = Canvas(max(1, round(height * dots)), max(1, round(width * dots)), backing)
    left, top, _, _ = piece.extent_mm
    margin = _margin_mm(piece)
    scatter = _scatter(len(piece.bead_xy))
    short = np.array([outline.size.shorter_mm for outline in piece.outlines])[piece.bead_outline]
    xy = piece.bead_xy + scatter[:, :2] * (_SCATTER_SHARE * short)[:, None]
    places = (xy - (left - margin, top - margin)) * dots
    tones = (scatter[:, 2] * len(_TONES) / 2 + len(_TONES) / 2).astype(np.int64).clip(0, len(_TONES) - 1)
    groups = [(outline, np.flatnonzero(piece.bead_outline == i)) for i, outline in enumerate(piece.outlines)]
    groups = [(outline, beads) for outline, beads in groups if len(beads)]
    for outline, beads in groups:
        _lay_shadows(canvas, outline, dots, places[beads], backing)
    for outline, beads in groups:
        _lay_threads(canvas, outline, dots, places[beads])
    for outline, beads in groups:
        kinds = piece.bead_colour[beads].astype(np.int64) * len(_TONES) + tones[beads]
        _lay_beads(canvas, outline, dots, places[beads], kinds, piece)
    return canvas.pixels


def draw_preview_part(piece: Piece, box_mm: Box, dots_per_inch: float) -> NDArray[np.uint8]:
    """Return what lies in a box of the picture of a piece on white, shape (H, W, 3), encoded sRGB.

    Parameters
    ----------
    piece : Piece
        The piece.
    box_mm : tuple of float
        Left, top, right and bottom, in mm of the piece.
    dots_per_inch : float
        Resolution.
    """
    left, top, right, bottom = box_mm
    reach = _reach_mm(piece)
    wide = left - reach, top - reach, right + reach, bottom + reach
    near = ((piece.bead_xy > wide[:2]) & (piece.bead_xy < wide[2:])).all(axis=1)
    part = replace(
        piece,
        bead_xy=piece.bead_xy[near],
        bead_outline=piece.bead_outline[near],
        bead_colour=piece.bead_colour[near],
        extent_mm=wide,
    )
    dots = dots_per_inch / MM_PER_INCH
    margin = reach + _margin_mm(part)
    row = column = round(margin * dots)
    height, width = max(1, round((bottom - top) * dots)), max(1, round((right - left) * dots))
    return draw_preview(part, dots_per_inch)[row : row + height, column : column + width, :3].copy()


def _reach_mm(piece: Piece) -> float:
    """Return how far from its centre a bead and its soft shadow are seen at the most."""
    return 1.1 * max(outline.size.longer_mm for outline in piece.outlines)


def _margin_mm(piece: Piece) -> float:
    left, top, right, bottom = piece.extent_mm
    # The soft shadow of the largest bead must find room beside the piece.
    return max(_MARGIN_SHARE * max(right - left, bottom - top), _reach_mm(piece))


def _page_mm(piece: Piece) -> tuple[float, float]:
    left, top, right, bottom = piece.extent_mm
    margin = _margin_mm(piece)
    return right - left + 2 * margin, bottom - top + 2 * margin


def _scatter(beads: int) -> NDArray[np.float64]:
    """Return three numbers a bead between -1 and 1, the same for the same bead (a Kronecker sequence)."""
    # Steps of the R3 sequence, powers of the inverse of the root of x^4 = x + 1.
    steps = 1.2207440846057596 ** -np.arange(1.0, 4.0)
    return np.asarray(2 * (np.arange(1, beads + 1)[:, None] * steps % 1) - 1)


@dataclass(frozen=True, eq=False, slots=True)
class _Windows:
    """Squares of pixels about the centres of beads of one shape, by the part of a pixel each is shifted.

    Parameters
    ----------
    middle : int
        Pixel of the centre from the edge of the square.
    top, left : ndarray of shape (N,), int64
        Upper left pixels of the squares.
    shifts : ndarray of shape (S, 2), float64
        The shifts that occur: where the centre lies in the square.
    which : ndarray of shape (N,), int64
        Shift of each square.
    """

    middle: int
    top: NDArray[np.int64]
    left: NDArray[np.int64]
    shifts: NDArray[np.float64]
    which: NDArray[np.int64]

    @classmethod
    def about(cls, xy_px: NDArray[np.float64], reach_px: float) -> "_Windows":
        """Return squares that reach so many pixels from their centres."""
        parts = 1 if reach_px > _LARGE_PX else 2
        middle = int(np.ceil(reach_px)) + 1
        steps = np.rint(xy_px * parts).astype(np.int64)
        whole, part = steps // parts - middle, steps % parts
        shifts, which = np.unique(part, axis=0, return_inverse=True)
        return cls(middle, whole[:, 1], whole[:, 0], shifts / parts + middle, which)

    def cover(self, shape: NDArray[np.float64]) -> list[NDArray[np.float32]]:
        """Return the coverage of a polygon about the centre, for each shift."""
        side = 2 * self.middle + 1
        return [coverage([shape + shift], (side, side)) for shift in self.shifts]


def _lay_shadows(
    canvas: Canvas, outline: Outline, dots: float, xy_px: NDArray[np.float64], backing: RGB
) -> None:
    """Darken the backing below and beside the beads."""
    diameter = outline.size.diameter_mm
    shape = (outline.polygon() + np.array(_SHADOW_FALL) * diameter) * dots
    soft = _SHADOW_SOFT * diameter * dots
    windows = _Windows.about(xy_px, float(np.abs(shape).max() + 2.5 * soft))
    blur = ImageFilter.GaussianBlur(soft)
    covers = [
        np.asarray(Image.fromarray(np.rint(255 * cover).astype(np.uint8)).filter(blur)) / np.float32(255)
        for cover in windows.cover(shape)
    ]
    rows, columns = np.nonzero(np.max(covers, axis=0) > 0)
    dark = [np.array(backing) * (1 - _SHADOW * cover[rows, columns, None]) for cover in covers]
    sprites = np.full((len(covers), len(rows), 4), 255, np.uint8)
    sprites[:, :, :3] = np.rint(dark)
    canvas.stamp(windows.top, windows.left, windows.which, (rows, columns), sprites)


def _lay_threads(canvas: Canvas, outline: Outline, dots: float, xy_px: NDArray[np.float64]) -> None:
    """Draw the thread that shows at both ends of the beads, rounded by a darker edge."""
    wide, core = (outline.thread(width) * dots for width in (_THREAD_MM, 0.6 * _THREAD_MM))
    windows = _Windows.about(xy_px, float(np.abs(wide).max()))
    outer, inner = windows.cover(wide), windows.cover(core)
    rows, columns = np.nonzero(np.max(outer, axis=0))
    sprites = np.empty((len(outer), len(rows), 4), np.uint8)
    for sprite, edge, middle in zip(sprites, outer, inner, strict=True):
        sprite[:, :3] = np.rint(np.array(_THREAD) * (0.72 + 0.28 * middle[rows, columns, None]))
        sprite[:, 3] = np.rint(255 * edge[rows, columns])
    canvas.lay(windows.top, windows.left, windows.which, (rows, columns), sprites)


def _lay_beads(
    canvas: Canvas,
    outline: Outline,
    dots: float,
    xy_px: NDArray[np.float64],
    kinds: NDArray[np.int64],
    piece: Piece,
) -> None:
    """Draw beads of one shape; `kinds` are colour * tones + tone."""
    shape = outline.polygon() * dots
    windows = _Windows.about(xy_px, float(np.abs(shape).max()))
    covers = windows.cover(shape)
    rows, columns = np.nonzero(np.max(covers, axis=0))
    surfaces = []
    for shift in windows.shifts:
        x, y = (columns + 0.5 - shift[0]) / dots, (rows + 0.5 - shift[1]) / dots
        surfaces.append(surface(outline.size, outline.along, x.astype(np.float32), y.astype(np.float32)))
    each = len(piece.colours) * len(_TONES)
    found, which = np.unique(windows.which * each + kinds, return_inverse=True)
    at, (colour, tone) = found // each, np.divmod(found % each, len(_TONES))
    linear = decode(np.array([look.rgb for look in piece.colours], np.uint8))[colour]
    linear *= np.array(_TONES)[tone, None]
    finishes = [finish_of(look.bead.finish) for look in piece.colours]
    sprites = np.empty((len(found), len(rows), 4), np.uint8)
    for finish, place in itertools.product(dict.fromkeys(finishes), range(len(surfaces))):
        alike = np.flatnonzero((at == place) & np.array([one == finish for one in finishes])[colour])
        step = max(1, _BLOCK // len(rows))
        for some in (alike[start : start + step] for start in range(0, len(alike), step)):
            light = lit(surfaces[place], linear[some], finish, turns=0.13 * tone[some])
            sprites[some, :, :3] = np.rint(255 * encode(light))
        sprites[alike, :, 3] = np.rint(255 * covers[place][rows, columns])
    canvas.lay(windows.top, windows.left, which, (rows, columns), sprites)
