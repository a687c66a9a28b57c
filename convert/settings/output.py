"""How the outputs of a piece look."""

from dataclasses import dataclass
from typing import Literal

from convert.settings.declaring import OUTPUT, Settings, option
from convert.settings.kits import PriceSettings
from convert.settings.weave import PaceSettings


@dataclass(frozen=True, kw_only=True)
class PaperSettings(Settings):
    """What is printed on."""

    paper: Literal["a4", "letter"] = option("a4", "--paper", "Paper to print on.", OUTPUT)


@dataclass(frozen=True, kw_only=True)
class BookletSettings(PriceSettings, PaceSettings, PaperSettings):
    """For whom the outputs are, and how the booklet is printed."""

    words: Literal["short", "full"] = option(
        "short",
        "--words",
        "short: a line a stitch, with a letter for each kind of loop; full: whole sentences.",
        OUTPUT,
    )
    ink: Literal["colour", "spare"] = option(
        "colour", "--ink", "spare: white beads with symbols, to print with little ink.", OUTPUT
    )
    edition: Literal["student", "teacher"] | None = option(
        None,
        "--edition",
        "student: all files for one person, without stock and costs, with boxes to tick; teacher: with hours"
        " by row and where a class needs help.",
        OUTPUT,
    )
