"""Kits for a class: for how many, and at what price."""

import math
from dataclasses import dataclass

from convert.errors import SizeError
from convert.settings.declaring import KITS, Settings, option

MOST_STUDENTS = 1_000
# Of a price hardly anything would be left for the beads.
MOST_MARGIN = 0.95
MOST_LABOUR = 1_000_000.0


def check_students(students: int) -> None:
    """Check for how many persons there are to be kits.

    Raises
    ------
    SizeError
        They are no class.
    """
    if not 1 <= students <= MOST_STUDENTS:
        raise SizeError(
            f"students are 1 to {MOST_STUDENTS:,}, not {students:,}",
            "leave --students out for a piece without kits",
        )


@dataclass(frozen=True, kw_only=True)
class ClassSettings(Settings):
    """For how many persons kits are made.

    Raises
    ------
    SizeError
        They are no class.
    """

    students: int | None = option(
        None,
        "--students",
        "Kits for so many persons, of whom each makes --copies of the piece: a bag each, what to buy.",
        KITS,
        metavar="N",
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.students is not None:
            check_students(self.students)

    @property
    def bags(self) -> int:
        """For how many persons beads are counted out."""
        return self.students or 1


@dataclass(frozen=True, kw_only=True)
class PriceSettings(Settings):
    """What a kit costs besides its beads.

    Raises
    ------
    SizeError
        An amount or a share cannot be.
    """

    labour: float = option(
        0.0,
        "--labour",
        "For your work on each kit, in the currency of the costs; it is added to its beads.",
        KITS,
        metavar="AMOUNT",
    )
    margin: float = option(
        0.0,
        "--margin",
        "Share of a kit's price that is to remain with you: price = (beads + labour) / (1 - margin).",
        KITS,
        metavar="0..0.95",
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if not (math.isfinite(self.labour) and 0 <= self.labour <= MOST_LABOUR):
            raise SizeError(
                f"--labour is from 0 to {MOST_LABOUR:,.0f}, not {self.labour:g}",
                "give what a kit costs you in work",
            )
        if not 0 <= self.margin <= MOST_MARGIN:
            raise SizeError(
                f"--margin is from 0 to {MOST_MARGIN:g}, not {self.margin:g}",
                "it is a share of the price: 0.3 for three tenths",
            )

    def check_class(self, students: int | None) -> None:
        """Refuse a price of kits where there are none.

        Raises
        ------
        SizeError
            There is a price to be made, but no kits.
        """
        if not students and (self.labour or self.margin):
            raise SizeError(
                "--labour and --margin make the price of a kit", "say for how many with --students"
            )
