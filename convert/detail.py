"""What of a picture's detail survives in a woven piece.

Picture and piece are laid on one raster, the piece as the flat colours of its beads' cells, and compared by
three figures:

* The share of the picture's edges that survive. Edges are those of Canny (1986, "A computational approach to
  edge detection", IEEE Transactions on Pattern Analysis and Machine Intelligence 8, 679-698; scikit-image's)
  in L*, a* or b*. With g the gradient of the picture in CIELAB there and h that of the piece, both through
  the same Gaussian, an edge survives if g.h / g.g is at least 1/2: if the piece keeps half of the contrast in
  the same direction. Half the contrast is the usual limit of resolution in optics (MTF50).
* SSIM of L*: Wang, Bovik, Sheikh, Simoncelli (2004), "Image quality assessment: from error visibility to
  structural similarity", IEEE Transactions on Image Processing 13, 600-612; scikit-image's, with the window
  of that paper.
* The mean S-CIELAB difference from the viewing distance (`convert.colour.scielab`).

What no piece can keep follows from its lattice. Midpoints of beads lie on a triangular lattice of half a
pitch of which every fourth place, the centre of a loop, is empty. A triangular lattice of pitch a samples
waves in every direction without loss as far as they are sqrt(3) a long or longer (Petersen, Middleton 1962,
"Sampling and reconstruction of wave-number-limited functions in N-dimensional Euclidean spaces", Information
and Control 5, 279-323). The centres of loops, at a full pitch, thus keep lines that repeat in two rows of
loops (3 sides) whatever their direction, and those that repeat in less than one row (1.5 sides) are beyond
the full lattice of half a pitch: no choice of beads can show them.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.colour.lab import srgb_to_lab
from convert.colour.scielab import pixels_per_degree, scielab
from convert.colour.srgb import decode
from convert.errors import SizeError
from convert.picture import Picture
from convert.pipeline import onto_picture
from convert.viewing import VIEW_DISTANCE_M, raster_of_cells
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.spacing import Spacing

SURVIVES_WHOLE, SURVIVES_PART = 0.5, 0.7
"""Share of the edges from which on a picture and a part survive. Our choice, by eye; no source."""
_KEPT_CONTRAST = 0.5
_RASTER = 256
_FINER = 3
# Spreads of the Gaussian in pixels of the raster. In a whole picture things are to be in place; in a part,
# which is one thing to see, an edge may be out of place as far as nothing else is near. Chosen by eye.
_SPREADS_WHOLE = (1.5,)
_SPREADS_PART = (3.0, 6.0, 12.0)
# A step of 10 in L*, a* or b* begins an edge, one of 5 goes on with it.
_BEGINS, _GOES_ON = 10.0, 5.0
_SOBEL_GAIN = 8.0
_FEWEST_EDGES = 8


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a picture, in fractions of its width and height.

    Raises
    ------
    SizeError
        It has no area, or reaches out of the picture.
    """

    left: float
    top: float
    width: float
    height: float

    def __post_init__(self) -> None:
        values = (self.left, self.top, self.width, self.height)
        shown = ",".join(f"{value:g}" for value in values)
        hint = "give left, top, width and height as fractions from 0 to 1, such as 0.3,0.1,0.2,0.2"
        if not all(math.isfinite(value) for value in values):
            raise SizeError(f"the part {shown} of the picture is no part", hint)
        if self.width <= 0 or self.height <= 0:
            raise SizeError(f"the part {shown} of the picture has no area", hint)
        if min(self.left, self.top) < 0 or max(self.left + self.width, self.top + self.height) > 1 + 1e-9:
            raise SizeError(f"the part {shown} lies outside the picture", hint)

    @property
    def is_whole(self) -> bool:
        """Whether it is all of the picture."""
        return self == WHOLE

    def box_px(self, picture: Picture) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom in pixels of a picture."""
        height, width = picture.pixels.shape[:2]
        return (
            self.left * width,
            self.top * height,
            min((self.left + self.width) * width, width),
            min((self.top + self.height) * height, height),
        )


WHOLE = Part(0.0, 0.0, 1.0, 1.0)


def part_named(text: str, what: str) -> Part:
    """Return the part that four numbers ``X,Y,W,H`` name.

    Raises
    ------
    SizeError
        These are not four numbers, or no part of a picture; `what` is the option that is to blame.
    """
    try:
        left, top, width, height = (float(word) for word in text.split(","))
    except ValueError as error:
        raise SizeError(
            f"{what} takes four numbers X,Y,W,H, not '{text}'",
            "left, top, width and height as fractions of the picture, such as 0.3,0.1,0.2,0.2",
        ) from error
    return Part(left, top, width, height)


@dataclass(frozen=True, slots=True)
class Surviving:
    """What survives.

    Parameters
    ----------
    edges : float or None
        Share of the picture's edges that survive; None where it has none.
    ssim : float
        SSIM of L*, 1 for no loss.
    seen : float
        Mean S-CIELAB difference from the viewing distance.
    whole : bool
        Whether it is of a whole picture.
    """

    edges: float | None
    ssim: float
    seen: float
    whole: bool

    @property
    def enough(self) -> bool:
        """Whether the detail survives."""
        return enough(self.edges, whole=self.whole)


def enough(edges: float | None, *, whole: bool) -> bool:
    """Return whether detail survives of whose edges such a share does."""
    return edges is None or edges >= (SURVIVES_WHOLE if whole else SURVIVES_PART)


def lost_below_mm(spacing: Spacing) -> float:
    """Return the finest repeat of lines that the lattice can show at all, one row of loops."""
    return 1.5 * spacing.side_mm


def kept_above_mm(spacing: Spacing) -> float:
    """Return the repeat of lines from which on they survive in every direction, two rows of loops."""
    return 3 * spacing.side_mm


@dataclass(frozen=True, eq=False, slots=True)
class Window:
    """The part of a piece that shows a part of a picture.

    Parameters
    ----------
    beads : ndarray of shape (N,)
        The beads whose cells may reach into it.
    cells_px : ndarray of shape (N, 4, 2), float64
        Their cells in pixels of the picture.
    box_px : tuple of float
        Left, top, right and bottom of the part that lies inside the piece, in pixels of the picture.
    mm_in_px : float
        Millimetres of the piece in a pixel of the picture.
    """

    beads: IntArray
    cells_px: FloatArray
    box_px: tuple[float, float, float, float]
    mm_in_px: float


def window(picture: Picture, weave: Weave, full: Weave, part: Part) -> Window | None:
    """Return where a part of a picture lies in a piece; None where it lies outside.

    Parameters
    ----------
    picture : Picture
        The picture.
    weave : Weave
        The woven part.
    full : Weave
        The full sheet, which is what the picture is laid over.
    part : Part
        Which part of the picture.
    """
    scale, offset = onto_picture(picture, full)
    cells = weave.cells * scale + offset
    shown = full.cells.reshape(-1, 2) * scale + offset
    left, top, right, bottom = part.box_px(picture)
    (least_x, least_y), (most_x, most_y) = shown.min(axis=0).tolist(), shown.max(axis=0).tolist()
    box = max(left, least_x), max(top, least_y), min(right, most_x), min(bottom, most_y)
    if box[0] >= box[2] or box[1] >= box[3]:
        return None
    low, high = cells.min(axis=1), cells.max(axis=1)
    inside = np.flatnonzero(((high > box[:2]) & (low < box[2:])).all(axis=1)).astype(np.int32)
    return Window(inside, cells[inside], box, 1 / scale) if len(inside) else None


def surviving(
    picture: Picture,
    seen_in: Window,
    colours: NDArray[np.uint8],
    *,
    whole: bool,
    distance_m: float = VIEW_DISTANCE_M,
) -> Surviving:
    """Return what survives of the part of a picture in a window.

    Parameters
    ----------
    picture : Picture
        The picture.
    seen_in : Window
        The part, from `window`.
    colours : ndarray of shape (N, 3), uint8
        Colours of the beads of the window, encoded sRGB.
    whole : bool
        Whether it is the whole picture, of which finer things are looked at than of a part.
    distance_m : float
        Distance of the eye.
    """
    from skimage.metrics import structural_similarity

    wanted, woven, inside, pixel_px = _rasters(picture, seen_in, colours)
    lab, woven_lab = srgb_to_lab(wanted), srgb_to_lab(woven)
    window_px = min(11, *(side - 1 + side % 2 for side in wanted.shape[:2]))
    similar = structural_similarity(  # type: ignore[no-untyped-call]
        lab[..., 0],
        woven_lab[..., 0],
        data_range=100,
        gaussian_weights=True,
        sigma=1.5,
        use_sample_covariance=False,
        win_size=window_px,
    )
    per_degree = pixels_per_degree(pixel_px * seen_in.mm_in_px, distance_m * 1000)
    difference = scielab(decode(wanted), decode(woven), per_degree)[inside]
    edges = edges_kept(lab, woven_lab, _spreads(whole=whole), inside)
    return Surviving(edges, float(similar), float(difference.mean()), whole)


def edges_surviving(
    picture: Picture, seen_in: Window, colours: NDArray[np.uint8], *, whole: bool
) -> float | None:
    """Return only the share of the edges that survive; for the parameters see `surviving`."""
    wanted, woven, inside, _ = _rasters(picture, seen_in, colours)
    return edges_kept(srgb_to_lab(wanted), srgb_to_lab(woven), _spreads(whole=whole), inside)


def _spreads(*, whole: bool) -> tuple[float, ...]:
    return _SPREADS_WHOLE if whole else _SPREADS_PART


def edges_kept(
    lab: FloatArray, woven_lab: FloatArray, spreads: tuple[float, ...], inside: NDArray[np.bool_]
) -> float | None:
    """Return the share of a picture's edges that survive in a piece, None where it has none.

    Parameters
    ----------
    lab, woven_lab : ndarray of shape (H, W, 3)
        Picture and piece, CIELAB.
    spreads : tuple of float
        Spreads of the Gaussian in pixels: things finer than the first are not looked at. An edge is judged
        through the widest through which half of its step is still there, if there are several.
    inside : ndarray of shape (H, W), bool
        Where edges count.
    """
    from skimage.feature import canny

    # A step of 1 under this Gaussian has this slope, which Canny's Sobel filter takes eightfold.
    slope = _SOBEL_GAIN / (spreads[0] * math.sqrt(2 * math.pi))
    edges = np.zeros(inside.shape, bool)
    for channel in range(3):
        plane = np.ascontiguousarray(lab[..., channel])
        thresholds = {"low_threshold": _GOES_ON * slope, "high_threshold": _BEGINS * slope}
        edges |= canny(plane, spreads[0], **thresholds)  # type: ignore[no-untyped-call]
    edges &= inside
    if np.count_nonzero(edges) < _FEWEST_EDGES:
        return None
    kept = np.zeros(np.count_nonzero(edges), bool)
    finest = np.zeros(len(kept))
    for spread in spreads:
        along, own = _along_edges(lab, woven_lab, edges, spread)
        # The height of the step that this slope would be, but for a factor.
        height = np.sqrt(own) * spread
        if spread == spreads[0]:
            finest = height
        there = height >= _KEPT_CONTRAST * finest
        kept[there] = along[there] >= _KEPT_CONTRAST * own[there]
    return float(kept.mean())


def _along_edges(
    lab: FloatArray, woven_lab: FloatArray, edges: NDArray[np.bool_], spread: float
) -> tuple[FloatArray, FloatArray]:
    """Return at each edge g.h and g.g, with g and h the gradients of picture and piece."""
    from scipy.ndimage import gaussian_filter

    along, own = np.zeros(np.count_nonzero(edges)), np.zeros(np.count_nonzero(edges))
    for channel in range(3):
        for order in ((1, 0), (0, 1)):
            picture = gaussian_filter(lab[..., channel], spread, order, truncate=3)[edges]
            along += picture * gaussian_filter(woven_lab[..., channel], spread, order, truncate=3)[edges]
            own += picture * picture
    return along, own


def _rasters(
    picture: Picture, seen_in: Window, colours: NDArray[np.uint8]
) -> tuple[NDArray[np.uint8], NDArray[np.uint8], NDArray[np.bool_], float]:
    """Return picture and piece on one raster, where the piece is, and the side of a pixel in the picture's.

    Where the piece is not, its raster shows the picture: what is not woven is not judged.
    """
    left, top, right, bottom = seen_in.box_px
    pixel = max(right - left, bottom - top) / _RASTER
    shape = max(3, round((bottom - top) / pixel)), max(3, round((right - left) / pixel))
    cells = (seen_in.cells_px - (left, top)) / pixel
    raster = raster_of_cells(cells, shape)
    image = Image.fromarray(picture_part(picture, seen_in.box_px))
    shrunk = pixel >= 1
    wanted = np.asarray(
        image.resize(
            shape[::-1],
            Image.Resampling.BOX if shrunk else Image.Resampling.BILINEAR,
            box=_shifted(seen_in.box_px, image.size),
        )
    )
    inside = raster >= 0
    woven = np.where(inside[..., None], colours[raster], wanted)
    return wanted, woven, inside, pixel


def reduced(picture: Picture, part: Part) -> Picture:
    """Return a picture made smaller by a whole number, a part of it staying finer than the raster."""
    left, top, right, bottom = part.box_px(picture)
    factor = int(max(right - left, bottom - top) // (_FINER * _RASTER))
    if factor < 2:
        return picture
    height, width = picture.pixels.shape[:2]
    image = Image.fromarray(picture_part(picture, (0, 0, width, height)))
    return Picture(picture.name, np.asarray(image.reduce(factor)))


def picture_part(picture: Picture, box_px: tuple[float, float, float, float]) -> NDArray[np.uint8]:
    """Return the whole pixels that a box touches, encoded sRGB, what is transparent laid on white."""
    rows = slice(math.floor(box_px[1]), math.ceil(box_px[3]))
    columns = slice(math.floor(box_px[0]), math.ceil(box_px[2]))
    pixels = picture.pixels[rows, columns]
    if picture.alpha is None:
        return np.ascontiguousarray(pixels)
    share = picture.alpha[rows, columns, None] / np.float32(255)
    return np.rint(255 + (pixels - np.float32(255)) * share).astype(np.uint8)


def _shifted(
    box_px: tuple[float, float, float, float], size: tuple[int, int]
) -> tuple[float, float, float, float]:
    """Return a box counted from the first whole pixel it touches."""
    left, top = math.floor(box_px[0]), math.floor(box_px[1])
    return (
        box_px[0] - left,
        box_px[1] - top,
        min(box_px[2] - left, size[0]),
        min(box_px[3] - top, size[1]),
    )
