"""What of a picture's detail survives in a woven piece.

Picture and piece are laid on one raster, the piece as the flat colours of its beads' cells, and compared by
three figures:

* The share of the picture's edges that survive (`convert.picture.edges`).
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

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from convert.colour.lab import srgb_to_lab
from convert.colour.scielab import pixels_per_degree, scielab
from convert.colour.srgb import decode
from convert.judging.viewing import VIEW_DISTANCE_M, raster_of_cells
from convert.making.over_picture import onto_picture
from convert.picture.edges import Edges
from convert.picture.model import Picture
from convert.picture.part import Part, reduced, resized
from convert.weave.boxes import boxes
from convert.weave.model import FloatArray, Weave
from convert.weave.spacing import Spacing

SURVIVES_WHOLE, SURVIVES_PART = 0.5, 0.8
"""Share of the edges from which on a picture and a part survive. Our choice, by eye; no source.

A photographed face, a drawn eye and a small thing in a still life, woven at eight sizes each, could just be
made out at 0.8; at 0.7 the outline was there, but not the eyes in the face.
"""
_RASTER = 256
_FINER = 2
# Spreads of the Gaussian in pixels of the raster. In a whole picture things are to be in place; in a part,
# which is one thing to see, an edge may be out of place as far as nothing else is near. Chosen by eye.
_SPREADS_WHOLE = (1.5,)
_SPREADS_PART = (3.0, 6.0, 12.0)
_SSIM_WINDOW = 11


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


def kept_above_mm(spacing: Spacing) -> float:
    """Return the repeat of lines from which on they survive in every direction, two rows of loops.

    Half of it, one row, is the finest that the lattice can show at all.
    """
    return 3 * spacing.side_mm


class _Copy(NamedTuple):
    """A piece on the raster; where the piece is not, the raster shows the picture."""

    pixels: NDArray[np.uint8]
    lab: FloatArray
    inside: NDArray[np.bool_]
    pixel_mm: float


class Detail:
    """A part of a picture, made ready once to be looked for in many pieces.

    Parameters
    ----------
    picture : Picture
        The picture.
    part : Part
        The part to judge. Of a whole picture finer things are looked at than of a part.

    Attributes
    ----------
    part : Part
        The part.
    picture : Picture
        The picture, made smaller as far as the part stays finer than the raster on which it is judged.
    """

    def __init__(self, picture: Picture, part: Part) -> None:
        left, top, right, bottom = part.box_px(picture)
        self.part = part
        self.picture = reduced(picture, int(max(right - left, bottom - top) // (_FINER * _RASTER)))
        self._box = part.box_px(self.picture)
        left, top, right, bottom = self._box
        self._pixel = max(right - left, bottom - top) / _RASTER
        shape = tuple(max(3, round(side / self._pixel)) for side in (bottom - top, right - left))
        self._wanted = resized(self.picture, self._box, (shape[0], shape[1]))
        self._lab = srgb_to_lab(self._wanted)
        self._edges = Edges(self._lab, _SPREADS_WHOLE if part.is_whole else _SPREADS_PART)

    def cells(self, weave: Weave, full: Weave) -> tuple[NDArray[np.intp], FloatArray]:
        """Return the beads that may show some of the part, and their cells in pixels of `picture`.

        Parameters
        ----------
        weave : Weave
            The woven part.
        full : Weave
            The full sheet, which is what the picture is laid over.

        Returns
        -------
        beads : ndarray of shape (N,)
        cells : ndarray of shape (N, 4, 2), float64
        """
        scale, offset = onto_picture(self.picture, full)
        cells = weave.cells * scale + offset
        low, high = boxes(cells)
        reaches = (high > self._box[:2]) & (low < self._box[2:])
        beads = np.flatnonzero(reaches[:, 0] & reaches[:, 1])
        return beads, cells[beads]

    def surviving(
        self,
        weave: Weave,
        full: Weave,
        colours: NDArray[np.uint8],
        distance_m: float = VIEW_DISTANCE_M,
    ) -> Surviving | None:
        """Return what survives in a piece; None where the part lies outside.

        Parameters
        ----------
        weave : Weave
            The woven part.
        full : Weave
            The full sheet, which is what the picture is laid over.
        colours : ndarray of shape (B, 3), uint8
            Colours of its beads, encoded sRGB.
        distance_m : float
            Distance of the eye.
        """
        copy = self._copy(weave, full, colours)
        if copy is None:
            return None
        per_degree = pixels_per_degree(copy.pixel_mm, distance_m * 1000)
        difference = scielab(decode(self._wanted), decode(copy.pixels), per_degree)[copy.inside]
        edges = self._edges.kept(copy.lab, copy.inside)
        similar = _ssim(self._lab[..., 0], copy.lab[..., 0], copy.inside)
        return Surviving(edges, similar, float(difference.mean()), self.part.is_whole)

    def edges_kept(self, weave: Weave, full: Weave, colours: NDArray[np.uint8]) -> float | None:
        """Return only the share of the edges that survive, 0 where the part lies outside; see `surviving`."""
        copy = self._copy(weave, full, colours)
        return 0.0 if copy is None else self._edges.kept(copy.lab, copy.inside)

    def _copy(self, weave: Weave, full: Weave, colours: NDArray[np.uint8]) -> _Copy | None:
        beads, cells = self.cells(weave, full)
        raster = raster_of_cells((cells - self._box[:2]) / self._pixel, self._wanted.shape[:2])
        inside = raster >= 0
        if not inside.any():
            return None
        scale, _ = onto_picture(self.picture, full)
        pixels = np.where(inside[..., None], colours[beads][raster], self._wanted)
        lab = np.where(inside[..., None], srgb_to_lab(colours[beads])[raster], self._lab)
        return _Copy(pixels, lab, inside, self._pixel / scale)


def _ssim(wanted: FloatArray, woven: FloatArray, inside: NDArray[np.bool_]) -> float:
    """Return the mean SSIM of L* over a part of the raster."""
    from skimage.metrics import structural_similarity

    window = min(_SSIM_WINDOW, *(side - 1 + side % 2 for side in wanted.shape))
    _, similar = structural_similarity(  # type: ignore[no-untyped-call]
        wanted,
        woven,
        data_range=100,
        gaussian_weights=True,
        sigma=1.5,
        use_sample_covariance=False,
        win_size=window,
        full=True,
    )
    # Near the edges of the raster a part of the window lies outside.
    rim = window // 2
    clear = np.zeros_like(inside)
    clear[rim : inside.shape[0] - rim, rim : inside.shape[1] - rim] = True
    judged = inside & clear if (inside & clear).any() else inside
    return float(similar[judged].mean())
