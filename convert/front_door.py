"""Whole pieces of work in one call each: what the commands do, without the command line."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from convert.errors import ConvertError as ConvertError
from convert.judging.afar import Comparison, check_view, judge, judge_again
from convert.judging.colour_ladder import PayingColours
from convert.judging.size_needed import lost_detail
from convert.making.from_picture import FromPicture
from convert.making.options import MotifOptions as MotifOptions
from convert.making.options import PanelOptions as PanelOptions
from convert.making.options import SizesOptions as SizesOptions
from convert.making.pipeline import Progress, Result, make, unheard
from convert.making.shapes.flower import Flower as Flower
from convert.making.shapes.rectangle import Rectangle as Rectangle
from convert.making.shapes.shape import Shape
from convert.making.shapes.silhouette import Silhouette
from convert.making.shapes.strip import Strip as Strip
from convert.making.sources.plain import Plain as Plain
from convert.making.sources.source import Paints
from convert.palette import palette_file
from convert.palette.model import Palette as Palette
from convert.palette.resources import DEFAULT_PALETTE, palette_path
from convert.picture.adjusting import Adjustment, adjusted, crop_named
from convert.picture.model import Picture as Picture
from convert.picture.reading import read_picture as read_picture
from convert.piece.pattern import Pattern
from convert.piece.pattern_reading import read_pattern_file
from convert.settings.output import BookletSettings as BookletSettings
from convert.settings.picture import PictureSettings
from convert.thread.verifier import ThreadReport, verify
from convert.writing.output_folder import output_folder
from convert.writing.outputs import Job, write_all
from convert.writing.summary import summary_json


@dataclass(frozen=True, eq=False, slots=True)
class Made:
    """A piece, ready to be written, and what is known of it.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    thread : ThreadReport
        The proof of its thread path.
    notes : tuple of str
        What the user should know.
    backing : str
        Colour of what lies behind the beads, ``#RRGGBB``.
    difference : float or None
        Mean CIEDE2000 difference to the picture; None where none was followed.
    comparison : Comparison or None
        How well the beads show the picture from a distance; None where none was followed.
    colours_gap : float or None
        By what share another choice of as many colours could be better at most; None without such a limit.
    colours_reason : str or None
        Why there are as many colours as there are; None where all were taken or the user has said how many.
    """

    pattern: Pattern
    thread: ThreadReport
    notes: tuple[str, ...] = ()
    backing: str = PanelOptions.backing
    difference: float | None = None
    comparison: Comparison | None = None
    colours_gap: float | None = None
    colours_reason: str | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """A piece that is still to be made.

    Parameters
    ----------
    title : str
        What it is called.
    shape : Shape
        What to weave.
    source : Paints
        What to colour it by.
    options : PanelOptions or MotifOptions
        The choices.
    copies : int
        How many each person makes.
    """

    title: str
    shape: Shape
    source: Paints
    options: PanelOptions | MotifOptions
    copies: int = 1

    def done(self, palette: Palette, progress: Progress = unheard) -> Made:
        """Return the piece.

        Raises
        ------
        ConvertError
            The palette or the options do not allow a pattern.
        """
        parts = self.title, self.shape, self.source
        result = make(*parts, palette, self.options, copies=self.copies, progress=progress)
        progress("Judging the colours")
        return self.judged(result, palette)

    def judged(self, result: Result, palette: Palette) -> Made:
        """Return the piece of a result, with how well it shows its picture."""
        options = self.options
        comparison = judge(result, options.backing, options.view_distance_m)
        lost: tuple[str, ...] = ()
        if isinstance(options, PanelOptions) and isinstance(self.source, FromPicture):
            lost = lost_detail(self.source.picture, palette, options, result)
        learnt = result.difference, comparison, result.gap, result.reason
        return Made(result.pattern, result.thread, (*result.notes, *lost), options.backing, *learnt)


def panel_work(picture: Picture, options: PanelOptions) -> Work:
    """Return a panel that is still to be made; parameters and errors as of `make_panel`."""
    check_view(options.backing, options.view_distance_m)
    shown = made_ready(picture, options, aspect_of(options.width_mm, options.height_mm))
    source = FromPicture(shown, chooser=PayingColours(options, options.view_distance_m))
    return Work(shown.name, Silhouette.of(options), source, options)


def motif_work(
    shape: Shape, options: MotifOptions, picture: Picture | None = None, colours: Paints | None = None
) -> Work:
    """Return a shape of its own that is still to be made; parameters and errors as of `make_motif`."""
    source: Paints = colours or Plain()
    check_view(options.backing, options.view_distance_m)
    title = shape.title
    if picture is not None:
        sides = getattr(shape, "width_mm", None), getattr(shape, "height_mm", None)
        shown = made_ready(picture, options, aspect_of(*sides))
        title = f"{shown.name}, {title.lower()}"
        source = FromPicture(shown, source, chooser=PayingColours(options, options.view_distance_m))
    return Work(title, shape, source, options, options.copies)


def make_panel(
    picture: Picture,
    palette: Palette,
    options: PanelOptions | None = None,
    *,
    progress: Progress = unheard,
) -> Made:
    """Turn a picture into a panel that takes its outline.

    Parameters
    ----------
    picture : Picture
        The picture, see `convert.read_picture`.
    palette : Palette
        Bead colours to choose from, see `convert.read_palette`.
    options : PanelOptions, optional
        The choices; all have a default.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    ConvertError
        The picture, the palette or the options do not allow a pattern. The message says why.
    """
    return panel_work(picture, options or PanelOptions()).done(palette, progress)


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
        What else to colour it by, such as ``Plain(colour="RU3")`` of `convert.making.sources`; with a picture
        the colours of beads that show none of it.
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


def read_pattern(source: Path | str | bytes) -> Made:
    """Return the piece of a pattern file, its thread path proven.

    Parameters
    ----------
    source : Path, str or bytes
        The file, or what it holds.

    Raises
    ------
    PatternFileError
        It cannot be read, or contradicts itself.
    ThreadPathError, SizeError
        Its thread path does not weave the piece, or not with its thread and needle.
    """
    return proven(read_pattern_file(source if isinstance(source, bytes) else Path(source)))


def proven(pattern: Pattern) -> Made:
    """Return a pattern, such as one read from a file, its thread path proven and its colours judged.

    Raises
    ------
    ThreadPathError, SizeError
        The path does not weave the piece, or not with its thread and needle.
    """
    thread = verify(pattern.weave, pattern.thread, pattern.supplies)
    difference, comparison = judge_again(pattern)
    return Made(pattern, thread, difference=difference, comparison=comparison)


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
    job = Job.of(made.pattern, made.thread, booklet or BookletSettings(), made.backing)
    with output_folder(Path(folder), force=force) as into:
        write_all(job, into, progress)


def summary(made: Made) -> dict[str, Any]:
    """Return the figures of a piece as plain values, lengths in mm, see ``combweave panel --json``."""
    figures = summary_json(
        made.pattern, made.thread, made.difference, made.comparison, made.colours_gap, made.colours_reason
    )
    return {**figures, "notes": [*made.notes, *made.thread.warnings]}


def made_ready(picture: Picture, settings: PictureSettings, aspect: float | None) -> Picture:
    """Return a picture turned, cropped and toned, where settings can be those of any command."""
    adjustment = Adjustment(
        crop_named(settings.crop),
        settings.rotate,
        settings.flip,
        settings.brightness,
        settings.contrast,
        settings.saturation,
    )
    return adjusted(picture, adjustment, aspect)


def aspect_of(width_mm: float | None, height_mm: float | None) -> float | None:
    """Return width by height where both are given."""
    return width_mm / height_mm if width_mm and height_mm else None
