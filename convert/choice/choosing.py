"""The bead for each place: the nearest, of few colours, within stock, dithered or smoothed, in this order."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from convert.choice.few_colours import Allowed, FewColours
from convert.choice.on_hand import stock_of, too_few
from convert.choice.part import Part
from convert.choice.refining import even_thresholds, refine, search_of
from convert.choice.search import MOST_SWEEPS, Search
from convert.choice.stock import assign, merge, shortage
from convert.colour.distances import Distance, distance_named
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.colour.matching import nearest
from convert.colour.scielab import VIEW_DISTANCE_M
from convert.errors import PaletteError
from convert.palette.model import Palette
from convert.settings.colour import ColourSettings
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import tips_of, woven_only

# What is summed over a picture is noise in the last digits. Without it equal colours are equal.
_DIGITS = 10
# After so many sweeps a search shows which colours it wants.
_QUICK_SWEEPS = 2
# So often what the picture wants counts beside that. With less a cat loses the green of its eyes or the red
# of its nose, and photographs are seen closer by a fortieth at most.
_WANTED = 3
Of = TypeVar("Of", bound=np.generic)


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
    distance_m: float = VIEW_DISTANCE_M,
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
    distance_m : float
        From how far a search for the look from afar looks at the piece.

    Raises
    ------
    PaletteError
        A colour is unknown, or too few are left.
    StockError
        The beads on hand do not suffice, or the palette does not say how many there are.
    """
    choosing = Choosing((Part(wanted, weave, settings, copies, "", alike, distance_m),), palette)
    if settings.most_colours is None:
        return choosing.of_all()
    return choosing.of_best(settings.most_colours, choosing.settings.keep)


class Choosing:
    """Beads to be chosen, made ready once for several choices; errors as in `choose`.

    Beads of all pieces follow each other in one array, see `split`. Each piece's core and connector are sizes
    of their own here, since beads of one size may be for unlike numbers of copies.

    Parameters
    ----------
    parts : sequence of Part
        The pieces, which share one choice of colours; what their settings say of that is what the first says.
    palette : Palette
        Bead colours, some for each of the sizes.
    taken : ndarray of shape (K,), int64, optional
        Beads on hand of each entry that are spoken for.

    Attributes
    ----------
    nearest : ndarray of shape (B,), int32
        See `Choice`.
    allowed : tuple of ndarray of int
        For each of the sizes the entries that are not to be avoided.
    """

    def __init__(
        self, parts: Sequence[Part], palette: Palette, taken: NDArray[np.int64] | None = None
    ) -> None:
        self.parts, self.palette = tuple(parts), palette
        self.settings = in_codes(self.parts[0].settings, palette)
        self._taken = taken
        self._sizes = [size for part in self.parts for size in part.weave.sizes]
        # What all pieces are made of alike, such as kits for a class, does not change which choice is best.
        self._copies = math.gcd(*(part.copies for part in self.parts))
        self._times = np.repeat([part.copies // self._copies for part in self.parts], 2)
        self._bead_size = np.concatenate(
            [part.bead_size + np.uint8(2 * number) for number, part in enumerate(self.parts)]
        )
        starts = np.cumsum([0, *(len(part.wanted) for part in self.parts)]).tolist()
        self._first = np.concatenate(
            [part.first + start for part, start in zip(self.parts, starts, strict=False)]
        )
        self.wanted = np.round(np.concatenate([part.wanted for part in self.parts]), _DIGITS)[self._first]
        self._wanted_lab, self._labs = linear_to_lab(self.wanted), palette.labs()
        self.allowed = _without(palette, self._sizes, self.settings.avoid)
        self.nearest = self._nearest(self.allowed)

    @cached_property
    def few(self) -> FewColours:
        """What choices of few colours are made with."""
        return self._few(self._wanted_lab, self._bead_size)

    @cached_property
    def _few_that_mix(self) -> FewColours:
        """What choices of few colours are made with that look close from afar when they are mixed.

        A mixture wants colours that lie round those of the picture, and its small patches colours that lie
        near. So the best are chosen for both: for the beads woven when all colours are mixed, and, with more
        weight, for what the picture wants.
        """
        mixed = self._refined(self.among(self.allowed), self.allowed, _QUICK_SWEEPS)
        both = np.concatenate([self._labs[mixed], *[self._wanted_lab] * _WANTED])
        return self._few(both, np.tile(self._bead_size, 1 + _WANTED))

    def _few(self, lab: FloatArray, bead_size: NDArray[np.uint8]) -> FewColours:
        measure = measure_of(self.settings)
        return FewColours(lab, bead_size, self.palette, self._sizes, self.allowed, measure, self._times)

    @cached_property
    def _searches(self) -> list[Search | None]:
        """Each piece ready to be searched, or None where nothing is searched for."""
        linear, numbers = lab_to_linear(self._labs), self.palette.colour_numbers()

        def search(part: Part, wanted: FloatArray) -> Search:
            woven, by = woven_only(part.weave, wanted), measure_of(part.settings)
            return search_of(part.weave, woven, linear, numbers, by, part.distance_m)

        pieces = zip(self.parts, self.split(self.wanted), strict=True)
        return [search(part, wanted) if part.searches else None for part, wanted in pieces]

    def split(self, of_beads: NDArray[Of]) -> list[NDArray[Of]]:
        """Return what is said of all beads for each piece."""
        return np.split(of_beads, np.cumsum([len(part.wanted) for part in self.parts])[:-1])

    def of_all(self) -> Choice:
        """Return the choice among all colours."""
        return Choice(self.nearest, self._refined(self.among(self.allowed), self.allowed), None)

    def of_best(self, count: int, keep: Sequence[str]) -> Choice:
        """Return the choice among the best `count` colours with some to keep, see `FewColours.best`.

        For a search they are those that mix best, of which no bound is known; within stock they are not, for
        of those the beads on hand may not suffice.
        """
        mixes = any(part.searches for part in self.parts) and not self.settings.stock
        allowed, reduction = (self._few_that_mix if mixes else self.few).best(count, keep)
        chosen = self._refined(self.among(allowed), allowed)
        notes: tuple[str, ...] = ()
        if count > len(self.few.codes):
            notes = (f"there are {len(self.few.codes)} colours to choose from, not {count}; all are taken",)
        used = {self.palette.entries[entry].code for entry in np.unique(chosen).tolist()}
        if unused := [code for code in self.settings.keep if code not in used]:
            told = f"none of {' and '.join(unused)} is woven in, though kept: nowhere is it the nearest bead"
            notes = (*notes, told)
        return Choice(self.nearest, chosen, None if mixes else reduction.gap, notes)

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

    def _on_hand(self, allowed: Allowed) -> NDArray[np.int64]:
        """Return the beads of each entry that are free for each of the copies that all pieces have."""
        free = stock_of(self.palette, self._sizes, allowed)
        return (free if self._taken is None else np.maximum(free - self._taken, 0)) // self._copies

    def _within_stock(self, wanted_lab: FloatArray, allowed: Allowed) -> IntArray:
        capacity, measure = self._on_hand(allowed), measure_of(self.settings)
        # Beads alike are chosen once, and take as many of the stock as there are of them.
        first, many = np.unique(self._first, return_counts=True)
        kinds, kind = np.unique(np.stack([self._bead_size[first], many]), axis=1, return_inverse=True)
        of_kind, times = kinds[0].tolist(), self._times[kinds[0]] * kinds[1]
        offered = [allowed[size] for size in of_kind]
        wish = merge(wanted_lab[first], kind.ravel(), self._labs, offered, measure, times)
        lacking = shortage(wish, capacity, offered)
        if lacking is not None:
            names = [self.parts[size // 2].name for size in of_kind]
            sizes = [self._sizes[size] for size in of_kind]
            raise too_few(lacking, self.palette, sizes, offered, self._copies, names)
        order = np.concatenate([even_thresholds(part.weave, part.bead_xy) for part in self.parts])
        chosen = np.empty(len(wanted_lab), np.int32)
        chosen[first] = assign(wish, capacity, order[first])
        return np.asarray(chosen[self._first])

    def _refined(self, chosen: IntArray, allowed: Allowed, most_sweeps: int = MOST_SWEEPS) -> IntArray:
        """Return beads dithered or smoothed, those at the tips as they are."""
        every = [part.settings for part in self.parts]
        if not any(settings.dither or settings.smoothing for settings in every):
            return chosen
        left = None
        entries = len(self.palette.entries)
        if self.settings.stock:
            left = self._on_hand(allowed)
            for mine, times in zip(self.split(chosen), self._times[::2], strict=True):
                left -= times * np.bincount(mine, minlength=entries)
        refined = []
        pieces = zip(self.split(chosen), self.split(self.wanted), self._times[::2], strict=True)
        for number, (before, wanted, times) in enumerate(pieces):
            own, spare = allowed[2 * number : 2 * number + 2], None if left is None else left // times
            after = self._refined_piece(number, before, wanted, own, spare, most_sweeps)
            if left is not None:
                # What one piece gives back or takes more of, the next may take, or not.
                left -= times * (
                    np.bincount(after, minlength=entries) - np.bincount(before, minlength=entries)
                )
            refined.append(after)
        found = np.concatenate(refined)
        if self.settings.stock:
            # The colours stay; of their dye lots the first are used up first, and all are mixed evenly again.
            found = self._within_stock(self._labs[found], allowed)
        return found

    def _refined_piece(
        self,
        number: int,
        chosen: IntArray,
        wanted: FloatArray,
        allowed: Allowed,
        spare: NDArray[np.int64] | None,
        most_sweeps: int,
    ) -> IntArray:
        part = self.parts[number]
        weave, settings = part.weave, part.settings
        refined = refine(
            weave,
            woven_only(weave, chosen),
            woven_only(weave, wanted),
            lab_to_linear(self._labs),
            self.palette.colour_numbers(),
            allowed,
            dither=settings.dither,
            dither_kind=settings.dither_kind,
            smoothing=settings.smoothing,
            measure=measure_of(settings),
            spare=spare,
            search=self._searches[number],
            most_sweeps=most_sweeps,
        )
        return np.append(refined, tips_of(weave).parted(chosen)[1])[part.first]


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
