"""From a shape, colours and options to a pattern: the only place that knows the order of the stages."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from convert.choice.on_hand import stock_of
from convert.colour.srgb import encode_to_16_bits
from convert.errors import PaletteError, PictureError, SizeError, StockError
from convert.making.frame import Frame
from convert.making.from_picture import FromPicture
from convert.making.ground import Ground, Painting
from convert.making.layout import Layout
from convert.making.options import PieceOptions
from convert.making.shapes.shape import Shape
from convert.making.sources import SOURCES
from convert.making.sources.source import Paints
from convert.palette.model import Palette
from convert.piece.finishing import AT_ENDS, NONE
from convert.piece.pattern import SPARE, Pattern
from convert.settings.colour import ALL, ColourSettings, ViewSettings
from convert.settings.declaring import declared
from convert.settings.finish import AS_USUAL
from convert.settings.picture import PictureSettings
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import ThreadReport, verify
from convert.weave.beads import BeadSize
from convert.weave.model import FloatArray, IntArray, Weave

MOST_COPIES = 1_000
_MOST_TOLD = 5
Progress = Callable[[str], None]


def unheard(stage: str) -> None:
    """Tell nobody of the progress."""


@dataclass(frozen=True, eq=False, slots=True)
class Result:
    """A pattern and what was learnt on the way.

    Parameters
    ----------
    pattern : Pattern
        The pattern, its thread path proven.
    thread : ThreadReport
        What the proof counted.
    full : Weave
        What a picture is laid over, see `convert.making.frame.Layout`.
    wanted : ndarray of shape (B, 3), float64
        Light that was wanted of each bead, linear sRGB.
    notes : tuple of str
        What the user should know.
    nearest, difference, gap, reason
        See `convert.making.ground.Painting`.
    """

    pattern: Pattern
    thread: ThreadReport
    full: Weave
    wanted: FloatArray
    notes: tuple[str, ...]
    nearest: IntArray | None
    difference: float | None
    gap: float | None
    reason: str | None


def make(
    title: str,
    shape: Shape,
    source: Paints,
    palette: Palette,
    options: PieceOptions,
    *,
    copies: int = 1,
    progress: Progress = unheard,
) -> Result:
    """Return the pattern of a shape in the colours of a source.

    Parameters
    ----------
    title : str
        What the piece is called.
    shape : Shape
        What to weave.
    source : Paints
        What to colour it by.
    palette : Palette
        Bead colours to choose from.
    options : PieceOptions
        The user's choices.
    copies : int
        How many pieces of the kind are made.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    SizeError, PictureError, PaletteError, StockError, ThreadPathError
        The choices do not allow a pattern.
    """
    if not 1 <= copies <= MOST_COPIES:
        raise SizeError(f"copies are 1 to {MOST_COPIES:,}, not {copies}")
    picture = source.picture if isinstance(source, FromPicture) else None
    if picture is None and (unheard_of := _only_for_pictures(options)):
        raise PictureError(
            f"there is no picture, and {' and '.join(unheard_of)} say{'s' * (len(unheard_of) == 1)}"
            " how beads are chosen for one",
            f"give a picture, or leave this out and colour the piece by {_source_flags()}",
        )
    frame = Frame.of(options)
    palette = of_sizes(palette, frame.sizes)
    progress("Laying out loops")
    layout = shape.lay_out(frame, picture)
    finish = finish_of(shape, layout, options)
    return woven(title, layout, source, palette, options, copies=copies, finish=finish, progress=progress)


def finish_of(shape: Shape, layout: Layout, options: PieceOptions) -> str:
    """Return what is sewn to a piece in the end: what is asked for, or what is usual for its shape.

    Raises
    ------
    SizeError
        It is sewn to ends, and these are woven together.
    """
    finish = shape.finish if options.finish == AS_USUAL else options.finish
    if layout.weave.seam is not None and finish in AT_ENDS:
        raise SizeError(
            f"a piece whose ends are woven together has none for --finish {finish}",
            "leave out --finish or --join",
        )
    return finish


def _source_flags() -> str:
    """Return the options that colour a piece without a picture."""
    return ", ".join(known.flag for source in SOURCES for known, _, _ in declared(source).values())


def _only_for_pictures(options: PieceOptions) -> list[str]:
    """Return the options given that would have no effect without a picture."""
    # Any piece heeds the stock, and to set no limit needs no picture.
    harmless = {"stock": True, "colours": ALL}
    return [
        known.flag
        for group in (ColourSettings, ViewSettings, PictureSettings)
        if isinstance(options, group)
        for name, (known, _, default) in declared(group).items()
        if getattr(options, name) not in (default, harmless.get(name, default))
    ]


def woven(
    title: str,
    layout: Layout,
    source: Paints,
    palette: Palette,
    options: PieceOptions,
    *,
    copies: int = 1,
    finish: str = NONE,
    progress: Progress = unheard,
) -> Result:
    """Return the pattern of a shape that is laid out; parameters and errors as in `make`.

    `finish` is what is sewn to it in the end, one of `convert.piece.finishing.FINISHES`.
    """
    weave = layout.weave
    palette = of_sizes(palette, weave.sizes)
    progress("Choosing beads")
    everyone = copies * options.bags
    painting = _painted(source, Ground(layout, palette, options, options.edge, everyone))
    if options.stock and painting.nearest is None:
        check_stock(painting.bead_colour, palette, weave, everyone)
    supplies = Supplies(options.thread_mm, options.needle_mm, options.needleful_m * 1000)
    progress("Planning the thread")
    path, start, begin = options.path, options.start, options.begin
    plan = plan_thread(weave, path=path, start=start, begin=begin, edge=options.edge, supplies=supplies)
    progress("Proving the thread path")
    report = verify(weave, plan, supplies)
    adjustments = source.picture.adjustments if isinstance(source, FromPicture) else ()
    pattern = Pattern(
        title,
        layout.shape,
        weave,
        palette,
        painting.bead_colour,
        plan,
        supplies,
        copies,
        adjustments,
        spare_of(options),
        options.currency,
        None if painting.nearest is None else encode_to_16_bits(painting.wanted),
        painting.unshown,
        finish,
        layout.symmetry,
        path=path,
        start=start,
        begin=begin,
        students=options.students or 0,
    )
    return Result(
        pattern,
        report,
        layout.full,
        painting.wanted,
        (*layout.notes, *painting.notes),
        painting.nearest,
        painting.difference,
        painting.gap,
        painting.reason,
    )


def _painted(source: Paints, ground: Ground) -> Painting:
    """Return what a source paints, the same on beads that are to be alike."""
    painting = source.paint(ground)
    if ground.alike is None:
        return painting
    # A source that knows nothing of repeats and mirror lines says what the first of beads alike are.
    alike = ground.alike[: len(painting.bead_colour)]
    return replace(painting, bead_colour=painting.bead_colour[alike])


def check_stock(bead_colour: IntArray, palette: Palette, weave: Weave, copies: int) -> None:
    """Refuse colours that are wanted as they are where there are not enough beads of them.

    Parameters
    ----------
    bead_colour : ndarray of shape (B,) or (B + T,), int32
        Entry of the palette of each bead.
    palette : Palette
        Bead colours.
    weave : Weave
        The piece.
    copies : int
        How many are made.

    Raises
    ------
    StockError
        It names what is missing of each colour.
    """
    used = np.bincount(bead_colour, minlength=len(palette.entries)) * copies
    allowed = [palette.for_size(size.name) for size in weave.sizes]
    on_hand = stock_of(palette, weave.sizes, allowed)
    lacking = np.flatnonzero(used > on_hand)
    if len(lacking):
        told = [
            f"{palette.entries[entry].code} (takes {used[entry]:,}, on hand {on_hand[entry]:,})"
            for entry in lacking.tolist()
        ]
        raise StockError(
            f"the beads on hand do not suffice for {', '.join(told[:_MOST_TOLD])}"
            + (f" and {len(told) - _MOST_TOLD} more" if len(told) > _MOST_TOLD else ""),
            "choose other colours, make the piece smaller, or leave out --stock for a list of what to buy",
        )


def spare_of(options: PieceOptions) -> float:
    """Return the share of beads to have besides those woven in.

    What is woven from stock is not bought, so that nothing needs to be spared for it but what is asked for.
    """
    if options.spare is not None:
        return options.spare
    return 0.0 if options.stock else SPARE


def of_sizes(palette: Palette, sizes: Sequence[BeadSize]) -> Palette:
    """Return the part of a palette that some bead sizes can use.

    Raises
    ------
    PaletteError
        The palette has no bead of one of the sizes.
    """
    for size in sizes:
        if not len(palette.for_size(size.name)):
            known = sorted({entry.size for entry in palette.entries if entry.size is not None})
            raise PaletteError(
                f"palette {palette.name} has no bead of size {size.name}",
                f"it has {', '.join(known)}; an empty size stands for a colour that comes in every size",
            )
    names = {None, *(size.name for size in sizes)}
    return Palette(palette.name, tuple(entry for entry in palette.entries if entry.size in names))
