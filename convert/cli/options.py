"""What only the command line has: what it reads, where it writes, and how much it says."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from convert.settings.declaring import COLOUR, OUTPUT, Settings, option

Picture = Annotated[
    str,
    typer.Argument(
        help="Picture file; - reads it from standard input.", metavar="PICTURE", show_default=False
    ),
]
PatternPath = Annotated[
    str,
    typer.Argument(
        help="Pattern file (pattern.json); - reads standard input.", metavar="PATTERN", show_default=False
    ),
]


@dataclass(frozen=True, kw_only=True)
class SheetSource(Settings):
    """Which sheet of a workbook is read."""

    sheet: str | None = option(
        None,
        "--sheet",
        "Sheet of a workbook, by name or number; not needed where one of them has a palette.",
        COLOUR,
        metavar="SHEET",
    )


@dataclass(frozen=True, kw_only=True)
class PaletteSource(SheetSource):
    """Where the palette is."""

    palette: str | None = option(
        None,
        "--palette",
        "Palette as CSV, .xlsx or .ods; without it an assortment that ships with combweave.",
        COLOUR,
        metavar="FILE",
    )


@dataclass(frozen=True, kw_only=True)
class ForceSettings(Settings):
    """Whether what is there may be replaced."""

    force: bool = option(False, "--force", "Replace the outputs in the folder if it is there.", OUTPUT)


@dataclass(frozen=True, kw_only=True)
class FolderSettings(ForceSettings):
    """Where outputs go."""

    out: Path | None = option(
        None, "--out", "Folder for the outputs; must not be there yet.", OUTPUT, metavar="DIR"
    )


@dataclass(frozen=True, kw_only=True)
class JsonSettings(Settings):
    """Whether figures are wanted for machines."""

    as_json: bool = option(False, "--json", "Summary as one JSON object on standard output.", OUTPUT)


@dataclass(frozen=True, kw_only=True)
class Telling(JsonSettings):
    """How much is said."""

    quiet: bool = option(False, "--quiet", "No progress and no summary.", OUTPUT)
