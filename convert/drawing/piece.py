"""The piece as it is drawn: beads with their outlines, colours and symbols, at true size in millimetres.

Thousands of beads stay arrays; everything of which there are only a few is an object. Every drawing lays this
on its own page at its own scale.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.colour.srgb import parse_hex
from convert.drawing.contrast import ink_on
from convert.drawing.piece_rows import Rows, rows_of, sides_of_rows
from convert.drawing.style import RGB, Box, faded
from convert.drawing.symbols import Symbol, choose_symbols, symbols
from convert.palette.model import BeadColour
from convert.piece.pattern import Pattern
from convert.piece.repeats import repeated_beads
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.neighbours import NONE, bead_neighbours
from convert.weave.shapes import Sheet
from convert.weave.tips import Tips, tip_places, tips_of

ARC_POINTS = 21
# Symbols on pale beads stay dark enough to be read.
_PALE_INK = 0.4


@dataclass(frozen=True, slots=True)
class Outline:
    """A shape in which beads occur.

    Parameters
    ----------
    size : BeadSize
        Size of the bead.
    degrees : float
        Direction of the hole, clockwise on the page from the x axis, from 0 to below 180.
    side_mm : float
        Length of the thread through the bead from junction to junction.
    """

    size: BeadSize
    degrees: float
    side_mm: float

    @property
    def along(self) -> tuple[float, float]:
        """Unit vector along the hole."""
        angle = math.radians(self.degrees)
        return math.cos(angle), math.sin(angle)

    def polygon(self, inset_mm: float = 0.0) -> FloatArray:
        """Return the outline about the bead's centre, shape (N, 2), in mm.

        Rounded beads are the hull of two circles of radius L/2, cylinders a rectangle (see
        `convert.weave.beads.BeadSize.reach_mm`).

        Parameters
        ----------
        inset_mm : float
            How far inside the outline to stay.
        """
        length, diameter = self.size.length_mm / 2 - inset_mm, self.size.diameter_mm / 2 - inset_mm
        if self.size.rounded:
            arc = np.linspace(0, np.pi, ARC_POINTS)
            half = np.stack([length * np.cos(arc), length * np.sin(arc) + diameter - length], axis=1)
            shape = np.concatenate([half, -half])
        else:
            shape = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * (length, diameter)
        cosine, sine = self.along
        return np.asarray(shape @ np.array([[cosine, sine], [-sine, cosine]]))

    def thread(self, width_mm: float) -> FloatArray:
        """Return the thread through the bead, from junction to junction, about its centre, shape (4, 2).

        Parameters
        ----------
        width_mm : float
            Width of the thread.
        """
        half, wide = self.side_mm / 2, width_mm / 2
        cosine, sine = self.along
        corners = np.array([[half, wide], [half, -wide], [-half, -wide], [-half, wide]])
        return np.asarray(corners @ np.array([[cosine, sine], [-sine, cosine]]))


@dataclass(frozen=True, slots=True)
class PieceColour:
    """A colour of the piece.

    A palette may list a colour once for each size; here these are one, as
    `convert.palette.model.Palette.colour_numbers` says.

    Parameters
    ----------
    bead : BeadColour
        Entry of the palette, the first of those that differ in their size only.
    counts : tuple of int
        Beads of that colour in the core's and in the connector's size.
    rgb : tuple of int
        sRGB bytes.
    ink : tuple of int
        Black or white, for the symbol.
    symbol : Symbol
        Mark that stands for it.
    """

    bead: BeadColour
    counts: tuple[int, int]
    rgb: RGB
    ink: RGB
    symbol: Symbol


@dataclass(frozen=True, eq=False, slots=True)
class Piece:
    """Everything a drawing of the piece shows, at true size in mm, y down.

    Parameters
    ----------
    sizes : tuple of BeadSize
        Core and connector, to which ``PieceColour.counts`` refers.
    outlines : tuple of Outline
        Shapes of beads.
    colours : tuple of PieceColour
        Colours, most beads first.
    colour_of_entry : ndarray of shape (K,), int32
        Which of `colours` each entry of the palette is; -1 where it is not used.
    bead_xy : ndarray of shape (B, 2), float64
        Centres of the beads; the small beads at the tips come last.
    bead_outline, bead_colour : ndarray of shape (B,), int32
        Indices into `outlines` and `colours`.
    loop_xy : ndarray of shape (L, 2), float64
        Centres of the loops.
    hangs : bool
        Whether the last loop is one to hang the piece by, which has no number.
    loop_number : ndarray of shape (L,), int32
        Place of each loop in its row, from 1; in a piece without straight rows the number of the loop.
    loop_at_end : ndarray of shape (L,), bool
        Whether a loop is the first or the last of its row; in a piece without straight rows, none is.
    loop_walls : ndarray of shape (W, 3), float64
        What bounds the free space inside every loop: in the direction (x, y), both taken as positive, the
        beads begin so many mm from the centre.
    rows : Rows or None
        The rows of a sheet; None for a piece made in rounds.
    flat : bool
        Whether the piece lies flat by itself, so that it is drawn to scale.
    start : int
        The first bead on the thread.
    extent_mm : tuple of float
        Left, top, right and bottom of all beads.
    pale : ndarray of shape (B,), bool
        Beads of repeats but the first, which a chart draws pale.
    seam_xy : ndarray of shape (S, 2), float64
        In a ring the places, seen from the loops at one end, of beads that are drawn at the other.
    seam_outline : ndarray of shape (S,), int32
        Their outlines.
    """

    sizes: tuple[BeadSize, BeadSize]
    outlines: tuple[Outline, ...]
    colours: tuple[PieceColour, ...]
    colour_of_entry: IntArray
    bead_xy: FloatArray
    bead_outline: IntArray
    bead_colour: IntArray
    loop_xy: FloatArray
    hangs: bool
    loop_number: IntArray
    loop_at_end: NDArray[np.bool_]
    loop_walls: FloatArray
    rows: Rows | None
    flat: bool
    start: int
    extent_mm: Box
    pale: NDArray[np.bool_]
    seam_xy: FloatArray
    seam_outline: IntArray

    @property
    def looks(self) -> tuple[PieceColour, ...]:
        """The colours as a chart draws them: each in full and, if there are pale beads, then each pale."""
        if not self.pale.any():
            return self.colours
        pale_rgb = [faded(colour.rgb) for colour in self.colours]
        pale = (
            replace(colour, rgb=rgb, ink=faded(ink_on(rgb), _PALE_INK))
            for colour, rgb in zip(self.colours, pale_rgb, strict=True)
        )
        return (*self.colours, *pale)

    @property
    def bead_look(self) -> IntArray:
        """Index into `looks` of each bead, shape (B,)."""
        return self.bead_colour + self.pale * np.int32(len(self.colours))

    @property
    def narrowest_mm(self) -> float:
        """The shortest measure of any bead."""
        return min(outline.size.shorter_mm for outline in self.outlines)


def draw_piece(pattern: Pattern) -> Piece:
    """Return a pattern as it is drawn.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    """
    weave = pattern.weave
    colour_of_entry, counts = merged_colours(pattern)
    bead_colour = colour_of_entry[pattern.bead_colour]
    outlines, bead_outline, bead_xy = _outlines(weave, tips_of(weave) if pattern.edge == "points" else None)
    seam_bead, seam_xy = _beyond_seam(weave)
    reach = np.array([np.abs(outline.polygon()).max(axis=0) for outline in outlines])
    reach = reach[np.append(bead_outline, bead_outline[seam_bead])]
    places = np.concatenate([bead_xy, seam_xy])
    low, high = (places - reach).min(axis=0), (places + reach).max(axis=0)
    sheet = pattern.shape if isinstance(pattern.shape, Sheet) else None
    return Piece(
        sizes=weave.sizes,
        outlines=outlines,
        colours=_colours(pattern, colour_of_entry, counts),
        colour_of_entry=colour_of_entry,
        bead_xy=bead_xy,
        bead_outline=bead_outline,
        bead_colour=bead_colour,
        loop_xy=weave.loop_xy,
        hangs=weave.hanging > 0,
        loop_number=weave.loop_column + 1
        if sheet is not None
        else np.arange(1, weave.loops + 1, dtype=np.int32),
        loop_at_end=np.zeros(weave.loops, bool) if sheet is None else _at_ends(weave),
        loop_walls=_loop_walls(weave),
        rows=None if sheet is None else rows_of(pattern, sheet.direction),
        flat=pattern.shape.width_share == 1.0,
        start=int(pattern.thread.passes[0]),
        extent_mm=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
        pale=repeated_beads(pattern),
        seam_xy=seam_xy,
        seam_outline=bead_outline[seam_bead],
    )


def _beyond_seam(weave: Weave) -> tuple[IntArray, FloatArray]:
    """Return the beads of a ring that some loop has at the other end, and where that loop has them."""
    if weave.seam is None:
        return np.empty(0, np.int32), np.empty((0, 2))
    beads, sides = np.unique(weave.side_bead[weave.seam.side_round != 0], return_index=True)
    return beads, weave.side_xy[np.flatnonzero(weave.seam.side_round != 0)[sides]]


def _outlines(weave: Weave, tips: Tips | None) -> tuple[tuple[Outline, ...], IntArray, FloatArray]:
    """Return the shapes that occur, which of them each bead has, and where the beads lie."""
    xy, direction, size, side = weave.bead_xy, weave.bead_direction, weave.bead_size, weave.bead_span_mm
    if tips is not None:
        tip_xy, tip_direction = tip_places(weave)
        xy, direction = tips.extended(xy, tip_xy), tips.extended(direction, tip_direction)
        size, side = tips.extended(size, tips.size_index), tips.extended(side, tips.size.length_mm)
    # Whole degrees and tenths of a millimetre: far below what a drawing shows, so that a sheet has only a
    # few shapes however its positions were rounded.
    degrees = np.rint(np.degrees(np.arctan2(direction[:, 1], direction[:, 0]))).astype(np.int64) % 180
    tenths = np.rint(side * 10).astype(np.int64)
    keys = (size * 180 + degrees) * 10_000 + tenths
    shapes, bead_outline = np.unique(keys, return_inverse=True)
    outlines = tuple(
        Outline(weave.sizes[key // 1_800_000], float(key // 10_000 % 180), key % 10_000 / 10)
        for key in shapes.tolist()
    )
    return outlines, bead_outline.astype(np.int32), xy


def _at_ends(weave: Weave) -> NDArray[np.bool_]:
    """Return which loops are the first or the last of their rows."""
    rows = int(weave.loop_row.max()) + 1
    first, last = np.full(rows, weave.loops, np.int32), np.full(rows, -1, np.int32)
    np.minimum.at(first, weave.loop_row, weave.loop_column)
    np.maximum.at(last, weave.loop_row, weave.loop_column)
    row, column = weave.loop_row, weave.loop_column
    return np.asarray((column == first[row]) | (column == last[row]))


def _loop_walls(weave: Weave) -> FloatArray:
    """Return directions from the centre of a loop and where the beads begin there, for the tightest loop."""
    sides = sides_of_rows(weave)
    to_bead = np.abs(weave.side_xy[sides] - weave.loop_xy[weave.side_loop[sides]])
    distance = np.linalg.norm(to_bead, axis=1)
    diameters = np.array([size.diameter_mm for size in weave.sizes])
    free = distance - diameters[weave.bead_size[weave.side_bead[sides]]] / 2
    degrees = np.rint(np.degrees(np.arctan2(to_bead[:, 1], to_bead[:, 0]))).astype(np.int64)
    least = np.full(91, np.inf)
    np.minimum.at(least, degrees, free)
    met = np.flatnonzero(np.isfinite(least))
    angles = np.radians(met)
    return np.stack([np.cos(angles), np.sin(angles), np.maximum(least[met], 0)], axis=1)


def merged_colours(pattern: Pattern) -> tuple[IntArray, NDArray[np.int64]]:
    """Return the colour each entry of the palette is, and the counts of the colours, most beads first.

    Entries that are not used are -1. The counts have the shape (colours, 2).
    """
    numbers = pattern.palette.colour_numbers()
    counts = np.zeros((int(numbers.max()) + 1, 2), np.int64)
    np.add.at(counts, numbers, pattern.counts)
    beads = counts.sum(axis=1)
    order = np.argsort(-beads, kind="stable")[: np.count_nonzero(beads)]
    place = np.full(len(beads), -1, np.int32)
    place[order] = np.arange(len(order))
    entry_used = pattern.counts.any(axis=1)
    return np.where(entry_used, place[numbers], np.int32(-1)), counts[order]


def _colours(
    pattern: Pattern, colour_of_entry: IntArray, counts: NDArray[np.int64]
) -> tuple[PieceColour, ...]:
    """Return the colours that are used, each with the symbol that suits its neighbours."""
    entries = first_entries(pattern, colour_of_entry, len(counts))
    chosen = _agreed(pattern, [entry.code for entry in entries])
    if not chosen:
        touching = touching_colours(pattern, colour_of_entry, len(counts))
        chosen = choose_symbols(touching, counts.sum(axis=1).tolist())
    colours = []
    for entry, symbol, (core, connector) in zip(entries, chosen, counts.tolist(), strict=True):
        rgb = parse_hex(entry.hex)
        colours.append(PieceColour(entry, (core, connector), rgb, ink_on(rgb), symbols()[symbol]))
    return tuple(colours)


def first_entries(pattern: Pattern, colour_of_entry: IntArray, colours: int) -> list[BeadColour]:
    """Return the first entry of the palette of each colour."""
    return [pattern.palette.entries[int(np.argmax(colour_of_entry == colour))] for colour in range(colours)]


def touching_colours(pattern: Pattern, colour_of_entry: IntArray, colours: int) -> NDArray[np.int64]:
    """Return how many pairs of neighbouring beads have each two colours, shape (colours, colours)."""
    bead_colour = colour_of_entry[pattern.bead_colour].astype(np.int64)
    neighbours = bead_neighbours(pattern.weave)
    bead, place = np.nonzero(neighbours != NONE)
    pairs = bead_colour[bead] * colours + bead_colour[neighbours[bead, place]]
    return np.bincount(pairs, minlength=colours**2).reshape(colours, colours)


def _agreed(pattern: Pattern, codes: Sequence[str]) -> list[int]:
    """Return the symbols that other pieces have, too, or none where they do not tell these colours apart."""
    agreed = {code: symbol for code, symbol in pattern.symbols if symbol < len(symbols())}
    known = len(set(codes)) == len(codes) and all(code in agreed for code in codes)
    return [agreed[code] for code in codes] if known else []
