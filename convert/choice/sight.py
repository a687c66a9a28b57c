"""What is seen of beads at their places, how far it is from the picture, and what a change would make of it.

The difference about a colour of the picture is taken as a quadratic form in CIELAB, found by measuring, so
that every formula of difference will do. Single precision: half the time, and far finer than any eye.
"""

import numpy as np
from numpy.typing import NDArray

from convert.choice.pooling import Pooling
from convert.colour.distances import Distance
from convert.colour.lab import WHITE, xyz_to_lab
from convert.colour.scielab import OPPONENT_OF_LINEAR, XYZ_OF_OPPONENT

FloatArray = NDArray[np.float64]
Floats = NDArray[np.float32]
IntArray = NDArray[np.int32]

# Pieces are judged by two views (`convert.judging.viewing`), and so is what is seen here, that what is found
# is good in both: with beads that fill their cells, and with the veil of white light that comes out of the
# gaps between rounded beads over white paper. What is seen through it differs less, and counts for more.
_VEILS, _COUNTS = (0.0, 0.15), (0.3, 0.7)
# The step in CIELAB by which the formula is measured, and the least difference that has a slope.
_STEP = 2.0
_LEAST = 0.3
# CIELAB of f(X/Xn), f(Y/Yn), f(Z/Zn), but for the constant; the ends of f are those of `convert.colour.lab`.
_LAB_OF_F = np.array([[0.0, 116, 0], [500, -500, 0], [0, 200, -200]])
_LINE_ENDS, _LINE_SLOPE, _LINE_AT_ZERO = np.float32(0.008856), np.float32(7.787), np.float32(16 / 116)
_SQUARES = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))


class Sight:
    """What is seen of the beads of a piece.

    Parameters
    ----------
    pooling : Pooling
        How beads are seen at places of beads.
    wanted : ndarray of shape (B, 3), float64
        Linear sRGB of the picture at each bead.
    palette : ndarray of shape (K, 3), float64
        Linear sRGB of the entries.
    measure : callable
        Colour difference of CIELAB.

    Attributes
    ----------
    chosen : ndarray of shape (B,), int32
        The entries that the beads have by now.
    palette : ndarray of shape (K, 3), float32
        The entries as opponent light.
    """

    def __init__(
        self,
        pooling: Pooling,
        wanted: FloatArray,
        palette: FloatArray,
        measure: Distance,
    ) -> None:
        self._pooling = pooling
        self._opponent = palette @ OPPONENT_OF_LINEAR.T
        self.palette = self._opponent.astype(np.float32)
        self.chosen = np.zeros(len(wanted), np.int32)
        self._relative = (XYZ_OF_OPPONENT / WHITE[:, None]).astype(np.float32)
        # Arrays go by channel, then by bead; the last column stands for places that are not there.
        picture = self._pooled(wanted @ OPPONENT_OF_LINEAR.T)
        self._wanted_f = [_f(_veiled(picture, veil)) for veil in _VEILS]
        # With the count, so that a root of the form is what the difference counts.
        self._form = [
            np.float32(count**2) * _forms(_veiled(picture, veil), measure)
            for veil, count in zip(_VEILS, _COUNTS, strict=True)
        ]
        self._light = picture
        self._slope = np.zeros_like(picture)

    def _pooled(self, opponent: FloatArray) -> Floats:
        """Return X/Xn, Y/Yn and Z/Zn of what is seen of beads (B, 3), shape (3, B + 1)."""
        seen = self._pooling.seen(opponent).astype(np.float32)
        pooled = np.zeros((3, len(seen) + 1), np.float32)
        pooled[:, :-1] = self._relative @ seen.T
        return pooled

    def show(self, bead_colour: IntArray) -> None:
        """Give all beads their entries (B,), to be looked at next."""
        self.chosen = bead_colour.copy()

    def look(self) -> None:
        """See the beads anew, without the rounding of many changes and with the light from far off."""
        self._light = self._pooled(self._opponent[self.chosen])
        self._set_slope(np.arange(len(self.chosen)))

    def _set_slope(self, beads: NDArray[np.intp]) -> None:
        total = np.zeros((3, len(beads)), np.float32)
        for veil, count, form, wanted_f in zip(_VEILS, _COUNTS, self._form, self._wanted_f, strict=True):
            light, form = _veiled(self._light[:, beads], veil), form[:, beads]
            off = _f(light) - wanted_f[:, beads]
            along = np.empty_like(off)
            for row in range(3):
                along[row] = form[row] * off[row]
                for number, (one, other) in enumerate(_SQUARES[3:], start=3):
                    if row in (one, other):
                        along[row] += form[number] / 2 * off[other if row == one else one]
            difference = np.sqrt(np.maximum((along * off).sum(axis=0), 0))
            steep = np.where(
                light > _LINE_ENDS,
                np.maximum(light, _LINE_ENDS) ** np.float32(-2 / 3) / 3,
                np.where(light > 0, _LINE_SLOPE, np.float32(0)),
            )
            along *= steep / np.maximum(difference, np.float32(count * _LEAST))
            total += np.float32(1 - veil) * along
        self._slope[:, beads] = self._relative.T @ total

    def differences(self, beads: NDArray[np.intp], entries: IntArray, near: int) -> Floats:
        """Return what beads add to the sum of differences from the picture, were they of other entries.

        Parameters
        ----------
        beads : ndarray of shape (N,)
            Beads that share no neighbourhood.
        entries : ndarray of shape (N, S), int32
            Entries to try for each.
        near : int
            At so many of the nearest places, their own first, the difference is reckoned in full. At the
            others it is by its slope.

        Returns
        -------
        ndarray of shape (N, S), float32
        """
        change = self.palette[entries] - self.palette[self.chosen[beads]][:, None]
        sites, weights = self._pooling.sites[beads], self._pooling.weights[beads]
        slope = self._slope[:, sites[:, near:]]
        far = np.einsum("nsc,cns->nc", weights[:, near:], slope)
        total = np.matmul(change, far[:, :, None])[..., 0]
        sites = sites[:, :near]
        # Light that a change adds at each place: opponent channel by channel, then X, Y and Z at all places.
        onto = weights[:, :near].transpose(0, 2, 1)[:, :, None] * self._relative.T[:, :, None]
        added = np.matmul(change, onto.reshape(len(beads), 3, -1)).reshape(*entries.shape, 3, sites.shape[1])
        light = added + self._light[:, sites].transpose(1, 0, 2)[:, None]
        for veil, form, wanted_f in zip(_VEILS, self._form, self._wanted_f, strict=True):
            off = _f(_veiled(light, veil)) - wanted_f[:, sites].transpose(1, 0, 2)[:, None]
            here = form[:, sites][:, :, None]
            squared = np.zeros((*entries.shape, light.shape[-1]), np.float32)
            for number, (one, other) in enumerate(_SQUARES):
                squared += here[number] * off[:, :, one] * off[:, :, other]
            total += np.sqrt(np.maximum(squared, 0)).sum(axis=2)
        return np.asarray(total)

    def change(self, beads: NDArray[np.intp], entries: IntArray) -> None:
        """Give beads (N,) other entries (N,)."""
        change = self.palette[entries] - self.palette[self.chosen[beads]]
        self.chosen[beads] = entries
        sites = self._pooling.sites[beads].ravel()
        added = (self._pooling.weights[beads] * change[:, None]).reshape(-1, 3) @ self._relative.T
        for light, of_channel in zip(self._light, added.T, strict=True):
            np.add.at(light, sites, of_channel)
        self._light[:, -1] = 0
        is_touched = np.zeros(len(self.chosen) + 1, bool)
        is_touched[sites] = True
        self._set_slope(np.flatnonzero(is_touched[:-1]))


def _veiled(relative: Floats, veil: float) -> Floats:
    """Return light with a share of white over it."""
    return np.float32(1 - veil) * relative + np.float32(veil)


def _f(relative: Floats) -> Floats:
    """Return the f of CIELAB; less than no light is none."""
    light = np.maximum(relative, np.float32(0))
    return np.where(light > _LINE_ENDS, np.cbrt(light), _LINE_SLOPE * light + _LINE_AT_ZERO)


def _forms(picture: Floats, measure: Distance) -> Floats:
    """Return the squared difference about colours as a form in the three f: squares, then twice the products.

    Parameters
    ----------
    picture : ndarray of shape (3, N), float32
        X/Xn, Y/Yn, Z/Zn of each colour.

    Returns
    -------
    ndarray of shape (6, N), float32
    """
    lab = xyz_to_lab(np.maximum(picture.T, 0) * WHITE)

    def squared(step: FloatArray) -> FloatArray:
        there, back = measure(lab, lab + step), measure(lab, lab - step)
        return np.asarray((there**2 + back**2) / (2 * _STEP**2))

    steps = _STEP * np.eye(3)
    form = np.empty((len(lab), 3, 3))
    for one in range(3):
        form[:, one, one] = squared(steps[one])
        for other in range(one):
            mixed = squared(steps[one] + steps[other]) - form[:, one, one] - form[:, other, other]
            form[:, one, other] = form[:, other, one] = mixed / 2
    form = _LAB_OF_F.T @ form @ _LAB_OF_F
    terms = [form[:, one, other] * (1 if one == other else 2) for one, other in _SQUARES]
    return np.stack(terms).astype(np.float32)
