"""Where a sheet's loops lie over a picture, and what of the picture each bead shows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from convert.errors import ConvertError, PictureError, SizeError
from convert.picture.model import Picture
from convert.picture.sampling import polygon_means
from convert.picture.silhouette import woven_loops
from convert.weave.beads import BeadSize
from convert.weave.boxes import box
from convert.weave.fit import FITS, sheet_beads, sheet_loops
from convert.weave.model import FloatArray, Weave
from convert.weave.shapes import Sheet
from convert.weave.spacing import Spacing, gauge_spacing, model_spacing

DEFAULT_WIDTH_MM = 100.0
MOST_BEADS = 1_000_000
# More of the picture lost than this is worth a word to the user.
CROP_WORTH_SAYING = 0.05
# Sheets of the same shape in other bead sizes lie over the picture alike, but for rounding.
_ALIKE_PX = 1e-6


@dataclass(frozen=True)
class SheetSettings:
    """What a sheet is to be; see the command line's help for each.

    Raises
    ------
    SizeError
        There is no such way to fit a picture.
    """

    beads: BeadSize
    connectors: BeadSize
    width_mm: float | None = None
    height_mm: float | None = None
    across: int | None = None
    fit: str = "cover"
    direction: str = "across"
    gauge_mm: float | None = None
    most_beads: int = MOST_BEADS

    def __post_init__(self) -> None:
        if self.fit not in FITS:
            raise SizeError(f"a picture can {' or '.join(FITS)}, not '{self.fit}'")

    @property
    def sizes(self) -> tuple[BeadSize, BeadSize]:
        """Core and connector."""
        return self.beads, self.connectors

    @property
    def spacing(self) -> Spacing:
        """Sides of the loops, from the gauge where one is given."""
        if self.gauge_mm is None:
            return model_spacing(*self.sizes)
        return gauge_spacing(*self.sizes, self.gauge_mm)

    @property
    def bead_spacing_mm(self) -> float:
        """How far apart beads lie from left to right: there are two to each loop."""
        spacing = self.spacing
        return (spacing.pitch_mm if self.direction == "across" else 1.5 * spacing.side_mm) / 2


@dataclass(frozen=True, eq=False, slots=True)
class Layout:
    """A sheet laid over a picture.

    Parameters
    ----------
    shape : Sheet
        Which loops are woven.
    weave : Weave
        Their weave.
    full : Weave
        The full sheet, which is what the picture is laid over.
    notes : tuple of str
        What the user should know.
    """

    shape: Sheet
    weave: Weave
    full: Weave
    notes: tuple[str, ...]


def lay_out(picture: Picture, sheet: SheetSettings) -> Layout:
    """Lay a sheet over a picture; where it is transparent loops are left out.

    Raises
    ------
    SizeError
        A size is none, or takes more beads than allowed.
    PictureError
        The picture leaves no loop to weave, or islands.
    """
    (layout,) = lay_out_each(picture, [sheet])
    if isinstance(layout, ConvertError):
        raise layout
    return layout


def lay_out_each(
    picture: Picture, sheets: Sequence[SheetSettings]
) -> list[Layout | SizeError | PictureError]:
    """Lay several sheets over a picture in one go; where that is impossible, return why.

    Raises
    ------
    SizeError
        A size is none.
    """
    found: list[Layout | SizeError | PictureError] = []
    for sheet in sheets:
        shape = Sheet(np.ones(sheet_shape(picture, sheet), bool), sheet.direction)
        beads = sheet_beads(*shape.woven.shape)
        if beads > sheet.most_beads:
            found.append(too_many_beads(beads, sheet.most_beads))
            continue
        full = shape.build(sheet.sizes, sheet.spacing)
        found.append(Layout(shape, full, full, tuple(crop_notes(picture, full))))
    if picture.alpha is None or picture.alpha.min() == 255:
        return found
    covers = iter(loop_coverage(picture, [one.full for one in found if isinstance(one, Layout)]))
    for number, (one, sheet) in enumerate(zip(found, sheets, strict=True)):
        if isinstance(one, Layout):
            try:
                found[number] = _cut_out(one, sheet, next(covers))
            except PictureError as error:
                found[number] = error
    return found


def _cut_out(layout: Layout, sheet: SheetSettings, cover: FloatArray) -> Layout:
    """Return a layout without the loops that the picture leaves bare."""
    woven, dropped = woven_loops(cover.reshape(layout.shape.woven.shape))
    notes = layout.notes
    if dropped:
        lone = "1 single loop" if dropped == 1 else f"{dropped} single loops"
        notes = (*notes, f"{lone} that hung by nothing left out")
    if woven.all():
        return replace(layout, notes=notes)
    shape = Sheet(woven, sheet.direction)
    return Layout(shape, shape.build(sheet.sizes, sheet.spacing), layout.full, notes)


def sheet_shape(picture: Picture, sheet: SheetSettings) -> tuple[int, int]:
    """Return rows and loops in a row of the full sheet for a picture."""
    height_px, width_px = picture.pixels.shape[:2]
    sized = (sheet.width_mm, sheet.height_mm, sheet.across) != (None, None, None)
    return sheet_loops(
        sheet.sizes,
        sheet.spacing,
        width_px / height_px,
        direction=sheet.direction,
        width_mm=sheet.width_mm if sized else DEFAULT_WIDTH_MM,
        height_mm=sheet.height_mm,
        across=sheet.across,
        fit=sheet.fit,
    )


def too_many_beads(beads: int, limit: int) -> SizeError:
    """Return the refusal of a piece with more beads than the limit."""
    return SizeError(
        f"this size takes {beads:,} beads, more than the limit of {limit:,}",
        "choose a smaller size or larger beads, or raise the limit with --max-beads",
    )


def crop_notes(picture: Picture, full: Weave) -> list[str]:
    """Return a note on how much of the picture lies outside a piece, if that is worth saying."""
    scale, _ = onto_picture(picture, full)
    low, high = box(full.cells)
    shown = (high - low) * scale
    lost = 1 - float(shown[0] * shown[1]) / (picture.pixels.shape[0] * picture.pixels.shape[1])
    if lost <= CROP_WORTH_SAYING:
        return []
    return [f"{lost:.0%} of the picture lies outside the piece and is cropped"]


def onto_picture(picture: Picture, full: Weave) -> tuple[float, FloatArray]:
    """Return pixels in a millimetre and the offset that lay a full sheet's cells over the picture."""
    low, high = box(full.cells)
    size_px = np.array(picture.pixels.shape[1::-1], float)
    scale = float((size_px / (high - low)).min())
    return scale, size_px / 2 - scale * (low + high) / 2


def _to_pixels(picture: Picture, full: Weave, points_mm: FloatArray) -> FloatArray:
    scale, offset = onto_picture(picture, full)
    return points_mm * scale + offset


def loop_coverage(picture: Picture, fulls: Sequence[Weave]) -> list[FloatArray]:
    """Return for each piece the share of each loop that the picture covers, shape (L,)."""
    corners = [_to_pixels(picture, full, full.loop_corners) for full in fulls]
    return [coverage for _, coverage in _means(picture, corners)]


def bead_means(picture: Picture, pieces: Sequence[tuple[Weave, Weave]]) -> list[FloatArray]:
    """Return for each piece the mean colour of the picture in each bead's cell, shape (B, 3), linear sRGB.

    It is NaN where neither the bead's cell nor its loop shows any of the picture.

    Parameters
    ----------
    picture : Picture
        The picture.
    pieces : sequence of (Weave, Weave)
        The woven part, and the full sheet, which is what the picture is laid over.
    """
    cells = [_to_pixels(picture, full, weave.cells) for weave, full in pieces]
    found = []
    for (weave, full), (means, coverage) in zip(pieces, _means(picture, cells), strict=True):
        bare = coverage <= 0
        if bare.any():
            # A bead at the rim of a silhouette may show none of the picture. There a loop is woven only if
            # the picture covers half of it, so the mean over the bead's loop is always there.
            loops = weave.side_loop[weave.bead_sides[bare, 0]]
            means = means.copy()
            means[bare] = polygon_means(picture, _to_pixels(picture, full, weave.loop_corners[loops]))[0]
        found.append(means)
    return found


def _means(picture: Picture, pieces: Sequence[FloatArray]) -> list[tuple[FloatArray, FloatArray]]:
    """Return means and coverage over the polygons of several pieces, each strip of the picture summed once.

    Parameters
    ----------
    picture : Picture
        The picture.
    pieces : sequence of ndarray of shape (N, K, 2)
        Polygons in pixels, K the same for all.
    """
    sampled: list[FloatArray] = []
    which = []
    for polygons in pieces:
        same = (number for number, other in enumerate(sampled) if _alike(polygons, other))
        which.append(next(same, len(sampled)))
        if which[-1] == len(sampled):
            sampled.append(polygons)
    if not sampled:
        return []
    means, coverage = polygon_means(picture, np.concatenate(sampled))
    ends = np.cumsum([len(polygons) for polygons in sampled])[:-1]
    found = list(zip(np.split(means, ends), np.split(coverage, ends), strict=True))
    return [found[number] for number in which]


def _alike(polygons: FloatArray, others: FloatArray) -> bool:
    return polygons.shape == others.shape and bool(np.abs(polygons - others).max() < _ALIKE_PX)
