"""Beads in a PDF: each shape in each colour is stored once and then only placed."""

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.drawing import style
from convert.drawing.marks import KeyBead, Point
from convert.drawing.pdf_canvas import PdfCanvas, fill_code, path_code
from convert.drawing.piece import Outline, Piece
from convert.drawing.style import Box

INKS = ("colour", "spare")
_SPARE_RIM = 0.6


class PdfBeads:
    """The beads of a piece in one PDF file.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    piece : Piece
        The piece.
    ink : str
        One of `INKS`; ``spare`` leaves the beads white, with a thin outline and their symbol.
    """

    def __init__(self, canvas: PdfCanvas, piece: Piece, ink: str) -> None:
        self._canvas = canvas
        self._piece = piece
        self._spare = ink == "spare"
        self._forms: dict[tuple[Outline, int, bool], str] = {}
        self._reach = max(float(np.abs(outline.polygon()).max()) for outline in piece.outlines)
        # Room for a bead of any shape with its thread.
        half = self._reach + max(outline.side_mm for outline in piece.outlines)
        self._box: Any = -half, -half, half, half  # the annotations of reportlab say int

    def draw(
        self,
        scale: float,
        offset_mm: Point,
        *,
        symbols: bool,
        clip: Box | None = None,
        pale: bool = False,
    ) -> list[int]:
        """Draw the piece, or the part of it that shows.

        Parameters
        ----------
        scale, offset_mm : float, tuple of float
            A point p of the piece lies at ``offset_mm + scale * p`` on the page.
        symbols : bool
            Whether beads carry their symbols; with spare ink they always do.
        clip : tuple of float, optional
            Left, top, right and bottom of the part of the page that is drawn on.
        pale : bool
            Whether repeats but the first are drawn pale.

        Returns
        -------
        list of int
            The colours of the beads that show, most beads first.
        """
        piece = self._piece
        shown = np.ones(len(piece.bead_xy), bool) if clip is None else self._within(scale, offset_mm, clip)
        looks, bead_look = len(piece.looks), piece.bead_look if pale else piece.bead_colour
        keys, which = np.unique(
            piece.bead_outline[shown].astype(np.int64) * looks + bead_look[shown],
            return_inverse=True,
        )
        names = [self._form(piece.outlines[key // looks], key % looks, symbols) for key in keys.tolist()]
        with self._canvas.millimetres(scale, offset_mm, clip) as canvas:
            for (x, y), form in zip(piece.bead_xy[shown].tolist(), which.tolist(), strict=True):
                # As saveState, translate and restoreState, which take four times as long.
                canvas.addLiteral(f"q 1 0 0 1 {x:.4f} {y:.4f} cm")
                canvas.doForm(names[form])
                canvas.addLiteral("Q")
        return [int(colour) for colour in np.unique(piece.bead_colour[shown])]

    def _within(self, scale: float, offset_mm: Point, clip: Box) -> NDArray[np.bool_]:
        """Return which beads reach into a part of the page."""
        low = (np.array(clip[:2]) - offset_mm) / scale - self._reach
        high = (np.array(clip[2:]) - offset_mm) / scale + self._reach
        return np.asarray(((self._piece.bead_xy > low) & (self._piece.bead_xy < high)).all(axis=1))

    def draw_single(self, bead: KeyBead) -> None:
        """Draw a bead of the key, with its symbol."""
        form = self._form(bead.outline, bead.colour, symbols=True)
        with self._canvas.millimetres(bead.scale, (bead.x_mm, bead.y_mm)) as canvas:
            canvas.doForm(form)

    def _form(self, outline: Outline, colour: int, symbols: bool) -> str:
        """Return the name under which a bead is stored, about its centre and in mm."""
        kind = outline, colour, symbols or self._spare
        if kind not in self._forms:
            self._forms[kind] = self._canvas.new_form()
            self._store(self._forms[kind], *kind)
        return self._forms[kind]

    def _store(self, name: str, outline: Outline, colour: int, symbols: bool) -> None:
        look = self._piece.looks[colour]
        short = outline.size.shorter_mm
        edge, inside = _bead_path(outline), _bead_path(outline, style.RIM_SHARE * short)
        parts = [
            (_thread_path(outline), style.THREAD),
            (edge, style.rim_colour(look.rgb)),
            (inside, look.rgb),
        ]
        ink = look.ink
        if self._spare:
            inside = _bead_path(outline, _SPARE_RIM * style.RIM_SHARE * short)
            pale = colour >= len(self._piece.colours)
            parts = [(edge, style.HAIR if pale else style.LINE), (inside, style.WHITE)]
            ink = style.LINE if pale else style.INK
        if symbols:
            side = style.SYMBOL_SHARE * short
            symbol = [path_code((x * side, y * side) for x, y in polygon) for polygon in look.symbol]
            parts.append((" ".join(symbol), ink))
        canvas = self._canvas.raw
        canvas.beginForm(name, *self._box)
        canvas.addLiteral("\n".join(fill_code(*part) for part in parts))
        canvas.endForm()


@cache
def _bead_path(outline: Outline, inset_mm: float = 0.0) -> str:
    """Return the outline of a bead, which is the same in every colour."""
    return path_code(outline.polygon(inset_mm).tolist())


@cache
def _thread_path(outline: Outline) -> str:
    return path_code(outline.thread(style.THREAD_SHARE * outline.size.shorter_mm).tolist())
