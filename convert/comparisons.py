"""Whole comparisons in one call each, before a piece is made: of bead sizes, and of numbers of colours."""

from pathlib import Path

from convert.errors import SizeError
from convert.front_door import Palette, PanelOptions, Picture, SizesOptions
from convert.judging.afar import check_view
from convert.judging.colour_comparison import ColourComparison as ColourComparison
from convert.judging.colour_comparison import compare_colours as compare_panels
from convert.judging.size_candidates import SizeComparison as SizeComparison
from convert.judging.size_candidates import Sizes, sizes_named, sizes_of
from convert.judging.size_comparison import compare_sizes as compare_pieces
from convert.judging.viewing import check_distance
from convert.making.pipeline import Progress, unheard
from convert.picture.adjusting import AUTO, crop_named
from convert.picture.part import WHOLE, Part, part_named
from convert.picture.readying import made_ready
from convert.settings.output import PaperSettings
from convert.units import PAPERS
from convert.work import aspect_of, panel_picture
from convert.writing.colour_report import write_colour_comparison
from convert.writing.output_folder import output_folder
from convert.writing.size_report import write_comparison


def compare_sizes(
    picture: Picture,
    palette: Palette,
    options: SizesOptions | None = None,
    *,
    progress: Progress = unheard,
) -> SizeComparison:
    """Compare bead sizes before weaving: how large, how long, how dear, and what of the picture survives.

    Parameters
    ----------
    picture : Picture
        The picture.
    palette : Palette
        Bead colours of all the sizes.
    options : SizesOptions, optional
        The choices; all have a default.
    progress : callable, optional
        Is told the name of each stage as it begins, see `convert.judging.size_comparison.stages`.

    Raises
    ------
    ConvertError
        Nothing can be compared. The message says why.
    """
    options = options or SizesOptions()
    part = WHOLE if options.detail is None else part_named(options.detail, "--detail")
    aspect = aspect_of(options.width_mm, options.height_mm)
    if aspect is not None and crop_named(options.crop) != AUTO:
        raise SizeError(
            "the piece takes a width or a height, not both", "give one, or crop to their shape: --crop auto"
        )
    check_distance(options.view_distance_m)
    shown = made_ready(picture, options, aspect)
    return compare_pieces(
        shown,
        palette,
        options.panel,
        sizes_compared(palette, options),
        part=part.within(Part(*shown.kept), "--detail"),
        beads_per_hour=options.beads_per_hour,
        distance_m=options.view_distance_m,
        progress=progress,
    )


def compare_colours(
    picture: Picture,
    palette: Palette,
    options: PanelOptions | None = None,
    *,
    progress: Progress = unheard,
) -> ColourComparison:
    """Compare a panel in more and more colours: how it looks, and what they cost; see `make_panel`.

    Parameters
    ----------
    options : PanelOptions, optional
        The choices; a number of colours is shown besides the others.
    """
    options = options or PanelOptions()
    check_view(options.backing, options.view_distance_m)
    return compare_panels(panel_picture(picture, options), palette, options, progress)


def sizes_compared(palette: Palette, options: SizesOptions) -> list[Sizes]:
    """Return core and connector of each size that `compare_sizes` compares.

    Raises
    ------
    SizeError, PaletteError
        A size is none, or the palette names none.
    """
    return [sizes_named(text) for text in options.beads] or sizes_of(palette)


def write_sizes(
    compared: SizeComparison, folder: Path | str, *, force: bool = False, progress: Progress = unheard
) -> None:
    """Write the sheet of a comparison of sizes into a new folder; the rest as `write_outputs`."""
    with output_folder(Path(folder), force=force) as into:
        write_comparison(compared, into, progress)


def write_colours(
    compared: ColourComparison,
    folder: Path | str,
    paper: str = PaperSettings.paper,
    *,
    force: bool = False,
    progress: Progress = unheard,
) -> None:
    """Write the sheet of a comparison of colours and its figures into a new folder, see `write_outputs`.

    Parameters
    ----------
    compared : ColourComparison
        The comparison.
    paper : str
        What is printed on, a key of `convert.units.PAPERS`.
    """
    with output_folder(Path(folder), force=force) as into:
        write_colour_comparison(compared, into, PAPERS[paper], progress)
