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

import numpy as np

from convert.choice.choosing import Choice, Choosing, choose
from convert.choice.few_colours import Allowed
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.errors import StockError
from convert.judging.patches import missing_entries
from convert.judging.viewing import VIEW_DISTANCE_M, View
from convert.making.options import PieceOptions
from convert.making.pipeline import spare_of
from convert.palette.model import Palette
from convert.palette.money import money
from convert.piece.materials import materials_of, total_cost
from convert.piece.pattern import bead_counts
from convert.settings.colour import AUTO, ColourSettings
from convert.weave.model import FloatArray, IntArray, Weave
from convert.weave.tips import tips_of, woven_only

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
        How it looks from afar, see `convert.judging.afar.Judgement`.
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
            return choose(wanted, weave, palette, settings, copies, alike)
        choosing = Choosing(wanted, weave, palette, settings, copies, alike)
        weigh = self.scales(wanted, weave, palette, copies)
        plain = choosing.among(choosing.allowed)
        top = weigh.rung(plain)
        rungs = _ladder(choosing, weigh, top, choosing.settings.keep)
        if top.colours <= FEW or not rungs:
            return choosing.of_all()
        count, rung = rungs[paying([*(one for _, one in rungs), top])]
        missing = missing_entries(
            linear_to_lab(woven_only(weave, wanted)),
            palette.labs(),
            woven_only(weave, plain),
            woven_only(weave, rung.chosen),
            weave,
        )
        more = [palette.entries[entry].code for entry in missing[: int(count * _FOR_PATCHES)]]
        more = [code for code in dict.fromkeys(more) if code not in choosing.settings.keep]
        keep = (*choosing.settings.keep, *more)
        choice, full = choosing.of_best(max(count, len(set(keep))), keep), choosing.of_all()
        reason = self._reason(weigh.rung(choice.chosen), weigh.rung(full.chosen), palette)
        return Choice(choice.nearest, choice.chosen, choice.gap, choice.notes, reason)

    def scales(self, wanted: FloatArray, weave: Weave, palette: Palette, copies: int = 1) -> "Scales":
        """Return what choices for a piece are weighed with."""
        return Scales(wanted, weave, palette, copies, spare_of(self.options), self.distance_m)

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
    """Weighs choices of beads for one piece.

    Parameters
    ----------
    wanted : ndarray of shape (B, 3) or (B + T, 3), float64
        Light that is wanted of each bead, linear sRGB.
    weave : Weave
        The piece.
    palette : Palette
        Bead colours.
    copies : int
        Pieces to be made.
    spare : float
        Share of beads to have besides.
    distance_m : float
        Distance of the eye.
    """

    def __init__(
        self,
        wanted: FloatArray,
        weave: Weave,
        palette: Palette,
        copies: int,
        spare: float,
        distance_m: float,
    ) -> None:
        self._weave, self._palette, self._copies, self._spare = weave, palette, copies, spare
        self._linear = np.clip(lab_to_linear(palette.labs()), 0, 1)
        self._view = View(weave, woven_only(weave, wanted), None, distance_m)

    def rung(self, chosen: IntArray) -> Rung:
        """Return what a choice of beads, tips included, weighs."""
        weave, palette = self._weave, self._palette
        tips = tips_of(weave)
        bead_size = tips.extended(weave.bead_size, tips.size_index)[: len(chosen)]
        counts = bead_counts(chosen, bead_size, len(palette.entries))
        rows = materials_of(counts, palette, weave.sizes, self._copies, self._spare)
        packs = [row.packs for row in rows if row.packs is not None]
        return Rung(
            chosen,
            len({row.colour.code for row in rows}),
            self._view.from_best(self._linear[woven_only(weave, chosen)]),
            sum(packs) if packs else None,
            total_cost(row.cost for row in rows),
        )


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
