"""A picture as the source of colours: for each place the bead that shows best what lies there."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from convert.choice.choosing import Chooser, choose, wanted_at_tips
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import linear_to_lab
from convert.errors import PictureError
from convert.making.ground import Ground, Painting
from convert.making.layout import Layout
from convert.making.over_picture import (
    alike_bead_means,
    alike_loops_coverage,
    bead_means,
    crop_notes,
    loop_coverage,
)
from convert.making.sources.plain import Plain
from convert.making.sources.source import Paints, Source
from convert.making.woven_part import LEAST_COVERAGE
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.weave.model import FloatArray, IntArray
from convert.weave.tips import woven_only

PLAIN = Plain()


@dataclass(frozen=True, eq=False, slots=True)
class FromPicture:
    """A picture, laid over the piece as the chart shows it.

    Parameters
    ----------
    picture : Picture
        The picture.
    bare : Paints
        Colours of beads that show none of it.
    means : ndarray of shape (B, 3), float64, or None
        What `convert.making.over_picture.bead_means` says of the piece, where that is known already.
    chooser : callable
        What chooses the beads; `choose` takes all colours where nobody says how many.
    """

    picture: Picture
    bare: Paints = PLAIN
    means: FloatArray | None = None
    chooser: Chooser = choose

    def paint(self, ground: Ground) -> Painting:
        """Return the bead of each place.

        Raises
        ------
        PictureError
            The picture leaves no loop to colour.
        PaletteError, StockError
            See `convert.choice.choosing.choose`.
        """
        layout, weave = ground.layout, ground.weave
        shown, plain, wanted = self._asked(ground)
        notes = self.picture.notes
        if layout.symmetry is None or not layout.symmetry.repeats:
            notes = (*notes, *crop_notes(self.picture, layout.full))
        choice = self.chooser(
            self._with_tips(wanted, ground),
            weave,
            ground.palette,
            ground.colours,
            ground.copies,
            ground.alike,
        )
        # Beads that show none of the picture have the plain colours, unless these are bound by a limit, too.
        keeps_plain = np.zeros(len(choice.chosen), bool)
        woven_only(weave, keeps_plain)[:] = ~shown & (not ground.colours.limits)
        chosen = np.where(keeps_plain, plain.bead_colour, choice.chosen).astype(np.int32)
        nearest = np.where(shown, woven_only(weave, choice.nearest), woven_only(weave, plain.bead_colour))
        return replace(
            plain,
            bead_colour=chosen,
            wanted=wanted,
            nearest=nearest.astype(np.int32),
            difference=mean_difference(wanted[shown], ground.palette, woven_only(weave, chosen)[shown]),
            gap=choice.gap,
            notes=(*notes, *choice.notes),
            reason=choice.reason,
            unshown=tuple(np.flatnonzero(~shown).tolist()),
        )

    def _means(self, layout: Layout) -> FloatArray:
        """Return what of the picture each bead shows, the same of beads that are alike."""
        if layout.symmetry is None:
            return bead_means(self.picture, [(layout.weave, layout.full)], everywhere=layout.follows_picture)[
                0
            ]
        return alike_bead_means(self.picture, layout.weave, layout.full, layout.symmetry)

    def sampled(self, ground: Ground) -> "FromPicture":
        """Return this source with what the picture asks of a piece already known.

        Raises
        ------
        PictureError
            The picture leaves no loop to colour.
        """
        self._check_covers(ground)
        return replace(self, means=self._means(ground.layout))

    def wanted(self, ground: Ground) -> FloatArray:
        """Return the light that is wanted of each bead, tips included, as a chooser is given it.

        Raises
        ------
        PictureError, PaletteError
            See `paint`.
        """
        return self._with_tips(self._asked(ground)[2], ground)

    def _asked(self, ground: Ground) -> tuple[NDArray[np.bool_], Painting, FloatArray]:
        """Return which beads show the picture, how they are painted without it, and the light wanted."""
        means = self.means if self.means is not None else self.sampled(ground).means
        assert means is not None
        shown = ~np.isnan(means[:, 0])
        self._check_bare(shown)
        plain = self.bare.paint(ground)
        wanted = plain.wanted
        wanted[shown] = means[shown]
        return shown, plain, wanted

    def _check_covers(self, ground: Ground) -> None:
        """Refuse a picture that covers half of no loop."""
        if self.picture.alpha is None:
            return
        full, symmetry = ground.layout.full, ground.layout.symmetry
        if symmetry is None:
            (covers,) = loop_coverage(self.picture, [full])
        else:
            covers = alike_loops_coverage(self.picture, full, symmetry)
        if not (covers >= LEAST_COVERAGE).any():
            raise PictureError(
                "the picture leaves no loop to colour: nowhere does it cover half a loop",
                "make less of the picture transparent, or leave it out for a plain piece",
            )

    def _check_bare(self, shown: NDArray[np.bool_]) -> None:
        """Refuse colours for beads that show none of the picture where there are none to take them."""
        if not isinstance(self.bare, Source) or self.bare == PLAIN:
            return
        given = " and ".join(self.bare.given())
        if shown.all():
            raise PictureError(
                f"the picture colours every bead, so that {given} would colour none",
                "leave it out, leave out the picture, or make parts of the picture transparent",
            )

    def _with_tips(self, wanted: FloatArray, ground: Ground) -> FloatArray:
        """Return the light wanted, followed by those of the small beads at the tips if there are such."""
        if ground.edge != "points":
            return wanted
        return np.concatenate([wanted, wanted_at_tips(wanted, ground.weave)])


def mean_difference(wanted: FloatArray, palette: Palette, chosen: IntArray) -> float:
    """Return the mean CIEDE2000 difference between what was wanted and the beads chosen.

    Parameters
    ----------
    wanted : ndarray of shape (N, 3), float64
        Light that was wanted of each bead, linear sRGB.
    palette : Palette
        Bead colours.
    chosen : ndarray of shape (N,), int32
        Entry of the palette of each bead.
    """
    return float(ciede2000(linear_to_lab(wanted), palette.labs()[chosen]).mean())
