"""The bead for each place: the nearest, of few colours, within stock, dithered or smoothed, in this order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.choice.reduction import Demand, Reduction, reduce_colours
from convert.choice.refining import even_thresholds, refine
from convert.choice.stock import Shortage, assign, merge, shortage
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
    """

    nearest: IntArray
    chosen: IntArray
    gap: float | None


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
        The user's choices.
    copies : int
        Pieces to be woven of the stock.

    Raises
    ------
    PaletteError
        A colour is unknown, or too few are left.
    StockError
        The beads on hand do not suffice, or the palette does not say how many there are.
    """
    settings = in_codes(settings, palette)
    tips = tips_of(weave)
    bead_size = tips.extended(weave.bead_size, tips.size_index)[: len(wanted)]
    wanted = np.round(wanted, _DIGITS)
    wanted_lab, labs = linear_to_lab(wanted), palette.labs()
    allowed = _without(palette, weave.sizes, settings.avoid)
    plain = nearest_in_size(wanted_lab, bead_size, labs, allowed, measure_of(settings))
    chosen, gap = plain, None
    if settings.colours is not None:
        allowed, reduction = _reduced(wanted_lab, bead_size, palette, weave.sizes, allowed, settings)
        gap = reduction.gap
        chosen = nearest_in_size(wanted_lab, bead_size, labs, allowed, measure_of(settings))
    spare = None
    if settings.stock:
        bead_xy = tips.extended(weave.bead_xy, weave.junction_xy[tips.junctions])
        order = even_thresholds(weave, bead_xy[: len(wanted)])

        def within_stock(lab: FloatArray) -> IntArray:
            return _within_stock(lab, bead_size, palette, weave.sizes, allowed, settings, copies, order)

        chosen = within_stock(wanted_lab)
        spare = stock_of(palette, weave.sizes, allowed) // copies
        spare -= np.bincount(chosen, minlength=len(spare))
    refined = refine(
        weave,
        woven_only(weave, chosen),
        woven_only(weave, wanted),
        lab_to_linear(labs),
        palette.colour_numbers(),
        allowed,
        dither=settings.dither,
        dither_kind=settings.dither_kind,
        smoothing=settings.smoothing,
        measure=measure_of(settings),
        spare=spare,
    )
    chosen = np.append(refined, tips.parted(chosen)[1])
    if settings.stock and settings.dither:
        # The colours stay; of their dye lots the first are used up first, and all are mixed evenly again.
        chosen = within_stock(labs[chosen])
    return Choice(plain, chosen, gap)


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


def _without(palette: Palette, sizes: Sequence[BeadSize], avoid: Sequence[str]) -> tuple[IntArray, ...]:
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


def _reduced(
    wanted_lab: FloatArray,
    bead_size: NDArray[np.uint8],
    palette: Palette,
    sizes: Sequence[BeadSize],
    allowed: Sequence[IntArray],
    settings: ColourSettings,
) -> tuple[tuple[IntArray, ...], Reduction]:
    """Return the entries of the best few codes, and that choice."""
    used = [size for size in range(len(sizes)) if (bead_size == size).any()]
    entries = np.unique(np.concatenate([allowed[size] for size in used]))
    codes = list(dict.fromkeys(palette.entries[entry].code for entry in entries))
    column_of = {code: column for column, code in enumerate(codes)}
    columns = np.array([column_of.get(entry.code, -1) for entry in palette.entries])
    for code in settings.keep:
        if code not in column_of:
            raise PaletteError(f"bead {code!r} is to be kept, but comes in no size that this piece takes")
    keep = np.array(sorted({column_of[code] for code in settings.keep}), np.int64)
    count = min(settings.colours or len(codes), len(codes))
    labs = palette.labs()
    reduction = reduce_colours(
        [
            Demand.of_beads(wanted_lab[bead_size == size], columns[allowed[size]], labs[allowed[size]])
            for size in used
        ],
        len(codes),
        count,
        keep,
        measure_of(settings),
    )
    left = tuple(of_size[np.isin(columns[of_size], reduction.chosen)] for of_size in allowed)
    for size in used:
        if not len(left[size]):
            raise PaletteError(
                f"{count} colour{'s' * (count != 1)} cannot cover both bead sizes: none is left for"
                f" {sizes[size].name}",
                "raise --colours, or keep fewer of the other size",
            )
    return left, reduction


def _within_stock(
    wanted_lab: FloatArray,
    bead_size: NDArray[np.uint8],
    palette: Palette,
    sizes: Sequence[BeadSize],
    allowed: Sequence[IntArray],
    settings: ColourSettings,
    copies: int,
    order: FloatArray,
) -> IntArray:
    capacity = stock_of(palette, sizes, allowed) // copies
    wish = merge(wanted_lab, bead_size, palette.labs(), allowed, measure_of(settings))
    lacking = shortage(wish, capacity, allowed)
    if lacking is not None:
        raise _too_few(lacking, palette, sizes, allowed, copies)
    return assign(wish, capacity, order)


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
