"""One choice of colours for several pieces: the best few for all of them, and within what is on hand for all.

A piece that follows no picture has the colours that are asked for. They are among the few, and what they take
of the stock is not there for the others.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from convert.choice.choosing import Choice, Choosing
from convert.choice.on_hand import stock_of
from convert.choice.part import Part
from convert.errors import PaletteError, SizeError, StockError
from convert.judging.colour_ladder import PayingColours
from convert.making.frame import Frame
from convert.making.from_picture import FromPicture
from convert.making.ground import Ground
from convert.making.layout import Layout
from convert.making.options import MotifOptions, PanelOptions
from convert.making.pipeline import MOST_COPIES, Result, finish_of, of_sizes, woven
from convert.making.shapes.shape import Shape
from convert.making.sources.source import Paints
from convert.palette.model import Palette
from convert.settings.colour import AUTO, ColourSettings


@dataclass(frozen=True, eq=False, slots=True)
class Laid:
    """A piece laid out, as yet without colours.

    Parameters
    ----------
    title : str
        What the piece is called.
    options : PanelOptions or MotifOptions
        The choices.
    copies : int
        How many each person makes.
    finish : str
        What is sewn to it in the end.
    layout : Layout
        Its loops.
    palette : Palette
        The bead colours that come in its sizes.
    places : ndarray of shape (E,), intp
        Where those are among the colours of the set.
    source : Paints
        What to colour it by.
    part : Part or None
        What it wants of the colours to be chosen; None where no picture is followed.
    fixed : ndarray of shape (K,), int64
        Beads of each colour of the set that it takes in any case, over all copies.
    """

    title: str
    options: PanelOptions | MotifOptions
    copies: int
    finish: str
    layout: Layout
    palette: Palette
    places: NDArray[np.intp]
    source: Paints
    part: Part | None
    fixed: NDArray[np.int64]

    @classmethod
    def of(
        cls,
        title: str,
        shape: Shape,
        source: Paints,
        options: PanelOptions | MotifOptions,
        copies: int,
        frame: Frame,
        whole: Palette,
    ) -> "Laid":
        """Return a piece laid out, what its picture asks of it sampled.

        Parameters
        ----------
        title, shape, source, options, copies
            As of `convert.making.pipeline.make`.
        frame : Frame
            What it is laid out with.
        whole : Palette
            Bead colours of the set.

        Raises
        ------
        ConvertError
            The choices do not allow a pattern.
        """
        if not 1 <= copies <= MOST_COPIES:
            raise SizeError(f"copies are 1 to {MOST_COPIES:,}, not {copies}")
        picture = source.picture if isinstance(source, FromPicture) else None
        layout = shape.lay_out(frame, picture)
        sizes = layout.weave.sizes
        palette, names = of_sizes(whole, sizes), {None, *(size.name for size in sizes)}
        places = np.flatnonzero([entry.size in names for entry in whole.entries])
        ground = Ground(layout, palette, options, options.edge, copies * options.bags)
        fixed = np.zeros(len(whole.entries), np.int64)
        part = None
        if isinstance(source, FromPicture):
            source = source.sampled(ground)
            wanted = source.wanted(ground)
            part = Part(
                wanted, layout.weave, options, ground.copies, title, ground.alike, options.view_distance_m
            )
        else:
            painted = source.paint(ground).bead_colour
            used = places[painted if ground.alike is None else painted[ground.alike[: len(painted)]]]
            fixed += ground.copies * np.bincount(used, minlength=len(fixed))
        finish = finish_of(shape, layout, options)
        return cls(title, options, copies, finish, layout, palette, places, source, part, fixed)

    def done(self, choice: Choice | None) -> Result:
        """Return the piece in the beads chosen of the set's palette, None where it follows no picture."""
        source = self.source
        if choice is not None and isinstance(source, FromPicture):
            own = np.full(int(self.places.max()) + 1, -1, np.int32)
            own[self.places] = np.arange(len(self.places))
            settled = replace(choice, nearest=own[choice.nearest], chosen=own[choice.chosen])
            source = replace(source, chooser=_Settled(settled))
        parts = self.title, self.layout, source, self.palette, self.options
        return woven(*parts, copies=self.copies, finish=self.finish)


@dataclass(frozen=True, eq=False, slots=True)
class _Settled:
    """A choice that has been made already, in place of what would make one."""

    choice: Choice

    def __call__(self, *given: Any) -> Choice:
        """Return the choice."""
        return self.choice


def chosen_together(
    laid: Sequence[Laid], whole: Palette, options: PanelOptions | MotifOptions
) -> tuple[Choice | None, dict[str, Choice]]:
    """Return what was learnt of the choice for all pieces, and the beads of each by its title.

    Parameters
    ----------
    laid : sequence of Laid
        The pieces, of which no two have one title.
    whole : Palette
        Bead colours of the set.
    options : PanelOptions or MotifOptions
        What the pieces share.

    Raises
    ------
    PaletteError, StockError
        There are too few colours, or beads.
    """
    fixed = sum((one.fixed for one in laid), np.zeros(len(whole.entries), np.int64))
    if options.stock:
        _check_fixed(laid, fixed, whole)
    parts = [one.part for one in laid if one.part is not None]
    plain = list(dict.fromkeys(whole.entries[entry].code for entry in np.flatnonzero(fixed).tolist()))
    if not parts:
        _check_room(0, plain, options)
        return None, {}
    choosing = Choosing(parts, whole, fixed)
    offered = [code for code in plain if code in choosing.few.codes]
    most = options.most_colours
    if most is not None:
        keep = list(dict.fromkeys((*choosing.settings.keep, *offered)))
        _check_room(len(keep), [code for code in plain if code not in offered], options)
        choice = choosing.of_best(most - len(plain) + len(offered), keep)
    elif options.colours == AUTO:
        choice = PayingColours(options, options.view_distance_m).of_pieces(choosing, offered)
    else:
        choice = choosing.of_all()
    of_parts = zip(parts, choosing.split(choice.nearest), choosing.split(choice.chosen), strict=True)
    # What is said of all pieces is not said of each again.
    alone = {part.name: Choice(nearest, chosen, None) for part, nearest, chosen in of_parts}
    return choice, alone


def _check_room(kept: int, outside: Sequence[str], options: ColourSettings) -> None:
    """Refuse more colours that must be than there may be."""
    most = options.most_colours
    if most is not None and kept + len(outside) > most:
        raise PaletteError(
            f"{kept + len(outside)} colours are to be kept or are those of pieces without a picture, more"
            f" than the {most} to use",
            f"give --colours {kept + len(outside)} or more",
        )


def _check_fixed(laid: Sequence[Laid], fixed: NDArray[np.int64], whole: Palette) -> None:
    """Refuse pieces without a picture that take more beads than are on hand."""
    sizes = list(dict.fromkeys(size for one in laid for size in one.layout.weave.sizes))
    on_hand = stock_of(whole, sizes, [whole.for_size(size.name) for size in sizes])
    for entry in np.flatnonzero(fixed > on_hand).tolist():
        bead = whole.entries[entry]
        pieces = " and ".join(one.title for one in laid if one.fixed[entry])
        named = " ".join(filter(None, (bead.code, bead.name, bead.size and f"in {bead.size}")))
        raise StockError(
            f"{pieces}: {fixed[entry]:,} beads {named} are needed and {on_hand[entry]:,} on hand",
            f"buy {fixed[entry] - on_hand[entry]:,} more, or choose another colour",
        )
