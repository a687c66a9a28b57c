"""Pictures of how a piece is finished: its beads there, the thread, and what is sewn to it."""

import math
from dataclasses import replace

import numpy as np

from convert.drawing import style
from convert.drawing.labels import Label, label_centred
from convert.drawing.marks import Stroke, ring
from convert.drawing.piece import Piece
from convert.drawing.step_drawing import (
    LAYER,
    PITCH_MM,
    CaptionedStep,
    StepPicture,
    bead_strokes,
    bezier,
    thread_line,
)
from convert.drawing.style import RGB, paler
from convert.instructions.finishing import finishing_steps
from convert.instructions.order import OrderOfWork
from convert.piece.finishing import BUTTON, BUTTON_MM, CLASP, CLOTH, HOOK, SEWN, Fastening, finishing
from convert.weave.model import FloatArray, Weave

_METAL: RGB = (120, 120, 120)
_CLOTH: RGB = (238, 231, 216)
_WEFT: RGB = (222, 212, 192)
_RING_MM, _WIRE_MM = 3.4, 0.9
_BUTTON_MOST_MM = 7.0
_PALE_EDGE: RGB = (190, 190, 190)
_NUMBER_PT = 7.0


def captioned_finish(
    order: OrderOfWork, piece: Piece, width_mm: float, height_mm: float
) -> list[CaptionedStep]:
    """Return the steps of finishing a piece, of which there may be none, with their pictures.

    Parameters
    ----------
    order, piece : OrderOfWork, Piece
        The work, and how its piece is drawn.
    width_mm, height_mm : float
        Size of a picture.
    """
    finish = finishing(order.pattern)
    if finish is None:
        return []
    weave = order.pattern.weave
    return [
        CaptionedStep(
            step.title,
            "",
            step.words,
            finishing_picture(weave, piece, finish.kind, step.fastening, width_mm, height_mm),
        )
        for step in finishing_steps(finish, order.names)
    ]


def finishing_picture(
    weave: Weave, piece: Piece, kind: str, one: Fastening, width_mm: float, height_mm: float
) -> StepPicture:
    """Return the picture of one place that is sewn.

    Parameters
    ----------
    weave, piece : Weave, Piece
        The piece, and how it is drawn.
    kind : str
        What is sewn there, one of `convert.piece.finishing.FINISHES`.
    one : Fastening
        Where.
    width_mm, height_mm : float
        Size of the picture.
    """
    return _Artist(weave, piece, kind, one, np.array([width_mm, height_mm])).picture()


class _Artist:
    """Draws one place on a page whose upper left corner is the origin."""

    def __init__(self, weave: Weave, piece: Piece, kind: str, one: Fastening, size_mm: FloatArray) -> None:
        self.weave, self.piece, self.kind, self.one, self.size_mm = weave, piece, kind, one, size_mm
        self.towards = np.array(one.towards)
        self.shown_beads = list(one.beads[: 4 if kind == SEWN else 3])
        self.moved = np.zeros_like(piece.bead_xy)
        if kind == SEWN:
            self._bring_ends_together()
        places = self._places(self.shown_beads)
        spread = np.ptp(places, axis=0).max() + 1.6 * weave.spacing.pitch_mm
        self.scale = min(PITCH_MM / weave.spacing.pitch_mm, float(size_mm.min()) * 0.8 / spread)
        # The fitting needs room beyond the beads that it is sewn to.
        ahead = 0.0 if kind in (SEWN, CLOTH) else 0.55 * weave.spacing.pitch_mm
        self.offset = size_mm / 2 - self.scale * (places.mean(axis=0) + ahead * self.towards)

    def _bring_ends_together(self) -> None:
        """Move the second end to beyond the first, and turn nothing."""
        first, second = (self.piece.bead_xy[list(self.one.beads[start::2])] for start in (0, 1))
        apart = 1.15 * max(size.diameter_mm for size in self.weave.sizes)
        step = (first - second).mean(axis=0) @ self.towards + apart
        middle = self.piece.bead_xy.mean(axis=0) @ self.towards
        self.moved[self.piece.bead_xy @ self.towards < middle] = step * self.towards

    def _places(self, beads: list[int] | slice) -> FloatArray:
        return np.asarray(self.piece.bead_xy[beads] + self.moved[beads])

    def _page(self, xy: FloatArray) -> FloatArray:
        return np.asarray(xy * self.scale + self.offset)

    def picture(self) -> StepPicture:
        """Return the picture."""
        behind, before = self._fitting()
        strokes = [*behind, *self._beads(), *before, *thread_line(self._thread())]
        return StepPicture(tuple(strokes), tuple(self._numbers()), *self.size_mm.tolist())

    def _beads(self) -> list[Stroke]:
        piece, strokes = self.piece, []
        xy = self._page(self._places(slice(None)))
        reach = np.array([outline.size.longer_mm / 2 for outline in piece.outlines])[piece.bead_outline, None]
        inside = ((xy - reach * self.scale > 0) & (xy + reach * self.scale < self.size_mm)).all(axis=1)
        chosen = set(self.shown_beads)
        for bead in sorted(np.flatnonzero(inside).tolist(), key=lambda bead: bead in chosen):
            rgb = piece.colours[piece.bead_colour[bead]].rgb
            look = (rgb, style.INK, 0.45) if bead in chosen else (paler(rgb), _PALE_EDGE, 0.25)
            strokes += bead_strokes(piece.outlines[piece.bead_outline[bead]], xy[bead], self.scale, *look)
        return strokes

    def _numbers(self) -> list[Label]:
        labels = []
        for number, bead in enumerate(self.shown_beads, start=1):
            outline = self.piece.outlines[self.piece.bead_outline[bead]]
            ink = self.piece.colours[self.piece.bead_colour[bead]].ink
            # Inside the bead beside the thread, which runs through its middle.
            aside = -self.towards * outline.size.diameter_mm * 0.27
            x, y = self._page(self._places([bead])[0] + aside).tolist()
            labels.append(
                label_centred(str(number), x, y, style.Type(_NUMBER_PT, ink), anchor="middle", layer=LAYER)
            )
        return labels

    def _ends(self, bead: int, came_from: FloatArray | None) -> tuple[FloatArray, FloatArray]:
        """Return where the thread enters a bead and where it leaves, the nearer end first."""
        outline = self.piece.outlines[self.piece.bead_outline[bead]]
        middle, half = self._places([bead])[0], np.array(outline.along) * outline.size.length_mm / 2
        ends = self._page(middle - half), self._page(middle + half)
        if came_from is None:
            # The first bead is entered from the side that lies away from the next.
            came_from = 2 * self._page(middle) - self._page(self._places(self.shown_beads).mean(axis=0))
        near, far = sorted(ends, key=lambda end: float(np.linalg.norm(end - came_from)))
        return near, far

    def _thread(self) -> list[FloatArray]:
        """Return the thread on the page: through each bead, and from each round the fitting to the next."""
        curves: list[FloatArray] = []
        end: FloatArray | None = None
        for number, bead in enumerate(self.shown_beads):
            entry, leaving = self._ends(bead, end)
            along = (leaving - entry) / np.linalg.norm(leaving - entry)
            if end is not None:
                came = curves[-1][-1] - curves[-1][-2]
                curves += self._between(end, came / np.linalg.norm(came), entry, along, number)
            curves.append(bezier(entry, along, leaving, along, 7))
            end = leaving
        if self.kind not in (SEWN, CLOTH):
            came = curves[-1][-1] - curves[-1][-2]
            target = self._hold() - self.towards * 0.4 * _RING_MM
            inward = target - curves[-1][-1]
            curves.append(
                bezier(
                    curves[-1][-1], came / np.linalg.norm(came), target, inward / np.linalg.norm(inward), 9
                )
            )
        return curves

    def _between(
        self, start: FloatArray, out: FloatArray, end: FloatArray, into: FloatArray, number: int
    ) -> list[FloatArray]:
        if self.kind in (SEWN, CLOTH) or (self.kind == BUTTON and self.one.strung):
            return [bezier(start, out, end, into, 12)]
        # Round the far side of the ring, a little further for each time.
        far = self._hold() + self.towards * (_RING_MM + 0.9 * number)
        aside = np.array([-self.towards[1], self.towards[0]])
        aside = aside if aside @ (end - start) >= 0 else -aside
        return [bezier(start, out, far, aside, 12), bezier(far, aside, end, into, 12)]

    def _hold(self) -> FloatArray:
        """Return the middle of what the thread goes round."""
        places = self._page(self._places(self.shown_beads))
        outermost = float((places @ self.towards).max())
        middle = places.mean(axis=0)
        clear = 0.9 * self.weave.sizes[0].diameter_mm * self.scale + _RING_MM
        return np.asarray(middle + self.towards * (outermost - middle @ self.towards + clear))

    def _fitting(self) -> tuple[list[Stroke], list[Stroke]]:
        """Return what is drawn behind the beads, and what before them."""
        hold = self._hold()
        if self.kind == CLOTH:
            return self._cloth(), []
        if self.kind == SEWN:
            return [], []
        if self.kind == BUTTON and self.one.strung:
            return [], self._loop_of_beads()
        metal = [_circle(hold, _RING_MM, _WIRE_MM, _METAL)]
        beyond = hold + self.towards * (_RING_MM + _WIRE_MM / 2)
        if self.kind == BUTTON:
            radius = min(_BUTTON_MOST_MM, BUTTON_MM / 2 * self.scale)
            disc = hold + self.towards * radius
            return [*_disc(disc, radius, style.HAIR, _METAL), *metal], []
        if self.kind == HOOK:
            return [], [*metal, _hook(beyond, self.towards)]
        if self.kind == CLASP:
            end = beyond + self.towards * 5.0
            return [], [*metal, _line(beyond, end, 3.2, _METAL)]
        return [], metal

    def _loop_of_beads(self) -> list[Stroke]:
        """Return the beads of a loop for a button, from the first bead that it is sewn to, to the last."""
        places = self._page(self._places([self.shown_beads[0], self.shown_beads[-1]]))
        bead_mm = self.weave.sizes[0].length_mm * self.scale
        radius = min(max(self.one.strung * bead_mm / (2 * math.pi), bead_mm), 9.0)
        centre = places.mean(axis=0) + self.towards * radius
        outline = self.piece.outlines[0]
        shown = min(self.one.strung, max(4, round(2 * math.pi * radius / bead_mm) - 1))
        strokes: list[Stroke] = []
        turn = math.atan2(-self.towards[1], -self.towards[0])
        for place in range(1, shown + 1):
            angle = turn + 2 * math.pi * place / (shown + 1)
            at = centre + radius * np.array([math.cos(angle), math.sin(angle)])
            across = replace(outline, degrees=math.degrees(angle + math.pi / 2) % 180)
            strokes += bead_strokes(across, at, self.scale * 0.98, style.HAIR, style.SOFT, 0.25)
        return strokes

    def _cloth(self) -> list[Stroke]:
        width, height = self.size_mm.tolist()
        edge = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
        weft = [
            _line(np.array([0.0, y]), np.array([width, y]), 0.15, _WEFT)
            for y in np.arange(1.0, height, 1.5).tolist()
        ]
        return [Stroke(edge, 0.0, _CLOTH, LAYER), *weft]


def _line(start: FloatArray, end: FloatArray, width_mm: float, colour: RGB) -> Stroke:
    return Stroke((_point(start), _point(end)), width_mm, colour, LAYER)


def _point(xy: FloatArray) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])


def _circle(centre: FloatArray, radius_mm: float, width_mm: float, colour: RGB) -> Stroke:
    return ring(_point(centre), radius_mm, width_mm, colour, LAYER)


def _disc(centre: FloatArray, radius_mm: float, fill: RGB, edge: RGB) -> list[Stroke]:
    outline = _circle(centre, radius_mm, 0.5, edge)
    return [Stroke(outline.points, 0.0, fill, LAYER), outline]


def _hook(start: FloatArray, towards: FloatArray) -> Stroke:
    """Return the wire of an earring hook: up, round, and down behind the ear."""
    aside = np.array([-towards[1], towards[0]])
    angles = np.linspace(math.pi, -0.2 * math.pi, 24)[:, None]
    top = start + towards * 6.0 + aside * 3.0
    bow = top + 3.0 * (np.cos(angles) * aside + np.sin(angles) * towards)
    way = np.concatenate([[start], bow, [bow[-1] - towards * 6.0 + aside * 1.0]])
    return Stroke(tuple(_point(xy) for xy in way), 0.8, _METAL, LAYER)
