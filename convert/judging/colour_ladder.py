"""How many colours pay: choices of more and more of them, weighed by their look from afar and their cost.

Of a few colours each further one does much for the look; later it does less and less, and is still a pack to
buy and a bowl on the mat. As many are taken as lie at the knee of that curve: the share of the look that is
won, between the fewest colours and all of them, exceeds the share of packs and bowls that it takes by most.
There the next colour would begin to cost more of the one than it gives of the other (the knee of Satopaa,
Albrecht, Irwin, Raghavan 2011, "Finding a 'kneedle' in a haystack", ICDCS Workshops, 166-171; cited from
memory). Shares need no scale, so that it does not matter how large differences are reckoned.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, zip_longest

import numpy as np

from convert.choice.choosing import Choice, Choosing, choose
from convert.choice.few_colours import Allowed
from convert.choice.part import Part
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.errors import StockError
from convert.judging.patches import missing_entries
from convert.judging.viewing import VIEW_DISTANCE_M, View
from convert.making.options import PieceOptions
from convert.making.pipeline import spare_of
from convert.palette.model import Palette
from convert.palette.money import money
from convert.piece.materials import materials_of, pooled, total_cost
from convert.piece.pattern import bead_counts
from convert.settings.colour import AUTO, ColourSettings
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import woven_only

COUNTS = (6, 8, 10, 12, 14, 16, 18, 20, 24, 28, 32, 40, 48, 64)
"""Numbers of colours that are weighed. The steps grow as the look changes less and less."""
FEW = 8
"""So many colours are taken without weighing. Our choice; no source."""
# Small patches may take the place of this share of colours: they are few, or they are not what carries
# meaning. Our choice.
_FOR_PATCHES = 0.25
# The curve is rough: from one rung to the next its shares jump by some hundredths. Of numbers of colours that
# pay alike the one is taken that looks best. Our choice, from the curves of the samples and four photographs.
_ROUGH = 0.02


@dataclass(frozen=True, eq=False, slots=True)
class Rung:
    """One choice of colours.

    Parameters
    ----------
    chosen : ndarray of shape (B,) or (B + T,), int32
        The entry of each bead, tips included.
    colours : int
        Colours used.
    seen : float
        How it looks from afar, see `convert.judging.afar.Judgement`; of several pieces the mean over beads.
    packs : int or None
        Packs to buy; None where the palette does not say how much they hold.
    cost : float or None
        Price of those.
    """

    chosen: IntArray
    colours: int
    seen: float
    packs: int | None
    cost: float | None


@dataclass(frozen=True, slots=True)
class PayingColours:
    """Chooses beads as `convert.choice.choosing.choose` does, and as many colours as pay if nobody says.

    Parameters
    ----------
    options : PieceOptions
        What is bought and how it is told.
    distance_m : float
        Distance of the eye.
    """

    options: PieceOptions
    distance_m: float = VIEW_DISTANCE_M

    def __call__(
        self,
        wanted: FloatArray,
        weave: Weave,
        palette: Palette,
        settings: ColourSettings,
        copies: int = 1,
        alike: IntArray | None = None,
    ) -> Choice:
        """Return the beads; parameters and errors as of `choose`."""
        if settings.colours != AUTO:
            return choose(wanted, weave, palette, settings, copies, alike, self.distance_m)
        part = Part(wanted, weave, settings, copies, "", alike, self.distance_m)
        return self.of_pieces(Choosing((part,), palette))

    def of_pieces(self, choosing: Choosing, besides: Sequence[str] = ()) -> Choice:
        """Return the beads of one piece or of several, in as many colours as pay for all of them together.

        Parameters
        ----------
        choosing : Choosing
            The pieces, for which nobody says how many colours there may be.
        besides : sequence of str
            Codes that are taken in any case, so that to use them costs no colour more.
        """
        palette = choosing.palette
        kept = tuple(dict.fromkeys((*choosing.settings.keep, *besides)))
        weigh = self.scales(choosing.parts, palette)
        plain = choosing.among(choosing.allowed)
        top = weigh.rung(plain)
        rungs = _ladder(choosing, weigh, top, kept)
        if top.colours <= FEW or not rungs:
            return choosing.of_all()
        count, rung = rungs[paying([*(one for _, one in rungs), top])]
        missing = _missing(choosing, plain, rung.chosen)
        more = [palette.entries[entry].code for entry in missing[: int(count * _FOR_PATCHES)]]
        more = [code for code in dict.fromkeys(more) if code not in kept]
        keep = (*kept, *more)
        choice, full = choosing.of_best(max(count, len(set(keep))), keep), choosing.of_all()
        reason = self._reason(weigh.rung(choice.chosen), weigh.rung(full.chosen), palette)
        return Choice(choice.nearest, choice.chosen, choice.gap, choice.notes, reason)

    def scales(self, parts: Sequence[Part], palette: Palette) -> "Scales":
        """Return what choices for some pieces are weighed with."""
        return Scales(parts, palette, self.options.bags, spare_of(self.options), self.distance_m)

    def _reason(self, few: Rung, full: Rung, palette: Palette) -> str:
        """Say why there are as many colours as there are."""
        # Of the figures as they are told, or the two would not agree.
        off = round(round(few.seen, 1) - round(full.seen, 1), 1)
        look = f"{abs(off):.1f} {'further off' if off > 0 else 'closer'} than" if off else "the same as"
        said = f"{few.colours} colours: from {self.distance_m:g} m {look} with all {full.colours}"
        if few.cost is None or full.cost is None or few.cost >= full.cost:
            return said
        saved = money(full.cost - few.cost, self.options.currency or palette.currency)
        return f"{said}, and {saved} less to buy"


class Scales:
    """Weighs choices of beads for one piece or for several.

    Parameters
    ----------
    parts : sequence of Part
        The pieces.
    palette : Palette
        Bead colours.
    bags : int
        Persons that all copies are divided among, see `convert.piece.materials.materials_of`.
    spare : float
        Share of beads to have besides.
    distance_m : float
        Distance of the eye.
    """

    def __init__(
        self, parts: Sequence[Part], palette: Palette, bags: int, spare: float, distance_m: float
    ) -> None:
        self._parts, self._palette, self._bags, self._spare = parts, palette, bags, spare
        self._linear = np.clip(lab_to_linear(palette.labs()), 0, 1)
        self._views = [
            View(part.weave, woven_only(part.weave, part.wanted), None, distance_m) for part in parts
        ]
        self._weights = [part.copies * len(part.wanted) for part in parts]

    def rung(self, chosen: IntArray) -> Rung:
        """Return what a choice of beads weighs, those of all pieces one after the other, tips included."""
        palette, entries = self._palette, len(self._palette.entries)
        of_parts = np.split(chosen, np.cumsum([len(part.wanted) for part in self._parts])[:-1])
        taken, seen = [], []
        for part, view, own in zip(self._parts, self._views, of_parts, strict=True):
            counts = bead_counts(own, part.bead_size, entries) * (part.copies // self._bags)
            taken.append((counts, part.weave.sizes))
            seen.append(view.from_best(self._linear[woven_only(part.weave, own)]))
        rows = materials_of(*pooled(taken), palette, self._bags, self._spare)
        packs = [row.packs for row in rows if row.packs is not None]
        return Rung(
            chosen,
            len({row.colour.code for row in rows}),
            seen[0] if len(seen) == 1 else float(np.average(seen, weights=self._weights)),
            sum(packs) if packs else None,
            total_cost(row.cost for row in rows),
        )


def _missing(choosing: Choosing, plain: IntArray, few: IntArray) -> list[int]:
    """Return entries that bring back patches which few colours lose; the first of each piece come first."""
    found = [
        missing_entries(
            linear_to_lab(woven_only(part.weave, part.wanted)),
            choosing.palette.labs(),
            woven_only(part.weave, of_all),
            woven_only(part.weave, of_few),
            part.weave,
        )
        for part, of_all, of_few in zip(
            choosing.parts, choosing.split(plain), choosing.split(few), strict=True
        )
    ]
    in_turn = chain.from_iterable(zip_longest(*found))
    return list(dict.fromkeys(entry for entry in in_turn if entry is not None))


def paying(rungs: Sequence[Rung]) -> int:
    """Return the place of the rung from which on a further colour does not pay.

    Parameters
    ----------
    rungs : sequence of Rung
        Few colours first; the last is all colours, which is not returned where there is another.
    """
    won = _shares([-rung.seen for rung in rungs])
    spent = _shares([rung.colours for rung in rungs])
    costs = [rung.cost for rung in rungs if rung.cost is not None]
    if len(costs) == len(rungs) and costs[0] < costs[-1]:
        # A bowl on the mat counts as much as a pack to pay for.
        spent = (spent + _shares(costs)) / 2
    pays = (won - spent)[: max(1, len(rungs) - 1)]
    return int(np.flatnonzero(pays >= pays.max() - _ROUGH)[-1])


def _shares(values: Sequence[float]) -> FloatArray:
    """Return where values lie between the first, 0, and the last, 1; all 0 where that is not larger."""
    rise = values[-1] - values[0]
    return (np.array(values, float) - values[0]) / rise if rise > 0 else np.zeros(len(values))


def _ladder(choosing: Choosing, weigh: Scales, top: Rung, keep: Sequence[str]) -> list[tuple[int, Rung]]:
    """Return the rungs below the top, each with the number of colours allowed."""
    counts = [count for count in COUNTS if len(set(keep)) <= count < top.colours]
    found = zip(counts, choosing.few.ladder(counts, keep), strict=True)
    return [
        (count, weigh.rung(chosen))
        for count, allowed in found
        if allowed is not None
        for chosen in _woven_of(choosing, allowed)
    ]


def _woven_of(choosing: Choosing, allowed: Allowed) -> Iterator[IntArray]:
    """Yield the beads of some entries, or nothing where those on hand do not suffice."""
    try:
        yield choosing.among(allowed)
    except StockError:
        return
