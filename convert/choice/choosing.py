"""The bead for each place: the nearest, of few colours, within stock, dithered or smoothed, in this order."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from convert.choice.few_colours import Allowed, FewColours
from convert.choice.refining import even_thresholds, refine
from convert.choice.stock import Shortage, Wish, assign, merge, shortage
from convert.colour.distances import Distance, distance_named
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.colour.matching import nearest
from convert.errors import PaletteError, StockError
from convert.palette.model import Palette
from convert.settings.colour import ColourSettings
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import tips_of, woven_only

# Grams are told in tenths, rounded up.
_TENTHS = 10
# What is summed over a picture is noise in the last digits. Without it equal colours are equal.
_DIGITS = 10


@dataclass(frozen=True, eq=False, slots=True)
class Choice:
    """Beads chosen.

    Parameters
    ----------
    nearest : ndarray of shape (B,), int32
        The nearest entry of the palette for each bead, of those not to avoid.
    chosen : ndarray of shape (B,), int32
        The entry chosen.
    gap : float or None
        By what share another choice of as many colours could be better at most; None without a limit.
    notes : tuple of str
        What the user should know.
    reason : str or None
        Why there are as many colours as there are; None where the user has said how many.
    """

    nearest: IntArray
    chosen: IntArray
    gap: float | None
    notes: tuple[str, ...] = ()
    reason: str | None = None


Chooser = Callable[[FloatArray, Weave, Palette, ColourSettings, int, IntArray | None], Choice]
"""What chooses beads, such as `choose`, of which it has parameters and errors."""


def measure_of(settings: ColourSettings) -> Distance:
    """Return the colour difference by which beads are chosen."""
    return distance_named(settings.distance, settings.lightness)


def in_codes(settings: ColourSettings, palette: Palette) -> ColourSettings:
    """Return settings with the codes of what is to keep and to avoid, which may be called by name, too.

    Raises
    ------
    PaletteError
        The palette has no such colour, or several; or the codes contradict each other.
    """
    keep, avoid = (
        tuple(dict.fromkeys(palette.entries[palette.find(called)].code for called in names))
        for names in (settings.keep, settings.avoid)
    )
    return replace(settings, keep=keep, avoid=avoid)


def choose(
    wanted: FloatArray,
    weave: Weave,
    palette: Palette,
    settings: ColourSettings,
    copies: int = 1,
    alike: IntArray | None = None,
) -> Choice:
    """Return the entry of the palette for each bead, among those of its size.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3) or (B + T, 3), float64
        Mean light of the picture in each bead's cell, linear sRGB; and for the small bead at each outer tip,
        if there are such, see `wanted_at_tips`. Tips are neither dithered nor smoothed.
    weave : Weave
        The piece.
    palette : Palette
        Bead colours, some for each of the sizes.
    settings : ColourSettings
        The user's choices. Without a number of colours all are taken: how many pay is not known here, see
        `convert.judging.colour_ladder`.
    copies : int
        Pieces to be woven of the stock.
    alike : ndarray of shape (B,) or (B + T,), int32, optional
        For each bead the first that is to have its colour, see `convert.weave.symmetry.alike`. Beads that are
        refined are so all over the piece, and what comes of the first is given to all.

    Raises
    ------
    PaletteError
        A colour is unknown, or too few are left.
    StockError
        The beads on hand do not suffice, or the palette does not say how many there are.
    """
    choosing = Choosing(wanted, weave, palette, settings, copies, alike)
    if settings.most_colours is None:
        return choosing.of_all()
    return choosing.of_best(settings.most_colours, choosing.settings.keep)


class Choosing:
    """Beads to be chosen, made ready once for several choices; parameters and errors as in `choose`.

    Attributes
    ----------
    nearest : ndarray of shape (B,), int32
        See `Choice`.
    allowed : tuple of ndarray of int
        For each of the sizes the entries that are not to be avoided.
    """

    def __init__(
        self,
        wanted: FloatArray,
        weave: Weave,
        palette: Palette,
        settings: ColourSettings,
        copies: int = 1,
        alike: IntArray | None = None,
    ) -> None:
        settings = in_codes(settings, palette)
        self.weave, self.palette, self.settings = weave, palette, settings
        self._copies = copies
        tips = tips_of(weave)
        self._bead_size = tips.extended(weave.bead_size, tips.size_index)[: len(wanted)]
        self._first = np.arange(len(wanted)) if alike is None else alike[: len(wanted)]
        self.wanted = np.round(wanted, _DIGITS)[self._first]
        self._wanted_lab, self._labs = linear_to_lab(self.wanted), palette.labs()
        self.allowed = _without(palette, weave.sizes, settings.avoid)
        self.nearest = self._nearest(self.allowed)

    @cached_property
    def few(self) -> FewColours:
        """What choices of few colours are made with."""
        return FewColours(
            self._wanted_lab,
            self._bead_size,
            self.palette,
            self.weave.sizes,
            self.allowed,
            measure_of(self.settings),
        )

    def of_all(self) -> Choice:
        """Return the choice among all colours."""
        return Choice(self.nearest, self._refined(self.among(self.allowed), self.allowed), None)

    def of_best(self, count: int, keep: Sequence[str]) -> Choice:
        """Return the choice among the best `count` colours with some to keep, see `FewColours.best`."""
        allowed, reduction = self.few.best(count, keep)
        chosen = self._refined(self.among(allowed), allowed)
        notes: tuple[str, ...] = ()
        if count > len(self.few.codes):
            notes = (f"there are {len(self.few.codes)} colours to choose from, not {count}; all are taken",)
        used = {self.palette.entries[entry].code for entry in np.unique(chosen).tolist()}
        if unused := [code for code in self.settings.keep if code not in used]:
            told = f"none of {' and '.join(unused)} is woven in, though kept: nowhere is it the nearest bead"
            notes = (*notes, told)
        return Choice(self.nearest, chosen, reduction.gap, notes)

    def among(self, allowed: Allowed) -> IntArray:
        """Return the best bead of some entries for each place, within stock if that is asked for.

        Raises
        ------
        StockError
            The beads on hand do not suffice.
        """
        if self.settings.stock:
            return self._within_stock(self._wanted_lab, allowed)
        return self.nearest if allowed is self.allowed else self._nearest(allowed)

    def _nearest(self, allowed: Allowed) -> IntArray:
        measure = measure_of(self.settings)
        return nearest_in_size(self._wanted_lab, self._bead_size, self._labs, allowed, measure)

    def _within_stock(self, wanted_lab: FloatArray, allowed: Allowed) -> IntArray:
        sizes = self.weave.sizes
        left = stock_of(self.palette, sizes, allowed) // self._copies
        order = self._order()

        def wish_of(beads: NDArray[np.intp]) -> Wish:
            measure = measure_of(self.settings)
            return merge(wanted_lab[beads], self._bead_size[beads], self._labs, allowed, measure)

        lacking = shortage(wish_of(np.arange(len(wanted_lab))), left, allowed)
        times = np.bincount(self._first, minlength=len(wanted_lab))
        chosen = np.empty(len(wanted_lab), np.int32)
        # Those that come most often have the first call: less of the stock is left over of them.
        for often in np.unique(times[times > 0])[::-1].tolist():
            beads = np.flatnonzero(times == often)
            wish = wish_of(beads)
            if lacking is None and often > 1:
                lacking = shortage(wish, left // often, allowed)
            if lacking is not None:
                raise _too_few(lacking, self.palette, sizes, allowed, self._copies)
            chosen[beads] = assign(wish, left // often, order[beads])
            left -= often * np.bincount(chosen[beads], minlength=len(left))
        return chosen[self._first]

    def _order(self) -> FloatArray:
        """Return numbers of which those of a kind lie evenly spread over the piece, shape (B,)."""
        weave = self.weave
        tips = tips_of(weave)
        xy = tips.extended(weave.bead_xy, weave.junction_xy[tips.junctions])
        return even_thresholds(weave, xy[: len(self._first)])

    def _refined(self, chosen: IntArray, allowed: Allowed) -> IntArray:
        """Return beads dithered or smoothed, those at the tips as they are."""
        weave, settings = self.weave, self.settings
        spare = None
        if settings.stock:
            spare = stock_of(self.palette, weave.sizes, allowed) // self._copies
            spare -= np.bincount(chosen, minlength=len(spare))
        refined = refine(
            weave,
            woven_only(weave, chosen),
            woven_only(weave, self.wanted),
            lab_to_linear(self._labs),
            self.palette.colour_numbers(),
            allowed,
            dither=settings.dither,
            dither_kind=settings.dither_kind,
            smoothing=settings.smoothing,
            measure=measure_of(settings),
            spare=spare,
        )
        refined = np.append(refined, tips_of(weave).parted(chosen)[1])[self._first]
        if settings.stock and settings.dither:
            # The colours stay; of their dye lots the first are used up first, and all are mixed evenly again.
            refined = self._within_stock(self._labs[refined], allowed)
        return refined


def wanted_at_tips(wanted: FloatArray, weave: Weave) -> FloatArray:
    """Return the light for the small bead at each outer tip: the mean light of the two beads beside it.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3), float64
        Light of the picture at each bead of the weave, linear sRGB.
    weave : Weave
        The piece.
    """
    sums = np.zeros((weave.junctions, 3))
    for end in weave.bead_junctions.T:
        np.add.at(sums, end, wanted)
    return np.asarray(sums[tips_of(weave).junctions] / 2)


def _without(palette: Palette, sizes: Sequence[BeadSize], avoid: Sequence[str]) -> Allowed:
    """Return for each size the entries that may be used."""
    is_avoided = np.array([entry.code in avoid for entry in palette.entries])
    allowed = []
    for size in sizes:
        entries = palette.for_size(size.name)
        left = entries[~is_avoided[entries]]
        if not len(left):
            raise PaletteError(
                f"palette {palette.name} has no bead of size {size.name} but those to avoid",
                "avoid fewer colours",
            )
        allowed.append(left)
    return tuple(allowed)


def nearest_in_size(
    wanted_lab: FloatArray,
    bead_size: NDArray[np.uint8],
    labs: FloatArray,
    allowed: Sequence[IntArray],
    measure: Distance,
) -> IntArray:
    """Return the nearest entry of a palette for each bead, among those of its size.

    Parameters
    ----------
    wanted_lab : ndarray of shape (N, 3), float64
        What the beads are wanted to show, CIELAB.
    bead_size : ndarray of shape (N,), uint8
        0 for beads of the core's size, 1 for those of the connector's.
    labs : ndarray of shape (K, 3), float64
        The palette, CIELAB.
    allowed : sequence of ndarray of int
        Entries for each of the two sizes.
    measure : Distance
        The colour difference.

    Returns
    -------
    ndarray of shape (N,), int32
    """
    entry = np.empty(len(wanted_lab), np.int32)
    for size, entries in enumerate(allowed):
        of_size = bead_size == size
        if of_size.any():
            index, _ = nearest(wanted_lab[of_size], labs[entries], measure)
            entry[of_size] = entries[index]
    return entry


def stock_of(palette: Palette, sizes: Sequence[BeadSize], allowed: Sequence[IntArray]) -> NDArray[np.int64]:
    """Return the beads on hand of each entry, shape (K,); 0 where the palette does not say.

    Grams of a colour for any size are counted as beads of the larger size, so that they surely suffice.

    Raises
    ------
    StockError
        The palette says of no entry what is on hand.
    """
    beads = np.zeros(len(palette.entries), np.int64)
    known = False
    for entry in np.unique(np.concatenate(allowed)).tolist():
        found = [
            palette.entries[entry].beads_on_hand(size.beads_per_gram)
            for size, offered in zip(sizes, allowed, strict=True)
            if entry in offered
        ]
        on_hand = [count for count in found if count is not None]
        if on_hand:
            known = True
            beads[entry] = min(on_hand)
    if not known:
        raise StockError(
            f"palette {palette.name} does not say what is on hand",
            "fill its column on_hand (beads) or on_hand_g (grams), or leave out --stock",
        )
    return beads


def _too_few(
    lacking: Shortage,
    palette: Palette,
    sizes: Sequence[BeadSize],
    allowed: Sequence[IntArray],
    copies: int,
) -> StockError:
    """Return the refusal, with the purchase that helps most."""
    missing = " and ".join(
        f"{count * copies:,} of {size.name}"
        for size, count in zip(sizes, lacking.beads.tolist(), strict=True)
        if count
    )
    colour = palette.entries[lacking.entry]
    fits = [size for size in range(len(sizes)) if lacking.entry in allowed[size]]
    size = sizes[max(fits, key=lambda number: int(lacking.beads[number]))]
    grams = lacking.bought * copies / (colour.per_gram or size.beads_per_gram)
    grams = np.ceil(grams * _TENTHS - 1e-9) / _TENTHS
    named = f"{colour.code} {colour.name}".strip()
    return StockError(
        f"the beads on hand cannot fill the piece: {missing} are missing",
        f"what helps most is {grams:.1f} g of {named} in {size.name}; or make the piece smaller",
    )
