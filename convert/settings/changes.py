"""What is changed of a piece that there is already."""

from dataclasses import dataclass

from convert.settings.declaring import CHANGES, Settings, option
from convert.settings.imprint import ImprintSettings


@dataclass(frozen=True, kw_only=True)
class ChangeSettings(Settings):
    """Beads of other colours, and loops dropped and added; named as the chart of the piece names them."""

    colours: tuple[str, ...] = option(
        (),
        "--set",
        "Another colour for a bead: 2.5/3.4=RU3 between two loops, 2.5/left=RU3 at the edge of one,"
        " 2.5/tip=RU3 at its tip, 2.5=RU3 for the whole loop. May be given again.",
        CHANGES,
        metavar="BEAD=CODE",
    )
    swap: tuple[str, ...] = option(
        (),
        "--swap",
        "Another colour for all beads of one: DW4 in place of DW5 with DW5=DW4. May be given again.",
        CHANGES,
        metavar="CODE=CODE",
    )
    drop: tuple[str, ...] = option(
        (),
        "--drop",
        "Loops to leave out: 2.5,2.6 or a block 2.5-3.7. The thread is planned anew.",
        CHANGES,
        metavar="LOOPS",
    )
    add: tuple[str, ...] = option(
        (),
        "--add",
        "Loops to add. The numbers of the chart go on beyond its edge: row 0 comes before row 1, then -1;"
        " place 0 before place 1.",
        CHANGES,
        metavar="LOOPS",
    )
    leave_marked: bool = option(
        False,
        "--leave-marked",
        "Leave loops that were marked on the page as they are; else they are dropped and added.",
        CHANGES,
    )


@dataclass(frozen=True, kw_only=True)
class ChangeOptions(ImprintSettings, ChangeSettings):
    """What may be changed of a piece; see ``combweave redraw --help`` for each."""
