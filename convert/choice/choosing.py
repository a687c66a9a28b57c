"""The bead for each place: the nearest, of few colours, within stock, dithered or smoothed, in this order."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from convert.choice.reduction import Demand, Reduction, reduce_colours
from convert.choice.refining import check_strengths, even_thresholds, refine
from convert.choice.stock import Shortage, assign, merge, shortage
from convert.colour.distances import distance_named
from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.matching import nearest
from convert.colour.srgb import decode, encode_to_bytes
from convert.errors import ConvertError, PaletteError, StockError
from convert.palette.model import Palette
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave

# Grams are told in tenths, rounded up.
_TENTHS = 10


@dataclass(frozen=True, kw_only=True)
class ColourSettings:
    """How beads are chosen.

    Parameters
    ----------
    distance : str
        A name of `convert.colour.distances.DISTANCES`.
    dither, dither_kind, smoothing
        See `convert.choice.refining.refine`. Of the kinds only ``search`` goes with `stock`.
    colours : int, optional
        Most colour names to use; no limit without it.
    keep : tuple of str
        Codes that are among those for sure.
    avoid : tuple of str
        Codes not to use.
    stock : bool
        Whether no more beads are used than are on hand.

    Raises
    ------
    ConvertError
        The settings contradict each other or are out of range.
    """

    distance: str = "ciede2000"
    dither: float = 0.0
    dither_kind: str = "spread"
    smoothing: float = 0.0
    colours: int | None = None
    keep: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    stock: bool = False

    def __post_init__(self) -> None:
        distance_named(self.distance)
        check_strengths(self.dither, self.dither_kind, self.smoothing)
        if self.colours is not None and self.colours < 1:
            raise PaletteError(f"--colours is 1 or more, not {self.colours}")
        kept = set(self.keep)
        if kept and self.colours is None:
            raise PaletteError(
                "--keep names colours that stay when the palette is reduced", "give --colours, too"
            )
        if self.colours is not None and len(kept) > self.colours:
            raise PaletteError(
                f"{len(kept)} colours to keep are more than the {self.colours} to use",
                f"give --colours {len(kept)} or more",
            )
        if both := sorted(kept.intersection(self.avoid)):
            raise PaletteError(f"{', '.join(both)}: both to keep and to avoid")
        if self.stock and (self.smoothing or (self.dither and self.dither_kind != "search")):
            raise ConvertError(
                "spreading, thresholds and smoothing do not heed what is on hand",
                "give --stock without --dither and --smooth, or with --dither-kind search",
            )

    @property
    def plain(self) -> bool:
        """Whether each bead is simply the nearest of the palette."""
        return not (self.limits or self.dither or self.smoothing)

    @property
    def limits(self) -> bool:
        """Whether the beads may not simply be the nearest of the palette."""
        return self.colours is not None or bool(self.avoid) or self.stock


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


def choose(
    wanted: NDArray[np.uint8],
    weave: Weave,
    palette: Palette,
    settings: ColourSettings,
    copies: int = 1,
) -> Choice:
    """Return the entry of the palette for each bead, among those of its size.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3) or (B + T, 3), uint8
        Colour of the picture in each bead's cell, encoded sRGB; and of the small bead at each outer tip, if
        there are such, see `wanted_at_tips`. Tips are neither dithered nor smoothed.
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
        A code is unknown, or too few colours are left.
    StockError
        The beads on hand do not suffice, or the palette does not say how many there are.
    """
    tips = np.full(len(wanted) - weave.beads, weave.tip_size, np.uint8)
    bead_size = np.append(weave.bead_size, tips)
    wanted_lab, labs = srgb_to_lab(wanted), palette.labs()
    allowed = _without(palette, weave.sizes, settings.avoid)
    plain = nearest_in_size(wanted_lab, bead_size, labs, allowed, settings.distance)
    chosen, gap = plain, None
    if settings.colours is not None:
        allowed, reduction = _reduced(wanted_lab, bead_size, palette, weave.sizes, allowed, settings)
        gap = reduction.gap
        chosen = nearest_in_size(wanted_lab, bead_size, labs, allowed, settings.distance)
    spare = None
    if settings.stock:
        bead_xy = np.concatenate([weave.bead_xy, weave.junction_xy[weave.tip_junctions][: len(tips)]])
        order = even_thresholds(weave, bead_xy)

        def within_stock(lab: FloatArray) -> IntArray:
            return _within_stock(lab, bead_size, palette, weave.sizes, allowed, settings, copies, order)

        chosen = within_stock(wanted_lab)
        spare = stock_of(palette, weave.sizes, allowed) // copies
        spare -= np.bincount(chosen, minlength=len(spare))
    refined = refine(
        weave,
        chosen[: weave.beads],
        decode(wanted[: weave.beads]),
        lab_to_linear(labs),
        palette.colour_numbers(),
        allowed,
        dither=settings.dither,
        dither_kind=settings.dither_kind,
        smoothing=settings.smoothing,
        distance=settings.distance,
        spare=spare,
    )
    chosen = np.append(refined, chosen[weave.beads :])
    if settings.stock and settings.dither:
        # The colours stay; of their dye lots the first are used up first, and all are mixed evenly again.
        chosen = within_stock(labs[chosen])
    return Choice(plain, chosen, gap)


def wanted_at_tips(wanted: NDArray[np.uint8], weave: Weave) -> NDArray[np.uint8]:
    """Return the colour for the small bead at each outer tip: the mean light of the two beads beside it.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3), uint8
        Colour of the picture at each bead of the weave, encoded sRGB.
    weave : Weave
        The piece.
    """
    light = decode(wanted)
    sums = np.zeros((weave.junctions, 3))
    for end in weave.bead_junctions.T:
        np.add.at(sums, end, light)
    return encode_to_bytes(sums[weave.tip_junctions] / 2)


def _without(palette: Palette, sizes: Sequence[BeadSize], avoid: Sequence[str]) -> tuple[IntArray, ...]:
    """Return for each size the entries that may be used."""
    for code in avoid:
        palette.find(code)
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
    distance: str,
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
    distance : str
        A name of `convert.colour.distances.DISTANCES`.

    Returns
    -------
    ndarray of shape (N,), int32
    """
    entry = np.empty(len(wanted_lab), np.int32)
    for size, entries in enumerate(allowed):
        of_size = bead_size == size
        if of_size.any():
            index, _ = nearest(wanted_lab[of_size], labs[entries], distance)
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
        if palette.entries[palette.find(code)].code not in column_of:
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
        settings.distance,
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
    wish = merge(wanted_lab, bead_size, palette.labs(), allowed, settings.distance)
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
