"""Options that several commands share, each declared once."""

import sys
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from convert.errors import PaletteError, PatternFileError, PictureError, printable

PICTURE, SIZE, COLOUR, THREAD, OUTPUT, LIMITS = (
    "Picture",
    "Size and weave",
    "Colours",
    "Thread",
    "Output",
    "Limits",
)


# Every option can be set in the environment (COMBWEAVE_PANEL_WIDTH); saying so at each would drown the help.
option = partial(typer.Option, show_envvar=False)


def _read_config(context: typer.Context, parameter: typer.CallbackParam, path: Path | None) -> Path | None:
    """Let a TOML file set options: a flag beats the environment, which beats the file."""
    if path is None:
        return None
    import tomllib

    name = printable(path)
    try:
        settings = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise typer.BadParameter(f"cannot read {name}: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise typer.BadParameter(f"{name}: {error}") from error
    names = {
        option.removeprefix("--"): known
        for known in context.command.params
        for option in known.opts
        if option.startswith("--") and known.name not in (parameter.name, "help")
    }
    defaults = {}
    for key, value in settings.items():
        known = names.get(key.replace("_", "-"))
        if known is None:
            raise typer.BadParameter(f"{name}: there is no option {key!r}; known: {', '.join(sorted(names))}")
        words = _as_words(value)
        if known.multiple and isinstance(words, str):
            words = [words]
        try:
            known.process_value(context, words)
        except typer.BadParameter as error:
            # Later on nobody would know that the value came from this file.
            raise typer.BadParameter(f"{name}: {key!r} is {value!r}: {error.message}") from error
        defaults[known.name] = words
    context.default_map = {**(context.default_map or {}), **defaults}
    return path


def _as_words(value: Any) -> Any:
    """Return a TOML value as the command line would have it."""
    if isinstance(value, list):
        return [str(item) for item in value]
    return value


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
Crop = Annotated[
    str | None,
    option(
        "--crop",
        metavar="X,Y,W,H|auto",
        help="Part of the picture in fractions of it, after turning; auto: with width and height, the part"
        " of that shape that keeps most of the edges.",
        rich_help_panel=PICTURE,
    ),
]
Rotate = Annotated[
    float,
    option(
        "--rotate",
        metavar="DEG",
        help="Turn the picture clockwise, before all else.",
        rich_help_panel=PICTURE,
    ),
]
Flip = Annotated[
    Literal["across", "down"] | None,
    option("--flip", help="Swap left and right, or top and bottom.", rich_help_panel=PICTURE),
]
Brightness = Annotated[
    float,
    option(
        "--brightness",
        metavar="FACTOR",
        help="0 is black, 1 as it is, 2 twice as bright.",
        rich_help_panel=PICTURE,
    ),
]
Contrast = Annotated[
    float,
    option("--contrast", metavar="FACTOR", help="0 is even grey, 1 as it is.", rich_help_panel=PICTURE),
]
Saturation = Annotated[
    float,
    option(
        "--saturation", metavar="FACTOR", help="0 is without colour, 1 as it is.", rich_help_panel=PICTURE
    ),
]
Out = Annotated[
    Path | None,
    option(
        "--out", metavar="DIR", help="Folder for the outputs; must not be there yet.", rich_help_panel=OUTPUT
    ),
]
PalettePath = Annotated[
    str | None,
    option(
        "--palette",
        metavar="FILE",
        help="Palette CSV; without it an assortment that ships with combweave.",
        rich_help_panel=COLOUR,
    ),
]
Beads = Annotated[
    str,
    option(
        "--beads", metavar="SIZE", help="Size of the core beads: 11/0, or DxLxH in mm.", rich_help_panel=SIZE
    ),
]
Connectors = Annotated[
    str | None,
    option(
        "--connectors",
        metavar="SIZE",
        help="Size of the connectors, if not that of --beads.",
        rich_help_panel=SIZE,
    ),
]
Width = Annotated[
    float | None,
    option("--width", metavar="MM", help="Finished width; 100 if no size is given.", rich_help_panel=SIZE),
]
Height = Annotated[
    float | None, option("--height", metavar="MM", help="Finished height.", rich_help_panel=SIZE)
]
Across = Annotated[
    int | None,
    option("--across", metavar="LOOPS", help="Loops from left to right, not --width.", rich_help_panel=SIZE),
]
Fit = Annotated[
    Literal["cover", "contain"],
    option(
        "--fit",
        help="With width and height: crop the picture, or keep all of it inside.",
        rich_help_panel=SIZE,
    ),
]
Direction = Annotated[
    Literal["across", "along"],
    option(
        "--direction",
        help="Whether rows of loops run across the picture or down it.",
        rich_help_panel=SIZE,
    ),
]
Gauge = Annotated[
    float | None,
    option(
        "--gauge",
        metavar="MM",
        help="Measured length of ten loops in a row of your swatch.",
        rich_help_panel=SIZE,
    ),
]
Distance = Annotated[
    Literal["ciede2000", "cie94", "cmc", "cie76"],
    option("--distance", help="How colours are compared.", rich_help_panel=COLOUR),
]
Dither = Annotated[
    float,
    option(
        "--dither",
        metavar="0..1",
        help="Spread colour error over neighbouring beads: softer shades, more lone beads.",
        rich_help_panel=COLOUR,
    ),
]
DitherKind = Annotated[
    Literal["spread", "threshold", "search"],
    option("--dither-kind", help="Spread the error, or mix by a fixed pattern.", rich_help_panel=COLOUR),
]
Smooth = Annotated[
    float,
    option(
        "--smooth",
        metavar="0..1",
        help="Fewer lone beads and colour changes: easier to weave, less exact.",
        rich_help_panel=COLOUR,
    ),
]
Colours = Annotated[
    int | None,
    option(
        "--colours",
        metavar="N",
        help="Use at most N colours, the best N of the palette for the picture.",
        rich_help_panel=COLOUR,
    ),
]
Keep = Annotated[
    list[str] | None,
    option(
        "--keep",
        metavar="CODE",
        help="With --colours: a colour that stays for sure. May be given again.",
        rich_help_panel=COLOUR,
    ),
]
Avoid = Annotated[
    list[str] | None,
    option(
        "--avoid", metavar="CODE", help="A colour not to use. May be given again.", rich_help_panel=COLOUR
    ),
]
Stock = Annotated[
    bool,
    option("--stock", help="Never use more beads of a colour than are on hand.", rich_help_panel=COLOUR),
]
Backing = Annotated[
    str,
    option(
        "--backing",
        metavar="HEX",
        help="Colour of what lies behind the beads, for the judgement from afar.",
        rich_help_panel=COLOUR,
    ),
]
ViewDistance = Annotated[
    float,
    option(
        "--view-distance",
        metavar="M",
        help="From how far the piece is seen, for the judgement from afar.",
        rich_help_panel=COLOUR,
    ),
]
Start = Annotated[
    Literal["corner", "middle", "edge"],
    option("--start", help="Where the weaving begins.", rich_help_panel=THREAD),
]
ThreadPath = Annotated[
    Literal["steady", "thrifty"],
    option(
        "--path",
        help="Close each loop before the next, or use the least thread there can be.",
        rich_help_panel=THREAD,
    ),
]
ThreadThickness = Annotated[
    float, option("--thread", metavar="MM", help="Thickness of the thread.", rich_help_panel=THREAD)
]
NeedleThickness = Annotated[
    float, option("--needle", metavar="MM", help="Thickness of the needle.", rich_help_panel=THREAD)
]
Needleful = Annotated[
    float,
    option("--needleful", metavar="M", help="Length of one working thread.", rich_help_panel=THREAD),
]
Edge = Annotated[
    Literal["plain", "points"],
    option(
        "--edge",
        help="points: one small bead at each outer tip, in a last round of thread.",
        rich_help_panel=SIZE,
    ),
]
Copies = Annotated[
    int,
    option(
        "--copies",
        metavar="N",
        help="How many of the piece, such as 2 for a pair of earrings.",
        rich_help_panel=SIZE,
    ),
]
MostMegapixels = Annotated[
    float | None,
    option(
        "--max-megapixels",
        metavar="N",
        help="Largest picture to open, in millions of pixels; 89.5 if not given.",
        rich_help_panel=LIMITS,
    ),
]
MostBeads = Annotated[
    int, option("--max-beads", metavar="N", help="Most beads to plan for.", rich_help_panel=LIMITS)
]
PaperName = Annotated[
    Literal["a4", "letter"],
    option("--paper", help="Paper of the booklet.", rich_help_panel=OUTPUT),
]
Ink = Annotated[
    Literal["colour", "spare"],
    option(
        "--ink", help="spare: white beads with symbols, to print with little ink.", rich_help_panel=OUTPUT
    ),
]
Force = Annotated[
    bool,
    option("--force", help="Replace the outputs in the folder if it is there.", rich_help_panel=OUTPUT),
]
Quiet = Annotated[bool, option("--quiet", help="No progress and no summary.", rich_help_panel=OUTPUT)]
Verbose = Annotated[
    bool, option("--verbose", help="Details, and tracebacks of errors.", rich_help_panel=OUTPUT)
]
AsJson = Annotated[
    bool,
    option("--json", help="Summary as one JSON object on standard output.", rich_help_panel=OUTPUT),
]
Config = Annotated[
    Path | None,
    option(
        "--config",
        metavar="FILE",
        help="TOML file with options, such as combweave.toml.",
        callback=_read_config,
        is_eager=True,
        rich_help_panel=OUTPUT,
    ),
]

STANDARD_INPUT = "-"


def standard_input(error: type[PictureError | PaletteError | PatternFileError]) -> bytes:
    """Return everything on standard input.

    Raises
    ------
    ConvertError
        The given kind, where there is nothing.
    """
    data = sys.stdin.buffer.read() if sys.stdin is not None else b""
    if not data:
        raise error("nothing came on standard input", "pipe a file into the command, or name one")
    return data
