"""Whole pieces of work in one call each: what the commands do, without the command line."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from convert.changing.change_file import Recolour
from convert.changing.change_file import read_changes as read_changes
from convert.changing.changing import changed
from convert.errors import ConvertError as ConvertError
from convert.judging.afar import beside_nearest, figures_of, judge
from convert.making.options import MotifOptions as MotifOptions
from convert.making.options import PanelOptions as PanelOptions
from convert.making.options import SizesOptions as SizesOptions
from convert.making.pipeline import Progress, unheard
from convert.making.shapes.cutout import Cutout as Cutout
from convert.making.shapes.flower import Flower as Flower
from convert.making.shapes.rectangle import Rectangle as Rectangle
from convert.making.shapes.shape import Shape
from convert.making.shapes.strip import Strip as Strip
from convert.making.sources.plain import Plain as Plain
from convert.making.sources.rule import ByRule as ByRule
from convert.making.sources.source import Paints
from convert.palette import palette_file
from convert.palette.model import Palette as Palette
from convert.palette.resources import DEFAULT_PALETTE, palette_path
from convert.picture.model import Picture as Picture
from convert.picture.reading import read_picture as read_picture
from convert.piece.pattern import Pattern
from convert.piece.pattern_reading import read_pattern_file
from convert.settings.changes import ChangeOptions as ChangeOptions
from convert.settings.output import BookletSettings as BookletSettings
from convert.settings.weave import MOST_BEADS
from convert.thread.verifier import verify
from convert.work import Made as Made
from convert.work import motif_work, panel_work
from convert.writing.output_folder import output_folder
from convert.writing.outputs import Job, bytes_about, write_all
from convert.writing.summary import summary_json


def make_panel(
    picture: Picture | None,
    palette: Palette,
    options: PanelOptions | None = None,
    *,
    colours: ByRule | None = None,
    progress: Progress = unheard,
) -> Made:
    """Turn a picture into a panel that takes its outline, or weave one of a width and a height by a rule.

    Parameters
    ----------
    picture : Picture or None
        The picture, see `convert.read_picture`; None for colours by a rule.
    palette : Palette
        Bead colours to choose from, see `convert.read_palette`.
    options : PanelOptions, optional
        The choices; all have a default.
    colours : ByRule, optional
        The rule, in place of a picture.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ConvertError
        The picture, the palette or the options do not allow a pattern. The message says why.
    """
    return panel_work(picture, options or PanelOptions(), colours).done(palette, progress)


def make_motif(
    shape: Shape,
    palette: Palette,
    options: MotifOptions | None = None,
    *,
    picture: Picture | None = None,
    colours: Paints | None = None,
    progress: Progress = unheard,
) -> Made:
    """Make a piece of a shape of its own, which is always woven whole.

    Parameters
    ----------
    shape : Shape
        What to weave, such as ``Flower(rounds=3)`` of `convert.making.shapes`.
    palette : Palette
        Bead colours to choose from.
    options : MotifOptions, optional
        The choices; all have a default.
    picture : Picture, optional
        What to colour it by, laid over the piece as the chart shows it.
    colours : Paints, optional
        What else to colour it by, such as ``Plain(core_colour="RU3")`` or ``ByRule(rule="rows A B")``; with
        a picture the colours of beads that show none of it.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ConvertError
        The shape, the palette, the picture or the options do not allow a pattern. The message says why.
    """
    options = options or MotifOptions()
    return motif_work(shape, options, picture, colours).done(palette, progress)


def read_palette(
    source: Path | str | bytes | None = None, sheet: str | None = None
) -> tuple[Palette, tuple[str, ...]]:
    """Return a palette, and notes on how its file was understood.

    Parameters
    ----------
    source : Path, str or bytes, optional
        The palette file, or what it holds; without it the assortment that ships with the program.
    sheet : str, optional
        Sheet of a workbook, by its name or its number from 1.

    Raises
    ------
    PaletteError
        It cannot be read, or has faults; the message names file, line and column.
    """
    if source is None:
        return palette_file.read_palette(palette_path(DEFAULT_PALETTE), sheet)
    return palette_file.read_palette(source if isinstance(source, bytes) else Path(source), sheet)


def read_pattern(source: Path | str | bytes, *, max_beads: int = MOST_BEADS) -> Made:
    """Return the piece of a pattern file, its thread path proven.

    Parameters
    ----------
    source : Path, str or bytes
        The file, or what it holds.
    max_beads : int
        Most beads of the piece.

    Raises
    ------
    PatternFileError
        It cannot be read, has more beads, or contradicts itself.
    ThreadPathError, SizeError
        Its thread path does not weave the piece, or not with its thread and needle.
    """
    pattern, notes = read_pattern_file(source if isinstance(source, bytes) else Path(source), max_beads)
    return proven(pattern, notes)


def proven(pattern: Pattern, notes: tuple[str, ...] = ()) -> Made:
    """Return a pattern, such as one read from a file, its thread path proven and its colours judged.

    Parameters
    ----------
    pattern : Pattern
        The piece, whose figures are those from before it was changed.
    notes : tuple of str
        What the user should know of it.

    Raises
    ------
    ThreadPathError, SizeError
        The path does not weave the piece, or not with its thread and needle.
    """
    thread = verify(pattern.weave, pattern.thread, pattern.supplies)
    difference, comparison = judge(pattern)
    if difference is None or comparison is None:
        return Made(replace(pattern, figures=None), thread, notes)
    before = pattern.figures
    if before is None:
        now = figures_of(difference, comparison)
        # What the nearest beads would have been the file does not say.
        pattern = replace(pattern, figures=replace(now, nearest=None))
        return Made(pattern, thread, notes, difference, comparison)
    comparison = beside_nearest(comparison, before)
    # Of beads that have been changed it does not hold any more why they were chosen.
    now = figures_of(difference, comparison, before.colours_gap, before.colours_reason)
    now = replace(now, nearest=before.nearest)
    if now == before:
        learnt = before.colours_gap, before.colours_reason
        return Made(pattern, thread, notes, difference, comparison, *learnt)
    pattern = replace(pattern, figures=replace(now, colours_gap=None, colours_reason=None))
    return Made(pattern, thread, notes, difference, comparison, before=before)


def change_pattern(
    made: Made,
    options: ChangeOptions | None = None,
    changes: Sequence[Recolour] = (),
    *,
    progress: Progress = unheard,
) -> Made:
    """Return a piece with beads of other colours, loops dropped and added, or another title.

    Parameters
    ----------
    made : Made
        The piece, see `read_pattern`. All names are those of its chart.
    options : ChangeOptions, optional
        What is to be changed; without them only what is marked in the file is carried out.
    changes : sequence of Recolour, optional
        More beads of other colours, see `convert.read_changes`.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ChangeError, SizeError
        There is no such bead, loop or colour, or the piece would fall apart.
    ThreadPathError
        The thread cannot be planned for the new shape.
    """
    before = replace(made.pattern, figures=made.before or made.pattern.figures)
    pattern, done = changed(before, options or ChangeOptions(), changes, progress)
    return proven(pattern, (*made.notes, *done))


def write_outputs(
    made: Made,
    folder: Path | str,
    booklet: BookletSettings | None = None,
    *,
    force: bool = False,
    progress: Progress = unheard,
) -> None:
    """Write every output of a piece into a new folder, whole or not at all.

    Parameters
    ----------
    made : Made
        The piece.
    folder : Path or str
        Where to.
    booklet : BookletSettings, optional
        For whom the outputs are, and how the booklet is printed.
    force : bool
        Whether a folder that is there may be replaced; files of other origin in it are kept.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    OutputError
        The folder cannot be written, or is there already.
    """
    job = Job.of(made.pattern, made.thread, booklet or BookletSettings())
    with output_folder(Path(folder), force=force, size=bytes_about(made.pattern)) as into:
        write_all(job, into, progress)


def summary(made: Made) -> dict[str, Any]:
    """Return the figures of a piece as plain values, lengths in mm, see ``combweave panel --json``."""
    figures = summary_json(
        made.pattern,
        made.thread,
        made.difference,
        made.comparison,
        made.colours_gap,
        made.colours_reason,
        made.before,
    )
    return {**figures, "notes": [*made.notes, *made.thread.warnings]}
