"""What a pattern file has in it, part by part; the models are its schema, too."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError

from convert.palette.model import RANGES
from convert.piece.about import USUAL
from convert.piece.pattern import SPARE
from convert.settings.kits import MOST_STUDENTS
from convert.weave.beads import LEAST_MM, LEAST_PER_GRAM, MOST_MM, MOST_PER_GRAM
from convert.weave.hanging import MOST_BEADS
from convert.weave.motif import CENTRES, FLAT, MOST_ROUNDS

FORMAT = "combweave pattern"
VERSION = 2
WOVEN, BARE = "#", "."
MOST_BYTES = 200_000_000

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Count = Annotated[int, Field(ge=0)]
Hex = Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]
Factor = Annotated[float, Field(gt=0, lt=2)]
Measure = Annotated[float, Field(ge=LEAST_MM, le=MOST_MM)]


def _one_line(text: str) -> str:
    if not text.isprintable():
        raise PydanticCustomError("one_line", "has a character that cannot be printed")
    return text


Text = Annotated[str, Field(max_length=1_000), AfterValidator(_one_line)]


def _within(column: str) -> Any:
    """Return what a number of a palette is held to."""
    least, most = RANGES[column]
    return Field(ge=least, le=most)


_WANTED = Field(
    description="The light the picture asks of each bead: a text a row of beads, for each bead four"
    " hexadecimal digits each of red, green and blue, encoded sRGB."
)
LoopName = Annotated[str, Field(max_length=40), AfterValidator(_one_line)]
_UNSHOWN = Field(description="Beads at which the picture shows nothing, numbered row by row from 0.")


_JOINED = Field(description="Whether the last place of each row is woven into the first.")
_SYMMETRY = Field(description="The repeats and mirror lines of the design, if it has any.")
_SYMBOLS = Field(description="Numbers of the symbols that pieces of a set share, by the code of the bead.")
_SIXTHS = Field(description="How many sixths of a flat flower there are.", ge=1, le=FLAT)
_HANGING = Field(description="Beads of a loop at the top to hang it by; 0 for none.", ge=0, le=MOST_BEADS)
Hanging = Annotated[int, _HANGING]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


class BeadSizePart(_Part):
    """A size of bead, in mm."""

    name: Text
    kind: Text
    diameter_mm: Measure
    length_mm: Measure
    hole_mm: Measure
    beads_per_gram: Annotated[float, Field(ge=LEAST_PER_GRAM, le=MOST_PER_GRAM)]


class SpacingPart(_Part):
    """Sides of the loops in mm, and the factors between which the truth lies."""

    core_mm: Positive
    connector_mm: Positive
    low: Factor
    high: Factor
    basis: Literal["model", "gauge"]


class SheetPart(_Part):
    """A flat sheet: a line of text a row of loops, ``#`` woven and ``.`` not."""

    kind: Literal["sheet"]
    direction: Literal["across", "along"]
    joined: Annotated[bool, _JOINED] = False
    rows: Annotated[list[Annotated[str, Field(pattern=r"^[#.]+$")]], Field(min_length=1)]
    hanging: Hanging = 0


class FlowerPart(_Part):
    """Rounds of loops about a centre loop; ``centre`` is the number of its beads."""

    kind: Literal["flower"]
    rounds: Annotated[int, Field(ge=1, le=MOST_ROUNDS)]
    centre: Annotated[int, Field(ge=CENTRES[0], le=CENTRES[-1])]
    sixths: Annotated[int, _SIXTHS] = FLAT
    hanging: Hanging = 0


class SymmetryPart(_Part):
    """What maps a design onto itself, counted from the first place of the first row, woven or not.

    ``repeat_loops`` are loops along a row, ``repeat_rows`` an even number of rows; ``mirror_half_loops`` is a
    mirror line across the rows, so many half loops on, ``mirror_row`` the row, from 0, whose middle is one.
    """

    repeat_loops: Annotated[int, Field(ge=1)] | None = None
    repeat_rows: Annotated[int, Field(ge=2, multiple_of=2)] | None = None
    mirror_half_loops: int | None = None
    mirror_row: int | None = None


class ColourPart(_Part):
    """A bead colour; ``size`` is null where it comes in every size."""

    code: Text
    name: Text
    size: Text | None
    hex: Hex
    lab: tuple[float, float, float]
    finish: Text = ""
    on_hand: Annotated[int, _within("on_hand")] | None = None
    on_hand_g: Annotated[float, _within("on_hand_g")] | None = None
    per_gram: Annotated[float, _within("per_gram")] | None = None
    pack_g: Annotated[float, _within("pack_g")] | None = None
    price: Annotated[float, _within("price")] | None = None
    currency: Text = ""


class PalettePart(_Part):
    """The bead colours to choose from."""

    name: Text
    entries: Annotated[list[ColourPart], Field(min_length=1)]


class TailPart(_Part):
    """How an end of a thread is sewn in: before which pass, whether it leaves, and through which beads."""

    before: Annotated[int, Field(ge=0)]
    leaves: bool
    beads: list[Annotated[int, Field(ge=0)]]


class ThreadPart(_Part):
    """Thread and needle in mm, and the beads each working thread goes through, numbered row by row from 0."""

    thread_mm: Positive
    needle_mm: Positive
    needleful_mm: Positive
    path: Literal["steady", "thrifty"] = "steady"
    start: Literal["corner", "middle", "edge"] = "corner"
    begin: Literal["stop-bead", "loop"] = "stop-bead"
    threads: Annotated[list[Annotated[list[int], Field(min_length=1)]], Field(min_length=1)]
    tails: list[TailPart] = []


class ViewPart(_Part):
    """What the piece lies on, and from how far it is seen."""

    backing: Hex = USUAL.backing
    distance_m: Positive = USUAL.view_distance_m


class LooksPart(_Part):
    """How beads look from there, as differences by CIEDE2000, and how restless they are."""

    seen: NotNegative
    seen_with_gaps: NotNegative
    lone_beads: Count
    colour_changes: Count


class FiguresPart(_Part):
    """How well the beads showed the picture when this file was written."""

    colour_difference: NotNegative
    chosen: LooksPart
    nearest: LooksPart | None = None
    colours_gap: NotNegative | None = None
    colours_reason: Text | None = None


class WishesPart(_Part):
    """Loops to leave out and to add when the piece is redrawn.

    They are named as the chart names them, ``row.place``. Row 0 lies before row 1 and place 0 before place 1,
    and numbers below 0 further out.
    """

    drop: list[LoopName] = []
    add: list[LoopName] = []


class PatternPart(_Part):
    """A combweave pattern."""

    format: Literal["combweave pattern"]
    version: Literal[2]
    program: Text
    title: Text
    maker: Text = ""
    licence: Text = ""
    year: Annotated[int, Field(ge=1, le=9_999)] | None = None
    copies: Annotated[int, Field(ge=1, le=1_000)] = 1
    mirror_pair: bool = False
    students: Annotated[int, Field(ge=0, le=MOST_STUDENTS)] = 0
    symbols: Annotated[dict[Text, Annotated[int, Field(ge=0)]], _SYMBOLS] = {}
    adjustments: list[Text] = []
    spare: Annotated[float, Field(ge=0, le=1)] = SPARE
    currency: Text = ""
    finish: Literal["none", "clasp", "sewn", "button", "hook", "ring", "cloth"] = "none"
    view: ViewPart = ViewPart()
    figures: FiguresPart | None = None
    core: BeadSizePart
    connector: BeadSizePart
    spacing: SpacingPart
    symmetry: Annotated[SymmetryPart | None, _SYMMETRY] = None
    shape: Annotated[SheetPart | FlowerPart, Field(discriminator="kind")]
    palette: PalettePart
    bead_rows: list[list[str]]
    tips: list[str] = []
    wanted: Annotated[list[Annotated[str, Field(pattern=r"^[0-9A-Fa-f]+$")]] | None, _WANTED] = None
    unshown: Annotated[list[Annotated[int, Field(ge=0)]], _UNSHOWN] = []
    wishes: WishesPart = WishesPart()
    thread: ThreadPart


def pattern_schema() -> dict[str, Any]:
    """Return the JSON Schema of the pattern file, as shipped in ``pattern.schema.json``."""
    schema = PatternPart.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
