"""One step of the work as a small picture: what is there, what is new, and the way of the thread.

Beads that are woven already are pale, those picked up now have their colour and the number in which they are
strung. The thread is drawn through the holes, in each bead towards the loop that it goes round, so that two
trips through one bead lie side by side; it starts in the bead that it comes out of and ends in an arrow.
"""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from convert.drawing import style
from convert.drawing.labels import Label, label_centred, text_width_mm
from convert.drawing.marks import Point, Stroke, ring
from convert.drawing.piece import Outline, Piece
from convert.drawing.style import RGB, paler
from convert.piece.pattern import Pattern
from convert.thread.stitches import NO_LOOP, Stitches
from convert.weave.model import FloatArray
from convert.weave.tips import tips_of

LAYER = "step"
# On the page, in mm.
PITCH_MM = 18.0
"""Distance of neighbouring loops, so that pieces of small and of large beads look alike."""
_THREAD_MM, _HALO_MM = 0.75, 1.5
_HEAD_MM, _HEAD_HALF_MM = 3.0, 1.35
_AHEAD_MM = 1.4
_TAIL_MM = 8.0
_SEAM_MM = 0.12
_FROM_MM = 0.95
_EDGE_MM = 1.0
# As shares of a bead's diameter: how far beside the hole's middle the thread is drawn, each time further.
_BESIDE, _FURTHER = 0.1, 0.15
_NUMBER_ASIDE = 0.19
_PALE_EDGE: RGB = (190, 190, 190)


@dataclass(frozen=True, eq=False, slots=True)
class StepPicture:
    """A picture of one step, in mm from its upper left corner, y down.

    Parameters
    ----------
    strokes : tuple of Stroke
        Beads and thread, in the order in which they are drawn.
    labels : tuple of Label
        Numbers, over the strokes.
    width_mm, height_mm : float
        Its size.
    """

    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]
    width_mm: float
    height_mm: float


@dataclass(frozen=True, eq=False, slots=True)
class CaptionedStep:
    """A step with its picture and its words.

    Parameters
    ----------
    title : str
        Number of the stitch as in the stitch order, with a letter where the stitch has several steps.
    about : str
        The loops it works on, and how often the kind comes.
    words : str
        What to do.
    picture : StepPicture
        What it looks like.
    """

    title: str
    about: str
    words: str
    picture: StepPicture


class StepArtist:
    """Draws the steps of one piece.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    piece : Piece
        The same as it is drawn.
    told : Stitches
        Its thread path.
    loop_names : list of str
        What the loops are called.
    """

    def __init__(self, pattern: Pattern, piece: Piece, told: Stitches, loop_names: list[str]) -> None:
        self.weave, self.piece, self.told, self.loop_names = pattern.weave, piece, told, loop_names
        self.passes = pattern.thread.passes
        self.first_pass = np.zeros(len(pattern.bead_colour), np.int64)
        self.first_pass[self.passes[::-1]] = np.arange(len(self.passes))[::-1]
        sizes = [outline.size for outline in piece.outlines]
        self.reach = np.array([size.longer_mm / 2 for size in sizes])
        self.direction = np.array([outline.along for outline in piece.outlines])
        self.diameter = np.array([size.diameter_mm for size in sizes])[piece.bead_outline]
        self.bead_xy, self.loop_xy = piece.bead_xy, self.weave.loop_xy
        self.junction_xy = self.weave.junction_xy

    def draw(self, step: int, width_mm: float, height_mm: float) -> StepPicture:
        """Return the picture of a step.

        Parameters
        ----------
        step : int
            The step.
        width_mm, height_mm : float
            Size of the picture.
        """
        start, end = self.told.step_start[step : step + 2].tolist()
        curves = self.thread(step)
        centre, scale = self._view(start, end, curves, width_mm, height_mm)
        offset = np.array([width_mm, height_mm]) / 2 - scale * centre
        strokes = self._beads(start, end, scale, offset, (width_mm, height_mm))
        page = [curve * scale + offset for curve in curves]
        strokes += self._line(page, self._inward(0, int(self.told.loop[1])) if start == 0 else None)
        labels = self._loops(start, end, scale, offset, (width_mm, height_mm))
        labels += self._numbers(start, end, scale, offset)
        return StepPicture(
            tuple(strokes),
            tuple(labels),
            width_mm,
            height_mm,
        )

    def _heading(self, at: int) -> FloatArray:
        """Return the unit vector along which the thread goes through the bead of a pass."""
        bead = self.passes[at]
        along = self.direction[self.piece.bead_outline[bead]]
        if tips_of(self.weave).are(bead):
            onward = self.bead_xy[self.passes[at + 1]] - self.bead_xy[self.passes[at - 1]]
        else:
            onward = self.junction_xy[self.told.leaves_at[at]] - self.bead_xy[bead]
        return np.asarray(along if along @ onward > 0 else -along)

    def _inward(self, at: int, loop: int) -> FloatArray:
        """Return the unit vector across the bead of a pass, towards a loop, or from a tip to the piece."""
        bead = self.passes[at]
        tips = tips_of(self.weave)
        if tips.are(bead):
            towards = self.junction_xy[tips.junction_of(bead)]
        elif loop == NO_LOOP:
            return np.zeros(2)
        else:
            towards = self.loop_xy[loop]
        along = self._heading(at)
        across = np.array([-along[1], along[0]])
        return across if across @ (towards - self.bead_xy[bead]) > 0 else -across

    def thread(self, step: int) -> list[FloatArray]:
        """Return the thread of a step as curves of shape (N, 2), in mm of the piece, one for each pass.

        The first begins in the middle of the bead that the thread comes out of; at the very start it is that
        of the first bead.

        Parameters
        ----------
        step : int
            The step.
        """
        start, end = self.told.step_start[step : step + 2].tolist()
        self._turn_to(start, end)
        trips: Counter[tuple[int, int]] = Counter()
        first = start - 1 if start else start
        ends: list[tuple[FloatArray, FloatArray, FloatArray]] = []
        for at in range(first, end):
            bead = int(self.passes[at])
            size = self.piece.outlines[self.piece.bead_outline[bead]].size
            half = size.length_mm / 2
            comes = int(self.told.loop[at])
            goes = int(self.told.loop[at + 1]) if at + 1 < end else comes
            comes = goes if at == first else comes
            along, middle = self._heading(at), self.bead_xy[bead]
            beside = [
                self._inward(at, loop) * size.diameter_mm * (_BESIDE + _FURTHER * trips[bead, loop])
                for loop in (comes, goes)
            ]
            trips.update({(bead, comes), (bead, goes)})
            ends.append((middle - along * half + beside[0], middle + along * half + beside[1], along))
        curves = []
        for number, (entry, leaving, along) in enumerate(ends):
            parts = []
            if number:
                _, before, came = ends[number - 1]
                parts.append(bezier(before, came, entry, along, 9))
            elif start:
                entry = (entry + leaving) / 2
            parts.append(bezier(entry, along, leaving, along, 7))
            curve = np.concatenate(parts)
            # Where beads touch, a turn may have no length.
            moves = np.linalg.norm(np.diff(curve, axis=0, prepend=np.inf), axis=1) > 1e-6
            curves.append(curve[moves])
        return curves

    def _turn_to(self, start: int, end: int) -> None:
        """Turn a ring so that the seam on the page lies away from some passes."""
        seam = self.weave.seam
        if seam is None:
            return
        here = seam.middle(self.piece.bead_xy[self.passes[max(start - 1, 0) : end]])
        self.bead_xy = seam.near(self.piece.bead_xy, here)
        self.loop_xy = seam.near(self.weave.loop_xy, here)
        self.junction_xy = seam.near(self.weave.junction_xy, here)

    def _view(
        self, start: int, end: int, curves: list[FloatArray], width_mm: float, height_mm: float
    ) -> tuple[FloatArray, float]:
        """Return the middle of what a picture shows, and its scale."""
        beads = self.passes[max(start - 1, 0) : end]
        reach = self.reach[self.piece.bead_outline[beads], None]
        xy = self.bead_xy[beads]
        points = np.concatenate([xy - reach, xy + reach, *curves])
        low, high = points.min(axis=0), points.max(axis=0)
        room = np.array([width_mm, height_mm]) - 2 * (_EDGE_MM + (_AHEAD_MM if start else _TAIL_MM * 0.7))
        scale = min(PITCH_MM / self.weave.spacing.pitch_mm, float((room / (high - low)).min()))
        return (low + high) / 2, scale

    def _beads(self, start: int, end: int, scale: float, offset: FloatArray, size_mm: Point) -> list[Stroke]:
        """Return the beads that are strung by the end of a step and lie wholly inside the picture."""
        piece = self.piece
        xy = self.bead_xy * scale + offset
        reach = self.reach[piece.bead_outline, None] * scale
        shown = (self.first_pass < end) & (xy - reach > 0).all(axis=1) & (xy + reach < size_mm).all(axis=1)
        passed = set(self.passes[max(start - 1, 0) : end].tolist())
        drawn: list[tuple[int, list[Stroke]]] = []
        for bead in np.flatnonzero(shown).tolist():
            outline = piece.outlines[piece.bead_outline[bead]]
            rgb = piece.colours[piece.bead_colour[bead]].rgb
            new = self.first_pass[bead] >= start
            if new:
                look = (2, rgb, style.INK, 0.45)
            elif bead in passed:
                look = (1, paler(rgb), style.SOFT, 0.35)
            else:
                look = (0, paler(rgb), _PALE_EDGE, 0.25)
            rank, fill, edge, edge_mm = look
            drawn.append((rank, bead_strokes(outline, xy[bead], scale, fill, edge, edge_mm)))
        return [stroke for _, shapes in sorted(drawn, key=lambda item: item[0]) for stroke in shapes]

    def _line(self, curves: list[FloatArray], inward: FloatArray | None) -> list[Stroke]:
        """Return the thread on the page, from the bead it comes out of.

        At the very start, where `inward` says in which direction the first loop lies, it comes from its tail,
        which lies clear of the beads.
        """
        start, first = curves[0][0], inward is not None
        if inward is not None:
            heading = curves[0][1] - start
            heading = heading / np.linalg.norm(heading)
            # Between the first bead and the last of a loop of six.
            end = start - _TAIL_MM * (0.5 * heading + 0.87 * inward)
            tail = bezier(end, inward, start, heading, 9)
            curves, start = [np.concatenate([tail, curves[0][1:]]), *curves[1:]], end
        strokes = thread_line(curves)
        begin = (float(start[0]), float(start[1]))
        if first:
            return [*strokes, *_tail_end(begin)]
        return [
            *strokes,
            ring(begin, _FROM_MM / 2, _FROM_MM, style.ACCENT, LAYER),
            ring(begin, _FROM_MM + 0.15, 0.3, style.WHITE, LAYER),
        ]

    def _numbers(self, start: int, end: int, scale: float, offset: FloatArray) -> list[Label]:
        """Return the order of the new beads, on the side of each where the thread is not."""
        labels = []
        new = [at for at in range(start, end) if self.told.picked_up[at]]
        for number, at in enumerate(new, start=1):
            bead = self.passes[at]
            outline = self.piece.outlines[self.piece.bead_outline[bead]]
            look = self.piece.colours[self.piece.bead_colour[bead]]
            comes, goes = self.told.loop[at : at + 2].tolist() if at + 1 < len(self.passes) else [NO_LOOP] * 2
            aside = self._inward(at, goes) * outline.size.diameter_mm * _NUMBER_ASIDE
            if comes not in (goes, NO_LOOP):
                # The thread changes sides in the bead, and has done so towards its end.
                aside = aside - self._heading(at) * outline.size.length_mm * _NUMBER_ASIDE
            x, y = ((self.bead_xy[bead] - aside) * scale + offset).tolist()
            room = min(outline.size.length_mm, outline.size.diameter_mm / 2) * scale
            size = min(style.FACTS.size_pt, room / text_width_mm("00", 1.0) * 0.9)
            kind = style.Type(size, look.ink)
            labels.append(label_centred(str(number), x, y, kind, anchor="middle", layer=LAYER))
        return labels

    def _loops(self, start: int, end: int, scale: float, offset: FloatArray, size_mm: Point) -> list[Label]:
        """Return the names of the loops that the thread goes round, where the picture has room for them."""
        labels = []
        loops = np.unique(self.told.loop[start:end])
        for loop in loops[loops != NO_LOOP].tolist():
            name, (x, y) = self.loop_names[loop], (self.loop_xy[loop] * scale + offset).tolist()
            size = min(style.SMALL.size_pt, self._room(loop) * scale / text_width_mm(name, 1.0))
            kind = style.Type(size, style.SMALL.colour)
            named = label_centred(name, x, y, kind, anchor="middle", layer=LAYER)
            left, top, right, bottom = named.box
            # A loop at the rim of the picture may lie where the words above and below stand.
            inside = left >= 0 and top >= 0 and right <= size_mm[0] and bottom <= size_mm[1]
            if size >= style.LEAST_PT and inside:
                labels.append(named)
        return labels

    def _room(self, loop: int) -> float:
        """Return the width that is free inside a loop between its thread, in mm of the piece."""
        beads = self.weave.side_bead[self.weave.loop_start[loop] : self.weave.loop_start[loop + 1]]
        free = np.linalg.norm(self.bead_xy[beads] - self.loop_xy[loop], axis=1)
        return 2 * float((free - (_BESIDE + _FURTHER) * self.diameter[beads]).min())


def _tail_end(place: Point) -> list[Stroke]:
    """Return the ring that marks the end of the tail."""
    return [
        ring(place, _FROM_MM / 2, _FROM_MM, style.WHITE, LAYER),
        ring(place, _FROM_MM, 0.5, style.ACCENT, LAYER),
    ]


def legend(piece: Piece, x_mm: float, y_mm: float) -> tuple[list[Stroke], list[Label]]:
    """Return what the marks of the pictures mean, on one line."""
    outline = piece.outlines[piece.bead_outline[0]]
    rgb, ink = piece.colours[piece.bead_colour[0]].rgb, piece.colours[piece.bead_colour[0]].ink
    scale = 4.6 / outline.size.longer_mm
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for words, mark in (
        ("new, in this order", "new"),
        ("woven already", "old"),
        ("the thread comes from here", "from"),
        ("and leaves here", "arrow"),
        ("the tail ends here", "tail"),
    ):
        centre = np.array([x_mm + 2.3, y_mm])
        if mark == "arrow":
            line = np.array([[x_mm, y_mm], [x_mm + 1.0, y_mm], [x_mm + 2.4, y_mm]])
            strokes += thread_line([line])
            x_mm += 2.0
        elif mark == "from":
            strokes.append(ring((centre[0], y_mm), _FROM_MM / 2, _FROM_MM, style.ACCENT, LAYER))
        elif mark == "tail":
            strokes += _tail_end((centre[0], y_mm))
        else:
            edge, fill = (style.INK, rgb) if mark == "new" else (_PALE_EDGE, paler(rgb))
            strokes += bead_strokes(outline, centre, scale, fill, edge, 0.4 if mark == "new" else 0.25)
            if mark == "new":
                kind = style.Type(style.BODY.size_pt, ink)
                labels.append(label_centred("1", x_mm + 2.3, y_mm, kind, anchor="middle", layer=LAYER))
        labels.append(label_centred(words, x_mm + 6.0, y_mm, style.BODY_SOFT, layer=LAYER))
        x_mm += 6.0 + text_width_mm(words, style.BODY.size_pt) + 5.0
    return strokes, labels


def bead_strokes(
    outline: Outline, xy: FloatArray, scale: float, fill: RGB, edge: RGB, edge_mm: float
) -> list[Stroke]:
    """Return a bead with its edge, `edge_mm` wide on the page."""
    return [
        Stroke(_points(outline.polygon(inset) * scale + xy), 0.0, colour, LAYER)
        for inset, colour in ((0.0, edge), (edge_mm / scale, fill))
    ]


def thread_line(curves: list[FloatArray]) -> list[Stroke]:
    """Return the thread, ending in an arrow: each pass lies over what was drawn before, edged white."""
    tip = curves[-1][-1]
    onward = tip - curves[-1][-2]
    onward = onward / np.linalg.norm(onward)
    tip = tip + onward * _AHEAD_MM
    curves = [*curves[:-1], np.concatenate([curves[-1], [tip]])]
    strokes = []
    for number, curve in enumerate(curves):
        # It begins a little before its end of the pass before, so that no seam shows.
        back = curve[0] - curve[1]
        joined = np.concatenate([[curve[0] + back / np.linalg.norm(back) * _SEAM_MM * (number > 0)], curve])
        joined = joined[number == 0 :]
        strokes.append(Stroke(_points(curve), _HALO_MM, style.WHITE, LAYER))
        strokes.append(Stroke(_points(joined), _THREAD_MM, style.ACCENT, LAYER))
    across = np.array([-onward[1], onward[0]]) * _HEAD_HALF_MM
    neck = tip - onward * _HEAD_MM * 0.4
    head = np.array([tip + onward * _HEAD_MM * 0.6, neck + across, neck - across])
    strokes.append(Stroke(_points(head), 0.0, style.ACCENT, LAYER))
    return strokes


def bezier(start: FloatArray, out: FloatArray, end: FloatArray, into: FloatArray, points: int) -> FloatArray:
    """Return a cubic curve that leaves and arrives in given directions (Bezier), shape (points, 2)."""
    reach = 0.4 * float(np.linalg.norm(end - start))
    t = np.linspace(0, 1, points)[:, None]
    handles = start, start + out * reach, end - into * reach, end
    weights = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
    return np.asarray(sum(weight * handle for weight, handle in zip(weights, handles, strict=True)))


def _points(corners: FloatArray) -> tuple[Point, ...]:
    return tuple((x, y) for x, y in corners.tolist())
