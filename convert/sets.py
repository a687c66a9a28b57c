"""Sets of pieces that share one choice of colours, in one call each, without the command line.

The best few colours are those for all pieces together, and what is on hand is never exceeded by all of them
together. The pieces are then woven each as it would be alone.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from convert.drawing.set_symbols import agreed_symbols
from convert.errors import ConvertError, OutputError, PaletteError, PictureError, SizeError
from convert.front_door import Made, MotifOptions, PanelOptions
from convert.judging.shared_choice import Laid, chosen_together
from convert.making.frame import Frame
from convert.making.pipeline import Progress, of_sizes, unheard
from convert.making.shapes.shape import Shape
from convert.making.sources.rule import ByRule
from convert.making.sources.source import Paints
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.piece.collection import Collection
from convert.settings.colour import ColourSettings
from convert.settings.kits import ClassSettings
from convert.settings.money import MoneySettings
from convert.settings.output import BookletSettings
from convert.work import Work, motif_work, panel_work
from convert.writing.output_folder import output_folder
from convert.writing.outputs import Job, bytes_about, write_all
from convert.writing.processes import in_processes, processes_for
from convert.writing.set_csv import RESERVED
from convert.writing.set_outputs import FILES, write_set_files
from convert.writing.set_summary import set_json

MOST_PIECES = 50
# From so many beads in all, writing in two processes on two cores saves a third or more of the time; below,
# the start of a process eats up most of that. Memory is what a piece was seen to take while it is written
# (tests/bench/bench_set.py), and some room.
_LEAST_BEADS = 6_000
_BYTES, _BYTES_PER_BEAD = 150_000_000, 2_000
LONGEST_NAME = 60
# What a folder's name cannot have on some system, and a table's heading should not.
_NOT_IN_NAMES = set('/\\:*?"<>|')
_OWN = {"dither", "dither_kind", "smoothing"}
SHARED = tuple(
    field.name
    for group in (ColourSettings, MoneySettings, ClassSettings)
    for field in fields(group)
    if field.name not in _OWN
)
"""Settings that all pieces of a set share."""


@dataclass(frozen=True, eq=False, slots=True)
class SetPiece:
    """A piece of a set.

    Parameters
    ----------
    name : str
        What it is called; its outputs go to a folder of that name.
    options : PanelOptions or MotifOptions
        The choices; those of colours, stock, money and students are the same for all pieces.
    picture : Picture, optional
        What it is coloured by; a panel needs one, or a rule.
    shape : Shape, optional
        What to weave; without one it is a panel.
    colours : Paints, optional
        What else it is coloured by, as for `convert.make_motif`.
    """

    name: str
    options: PanelOptions | MotifOptions
    picture: Picture | None = None
    shape: Shape | None = None
    colours: Paints | None = None

    def work(self) -> Work:
        """Return the piece as it is still to be made.

        Raises
        ------
        ConvertError
            Its picture or its options do not allow a pattern.
        """
        if self.shape is not None:
            if not isinstance(self.options, MotifOptions):
                raise SizeError("a shape of its own takes the options of a motif")
            return replace(motif_work(self.shape, self.options, self.picture, self.colours), title=self.name)
        if not isinstance(self.options, PanelOptions):
            raise SizeError("a panel takes the options of a panel")
        if self.colours is not None and not isinstance(self.colours, ByRule):
            raise PictureError("a panel has a picture or a rule", "let a plain one be a motif")
        return replace(panel_work(self.picture, self.options, self.colours), title=self.name)


@dataclass(frozen=True, eq=False, slots=True)
class MadeSet:
    """A set, ready to be written, and what is known of it.

    Parameters
    ----------
    collection : Collection
        The pieces and what they take together.
    made : tuple of Made
        Each piece.
    notes : tuple of str
        What the user should know.
    colours_gap : float or None
        By what share another choice of as many colours for all pieces could be better at most; None without
        such a limit.
    colours_reason : str or None
        Why there are as many colours as there are; None where all were taken or the user has said how many.
    """

    collection: Collection
    made: tuple[Made, ...]
    notes: tuple[str, ...] = ()
    colours_gap: float | None = None
    colours_reason: str | None = None


def make_set(
    title: str, pieces: Sequence[SetPiece], palette: Palette, *, progress: Progress = unheard
) -> MadeSet:
    """Make several pieces that share one choice of colours.

    Parameters
    ----------
    title : str
        What the set is called.
    pieces : sequence of SetPiece
        The pieces.
    palette : Palette
        Bead colours to choose from.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ConvertError
        A name, the palette, a picture or the options do not allow the set. The message says which piece.
    """
    check_names([piece.name for piece in pieces])
    options = _shared(pieces)
    progress("Laying out loops")
    works, frames = [], []
    for piece in pieces:
        with _of_piece(piece.name):
            works.append(piece.work())
            frames.append(Frame.of(piece.options))
    whole = of_sizes(palette, [size for frame in frames for size in frame.sizes])
    laid = []
    for work, frame in zip(works, frames, strict=True):
        with _of_piece(work.title):
            parts = work.title, work.shape, work.source, work.options, work.copies
            laid.append(Laid.of(*parts, frame, whole))
    progress("Choosing beads for all pieces")
    choice, by_piece = chosen_together(laid, whole, options)
    made = []
    for one, work in zip(laid, works, strict=True):
        progress(f"Planning the thread: {one.title}")
        with _of_piece(one.title):
            made.append(work.judged(one.done(by_piece.get(one.title)), one.palette))
    symbols = agreed_symbols([one.pattern for one in made])
    made = [replace(one, pattern=replace(one.pattern, symbols=symbols)) for one in made]
    names = [piece.name for piece in pieces]
    reports = [one.thread for one in made]
    collection = Collection(title, names, [one.pattern for one in made], reports, whole)
    if choice is None:
        return MadeSet(collection, tuple(made))
    return MadeSet(collection, tuple(made), choice.notes, choice.gap, choice.reason)


def write_set(
    made: MadeSet,
    folder: Path | str,
    booklet: BookletSettings | None = None,
    *,
    force: bool = False,
    progress: Progress = unheard,
    processes: int = 1,
) -> None:
    """Write every output of a set into a new folder, a folder for each piece in it, whole or not at all.

    Parameters
    ----------
    made : MadeSet
        The set.
    folder : Path or str
        Where to.
    booklet : BookletSettings, optional
        For whom the outputs are, and how they are printed.
    force : bool
        Whether a folder that is there may be replaced; files of other origin in it are kept.
    progress : callable, optional
        Is told the name of each stage as it begins.
    processes : int
        Pieces that are written at the same time, each in a process of its own. A program that asks for more
        than one must be guarded as those that start processes are (``if __name__ == "__main__":``).

    Raises
    ------
    OutputError
        The folder cannot be written, or is there already.
    SizeError
        There is a price of kits to be made, but no students.
    """
    booklet = booklet or BookletSettings()
    collection = made.collection
    jobs = [Job.of(one.pattern, one.thread, booklet, in_set=True) for one in made.made]
    size = bytes_about(*collection.patterns)
    with output_folder(Path(folder), force=force, size=size) as into:
        folders = [into / name for name in collection.names]
        for each in folders:
            each.mkdir()
        work = list(zip(jobs, folders, strict=True))
        with in_processes(write_all, work, processes) as written:
            progress("Writing the booklet of the set")
            write_set_files(collection, booklet, into)
            for number in written:
                progress(f"Writing {collection.names[number]}")


def processes_of(made: MadeSet) -> int:
    """Return in how many processes the pieces of a set are best written on this machine."""
    beads = [pattern.weave.beads for pattern in made.collection.patterns]
    return processes_for(beads, _LEAST_BEADS, _BYTES + max(beads) * _BYTES_PER_BEAD)


def set_summary(made: MadeSet) -> dict[str, Any]:
    """Return the figures of a set as plain values, lengths in mm, see ``combweave set --json``."""
    learnt = made.colours_gap, made.colours_reason
    pieces = [(one.difference, one.comparison) for one in made.made]
    notes = [f"{name}: {note}" for name, note in piece_notes(made)]
    return {**set_json(made.collection, pieces, *learnt), "notes": [*made.notes, *notes]}


def piece_notes(made: MadeSet) -> list[tuple[str, str]]:
    """Return what the user should know of each piece, with the name of the piece."""
    return [
        (name, note)
        for name, one in zip(made.collection.names, made.made, strict=True)
        for note in (*one.notes, *one.thread.warnings)
    ]


def check_names(names: Sequence[str]) -> None:
    """Check what the pieces of a set are called.

    Raises
    ------
    SizeError
        There are none or too many, or two have one name.
    OutputError
        A name cannot be that of a folder.
    """
    if not 1 <= len(names) <= MOST_PIECES:
        raise SizeError(f"a set has 1 to {MOST_PIECES} pieces, not {len(names)}")
    known: dict[str, str] = {}
    for name in names:
        _check_name(name)
        other = known.setdefault(name.casefold(), name)
        if other is not name or names.count(name) > 1:
            both = f"{name!r}" if other == name else f"{other!r} and {name!r}"
            raise SizeError(f"two pieces of the set are called {both}", "give each a name of its own")


def _check_name(name: str) -> None:
    harmless = name.isprintable() and not _NOT_IN_NAMES.intersection(name) and 0 < len(name) <= LONGEST_NAME
    if not harmless or name != name.strip() or name[0] == "." or name[-1] == ".":
        shown = "".join(letter if letter.isprintable() else "?" for letter in name[:LONGEST_NAME])
        raise OutputError(
            f"a piece cannot be called '{shown}', since its outputs go to a folder of that name",
            f"up to {LONGEST_NAME} letters, digits, spaces, - and _",
        )
    if name.casefold() in RESERVED:
        raise OutputError(f"a piece cannot be called '{name}': the list of beads has such a column")
    if name.casefold() in FILES:
        raise OutputError(f"a piece cannot be called '{name}': the set has a file of that name")


def _shared(pieces: Sequence[SetPiece]) -> PanelOptions | MotifOptions:
    """Return options that say what all pieces share."""
    first = pieces[0]
    for piece in pieces[1:]:
        for name in SHARED:
            one, other = getattr(first.options, name), getattr(piece.options, name)
            if one != other:
                raise PaletteError(
                    f"the pieces of a set share {name}, but it is {one} in {first.name}"
                    f" and {other} in {piece.name}",
                    "give it once for the whole set",
                )
    return first.options


@contextmanager
def _of_piece(name: str) -> Iterator[None]:
    """Tell what is wrong inside with the name of the piece."""
    try:
        yield
    except ConvertError as error:
        raise type(error)(f"{name}: {error}", error.hint) from error
