"""The chart as a PNG at 300 dots an inch."""

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np
from numpy.typing import NDArray

from convert.drawing import style
from convert.drawing.canvas import Canvas, text_cover
from convert.drawing.labels import ANCHORS, Label, font
from convert.drawing.marks import KeyBead, Stroke, stroke_polygons
from convert.drawing.piece import Outline, PieceColour
from convert.drawing.png_file import encode_png
from convert.drawing.raster import coverage
from convert.drawing.scene import Scene
from convert.units import MM_PER_POINT, mm_to_pixels

_PILLOW_ANCHORS = dict(zip(ANCHORS, ("ls", "ms", "rs"), strict=True))
# Sub-pixel places along each axis, from a size of bead in pixels on.
_PHASES = ((1, 40.0), (2, 0.0))


def write_png(scene: Scene, words: Mapping[str, str] | None = None) -> bytes:
    """Return a scene as a PNG file.

    Parameters
    ----------
    scene : Scene
        The page.
    words : mapping of str to str, optional
        What the file tells of itself, see `convert.drawing.told`.
    """
    return encode_png(draw_pixels(scene), style.DOTS_PER_INCH, words)


def draw_pixels(scene: Scene, dots_per_inch: float = style.DOTS_PER_INCH) -> NDArray[np.uint8]:
    """Return a scene as pixels, shape (H, W, 4), encoded sRGB and 255.

    Parameters
    ----------
    scene : Scene
        The page.
    dots_per_inch : float
        Resolution.
    """
    dots = mm_to_pixels(1.0, dots_per_inch)
    canvas = Canvas(round(scene.height_mm * dots), round(scene.width_mm * dots))
    piece = scene.piece
    xy_px = (piece.bead_xy * scene.scale + scene.offset_mm) * dots
    for index, outline in enumerate(piece.outlines):
        beads = np.flatnonzero(piece.bead_outline == index)
        sprites = BeadSprites(outline, scene.scale * dots, piece.looks, symbols=scene.symbols)
        sprites.stamp(canvas, xy_px[beads], piece.bead_look[beads])
    groups: dict[tuple[Outline, float], list[KeyBead]] = {}
    for bead in scene.key_beads:
        groups.setdefault((bead.outline, bead.scale), []).append(bead)
    for (outline, scale), beads_alike in groups.items():
        sprites = BeadSprites(outline, scale * dots, piece.colours, symbols=True)
        xy = np.array([(bead.x_mm, bead.y_mm) for bead in beads_alike]) * dots
        sprites.stamp(canvas, xy, np.array([bead.colour for bead in beads_alike]))
    draw_marks(canvas, scene.strokes, scene.labels, dots)
    return canvas.pixels


def draw_marks(canvas: Canvas, strokes: Iterable[Stroke], labels: Iterable[Label], dots: float) -> None:
    """Draw lines and areas, then words over them.

    Parameters
    ----------
    canvas : Canvas
        The page.
    strokes, labels : iterable
        What to draw, in this order.
    dots : float
        Pixels in a millimetre.
    """
    for stroke in strokes:
        _draw_stroke(canvas, stroke, dots)
    _draw_labels(canvas, labels, dots)


class BeadSprites:
    """Pictures of beads of one shape, in every colour and at every sub-pixel place that is asked for.

    Parameters
    ----------
    outline : Outline
        The shape.
    scale_px : float
        Pixels for a millimetre of the bead.
    colours : tuple of PieceColour
        Colours to choose from.
    symbols : bool
        Whether the beads carry their symbols.
    """

    def __init__(
        self, outline: Outline, scale_px: float, colours: tuple[PieceColour, ...], *, symbols: bool
    ) -> None:
        self._colours = colours
        self._symbols = symbols
        short = outline.size.shorter_mm
        self._symbol_px = style.SYMBOL_SHARE * short * scale_px
        shapes = outline.thread(style.THREAD_SHARE * short), outline.polygon()
        self._shapes = [shape * scale_px for shape in (*shapes, outline.polygon(style.RIM_SHARE * short))]
        # The larger a bead, the less it matters by what part of a pixel it is out of place.
        self._phases = next(phases for phases, least_px in _PHASES if short * scale_px >= least_px)
        self._middle = int(np.ceil(np.abs(np.concatenate(self._shapes)).max())) + 1
        covers = [self._cover([shape], phase) for shape in self._shapes for phase in self._all_phases]
        rows, columns = np.nonzero(np.max(covers, axis=0))
        self._inside = rows, columns

    @property
    def _all_phases(self) -> range:
        return range(self._phases**2)

    def _cover(self, polygons: list[NDArray[np.float64]], phase: int) -> NDArray[np.float32]:
        """Return the coverage of polygons about the middle of a sprite, shifted by part of a pixel."""
        shift = np.array([phase % self._phases, phase // self._phases]) / self._phases + self._middle
        side = 2 * self._middle + 1
        return coverage([polygon + shift for polygon in polygons], (side, side))

    def stamp(self, canvas: Canvas, xy_px: NDArray[np.float64], colour: NDArray[np.int32]) -> None:
        """Draw beads of this shape.

        Parameters
        ----------
        canvas : Canvas
            The page.
        xy_px : ndarray of shape (N, 2)
            Their centres in pixels.
        colour : ndarray of shape (N,)
            Their colours.
        """
        steps = np.rint(xy_px * self._phases).astype(np.int64)
        (x, y), (shift_x, shift_y) = (steps // self._phases - self._middle).T, (steps % self._phases).T
        keys = (shift_y * self._phases + shift_x) * len(self._colours) + colour
        kinds, which = np.unique(keys, return_inverse=True)
        canvas.stamp(y, x, which, self._inside, self._pictures(kinds))

    def _pictures(self, kinds: NDArray[np.int64]) -> NDArray[np.uint8]:
        """Return the picture of each kind, phase * colours + colour, shape (S, P, 4)."""
        pictures = np.full((len(kinds), len(self._inside[0]), 4), 255, np.uint8)
        phase_of, colour_of = np.divmod(kinds, len(self._colours))
        for phase in np.unique(phase_of).tolist():
            covers = [self._cover([shape], phase)[self._inside][:, None] for shape in self._shapes]
            for kind in np.flatnonzero(phase_of == phase).tolist():
                look = self._colours[colour_of[kind]]
                layers = list(zip(covers, (style.THREAD, style.rim_colour(look.rgb), look.rgb), strict=True))
                if self._symbols:
                    symbol = [np.array(polygon) * self._symbol_px for polygon in look.symbol]
                    layers.append((self._cover(symbol, phase)[self._inside][:, None], look.ink))
                mixed = np.full((len(self._inside[0]), 3), 255, np.float32)
                for cover, tone in layers:
                    mixed += cover * (np.array(tone, np.float32) - mixed)
                pictures[kind, :, :3] = np.rint(mixed)
        return pictures


def _draw_stroke(canvas: Canvas, stroke: Stroke, dots: float) -> None:
    polygons = [polygon * dots for polygon in stroke_polygons(stroke)]
    corners = np.concatenate(polygons)
    low = np.floor(corners.min(axis=0)).astype(int) - 1
    high = np.ceil(corners.max(axis=0)).astype(int) + 1
    columns, rows = (high - low).tolist()
    cover = coverage([polygon - low for polygon in polygons], (rows, columns))
    canvas.paint(int(low[1]), int(low[0]), cover, stroke.colour)


def _draw_labels(canvas: Canvas, labels: Iterable[Label], dots: float) -> None:
    @cache
    def cover(text: str, size_px: float, anchor: str) -> tuple[NDArray[np.float32], int, int]:
        return text_cover(text, font(size_px), _PILLOW_ANCHORS[anchor])

    for label in labels:
        size_px = label.size_pt * MM_PER_POINT * dots
        shape, top, left = cover(label.text, size_px, label.anchor)
        canvas.paint(round(label.y_mm * dots) + top, round(label.x_mm * dots) + left, shape, label.colour)
