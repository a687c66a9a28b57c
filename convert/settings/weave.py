"""Beads and loops of a piece."""

import math
from dataclasses import dataclass
from typing import Literal

from convert.errors import SizeError
from convert.settings.declaring import LIMITS, SIZE, Settings, option

MOST_BEADS = 1_000_000


@dataclass(frozen=True, kw_only=True)
class BeadSettings(Settings):
    """Which beads a piece is woven of; sizes as `convert.weave.beads.bead_size` takes them."""

    beads: str = option(
        "11/0", "--beads", "Size of the core beads: 11/0, or DxLxH in mm.", SIZE, metavar="SIZE"
    )
    connectors: str | None = option(
        None, "--connectors", "Size of the connectors, if not that of --beads.", SIZE, metavar="SIZE"
    )


@dataclass(frozen=True, kw_only=True)
class GaugeSettings(Settings):
    """How closely the beads lie."""

    gauge_mm: float | None = option(
        None, "--gauge", "Measured length of ten loops in a row of your swatch.", SIZE, metavar="MM"
    )


@dataclass(frozen=True, kw_only=True)
class EdgeSettings(Settings):
    """How the edge is finished."""

    edge: Literal["plain", "points"] = option(
        "plain", "--edge", "points: one small bead at each outer tip, in a last round of thread.", SIZE
    )


@dataclass(frozen=True, kw_only=True)
class BeadLimit(Settings):
    """How many beads a piece may have."""

    max_beads: int = option(MOST_BEADS, "--max-beads", "Most beads to plan for.", LIMITS, metavar="N")


def check_pace(beads_per_hour: float) -> None:
    """Check how many beads are woven in within an hour.

    Raises
    ------
    SizeError
        So many cannot be.
    """
    if not (math.isfinite(beads_per_hour) and beads_per_hour > 0):
        raise SizeError(f"beads in an hour must be more than 0 and finite, not {beads_per_hour:g}")


@dataclass(frozen=True, kw_only=True)
class PaceSettings(Settings):
    """How quickly beads are woven in.

    Raises
    ------
    SizeError
        So many beads cannot be.
    """

    beads_per_hour: float = option(
        100.0,
        "--beads-per-hour",
        "How quickly you, or your class, weave. About 100 is common practice; no source.",
        SIZE,
        metavar="N",
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        check_pace(self.beads_per_hour)


@dataclass(frozen=True, kw_only=True)
class CopySettings(Settings):
    """How many pieces of a kind are made.

    Raises
    ------
    SizeError
        Copies to be woven in pairs are an odd number.
    """

    copies: int = option(
        1,
        "--copies",
        "How many of the piece each person makes, such as 2 for a pair of earrings.",
        SIZE,
        metavar="N",
    )
    mirror_pair: bool = option(
        False,
        "--mirror-pair",
        "With --copies 2: weave the second as the mirror image of the first, with a chart and an order of its"
        " own in the folder mirrored.",
        SIZE,
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        check_pairs(self.copies, mirror_pair=self.mirror_pair)


def check_pairs(copies: int, *, mirror_pair: bool) -> None:
    """Refuse mirrored pairs of an odd number of copies.

    Raises
    ------
    SizeError
        It is odd.
    """
    if mirror_pair and copies % 2:
        raise SizeError(
            f"mirrored pairs are an even number of copies, not {copies}", "give --copies 2 for a pair"
        )
