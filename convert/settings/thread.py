"""Thread and needle, and the way they go."""

from dataclasses import dataclass
from typing import Literal

from convert.settings.declaring import THREAD, Settings, option


@dataclass(frozen=True, kw_only=True)
class PathSettings(Settings):
    """Which way the thread goes, see `convert.thread.planner`."""

    path: Literal["steady", "thrifty"] = option(
        "steady",
        "--path",
        "Close each loop before the next, or use the least thread there can be.",
        THREAD,
    )


@dataclass(frozen=True, kw_only=True)
class ThreadSettings(PathSettings):
    """The thread's way and what it is made with."""

    start: Literal["corner", "middle", "edge"] = option(
        "corner", "--start", "Where the weaving begins.", THREAD
    )
    begin: Literal["stop-bead", "loop"] = option(
        "stop-bead",
        "--begin",
        "How the first loop is held: by a stop bead that comes off again, or by passing it twice.",
        THREAD,
    )
    thread_mm: float = option(0.20, "--thread", "Thickness of the thread.", THREAD, metavar="MM")
    needle_mm: float = option(0.38, "--needle", "Thickness of the needle.", THREAD, metavar="MM")
    needleful_m: float = option(1.8, "--needleful", "Length of one working thread.", THREAD, metavar="M")
