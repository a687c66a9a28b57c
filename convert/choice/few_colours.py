"""The best few codes of a palette for the beads of a piece or of several, of one size or of more."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from convert.choice.reduction import Demand, Problem, Reduction
from convert.colour.distances import Distance
from convert.errors import PaletteError
from convert.palette.model import Palette
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray

Allowed = tuple[IntArray, ...]
"""For each size of bead the entries of the palette that may be used."""


class FewColours:
    """Beads that want colours, made ready once for choices of several sizes.

    Parameters
    ----------
    wanted_lab : ndarray of shape (N, 3), float64
        What the beads are wanted to show, CIELAB.
    bead_size : ndarray of shape (N,), uint8
        Index into `sizes` of each.
    palette : Palette
        Bead colours.
    sizes : sequence of BeadSize
        Core and connector of each piece.
    allowed : tuple of ndarray of int
        Entries to choose from.
    measure : Distance
        The colour difference.
    weights : ndarray of shape (S,), optional
        How much a bead of each size weighs: how many pieces it is for; 1 if not given.

    Attributes
    ----------
    codes : list of str
        Codes that there are beads for; one that comes in both sizes is one colour.
    """

    def __init__(
        self,
        wanted_lab: FloatArray,
        bead_size: NDArray[np.uint8],
        palette: Palette,
        sizes: Sequence[BeadSize],
        allowed: Allowed,
        measure: Distance,
        weights: NDArray[np.int64] | None = None,
    ) -> None:
        self._palette, self._sizes, self._allowed = palette, sizes, allowed
        self._used = [size for size in range(len(sizes)) if (bead_size == size).any()]
        entries = np.unique(np.concatenate([allowed[size] for size in self._used]))
        self.codes = list(dict.fromkeys(palette.entries[entry].code for entry in entries))
        self._column_of = {code: column for column, code in enumerate(self.codes)}
        self._columns = np.array([self._column_of.get(entry.code, -1) for entry in palette.entries])
        labs = palette.labs()
        self._problem = Problem.of(
            [
                Demand.of_beads(
                    wanted_lab[bead_size == size],
                    self._columns[allowed[size]],
                    labs[allowed[size]],
                    1.0 if weights is None else float(weights[size]),
                )
                for size in self._used
            ],
            len(self.codes),
            measure,
        )

    def best(self, count: int, keep: Sequence[str]) -> tuple[Allowed, Reduction]:
        """Return the entries of the best few codes, and that choice.

        Parameters
        ----------
        count : int
            Codes to choose; more than there are is all of them.
        keep : sequence of str
            Codes that must be among them.

        Raises
        ------
        PaletteError
            A code to keep is unknown, or no colour is left for one of the sizes.
        """
        count = min(count, len(self.codes))
        reduction = self._problem.best(count, self._kept(keep))
        left = self._left(reduction.chosen)
        for size in self._used:
            if not len(left[size]):
                raise PaletteError(
                    f"{count} colour{'s' * (count != 1)} cannot cover all bead sizes: none is left for"
                    f" {self._sizes[size].name}",
                    "raise --colours, or keep fewer of the other size",
                )
        return left, reduction

    def ladder(self, counts: Sequence[int], keep: Sequence[str]) -> Iterator[Allowed | None]:
        """Yield the entries of good codes for each of several counts, ascending; see `best`.

        They are found quickly and without a proof; None where none is left for one of the sizes.
        """
        for chosen in self._problem.ladder(counts, self._kept(keep)):
            left = self._left(chosen)
            yield left if all(len(left[size]) for size in self._used) else None

    def _kept(self, keep: Sequence[str]) -> NDArray[np.int64]:
        for code in keep:
            if self._palette.entries[self._palette.find(code)].code not in self._column_of:
                raise PaletteError(f"bead {code!r} is to be kept, but comes in no size that this piece takes")
        return np.array(sorted({self._column_of[code] for code in keep}), np.int64)

    def _left(self, chosen: NDArray[np.int64]) -> Allowed:
        return tuple(of_size[np.isin(self._columns[of_size], chosen)] for of_size in self._allowed)
