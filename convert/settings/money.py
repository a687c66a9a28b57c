"""What is bought, and what it costs."""

from dataclasses import dataclass

from convert.errors import PaletteError, SizeError
from convert.settings.declaring import COLOUR, Settings, option

LONGEST_CURRENCY = 12
CURRENCY_RULE = f"up to {LONGEST_CURRENCY} letters or signs in one line, without digits"


def is_currency(text: str) -> bool:
    """Tell whether a text can stand behind an amount: short, in one line, not to be taken for a number."""
    return (
        0 < len(text.strip()) <= len(text) <= LONGEST_CURRENCY
        and text.isprintable()
        and not any(letter.isnumeric() for letter in text)
    )


def check_currency(text: str) -> None:
    """Check a currency; nothing is one, too, that of somebody who does not say.

    Raises
    ------
    PaletteError
        It is too long, has digits, or cannot be printed in one line.
    """
    if text and not is_currency(text):
        shown = "".join(letter if letter.isprintable() else "?" for letter in text[:LONGEST_CURRENCY])
        more = "..." if len(text) > LONGEST_CURRENCY else ""
        raise PaletteError(f"'{shown}{more}' is no currency", f"give {CURRENCY_RULE}, such as EUR")


def check_spare(share: float) -> None:
    """Check what share of the beads is to spare.

    Raises
    ------
    SizeError
        It is less than nothing, or more than the beads themselves.
    """
    if not 0 <= share <= 1:
        raise SizeError(
            f"beads to spare are from 0 to 1 of those woven in, not {share:g}", "give 0.1 for a tenth"
        )


@dataclass(frozen=True, kw_only=True)
class MoneySettings(Settings):
    """How many beads to have besides those woven in, and what money is told in.

    Raises
    ------
    SizeError, PaletteError
        The share to spare, or the currency, is none.
    """

    spare: float | None = option(
        None,
        "--spare",
        "Beads to have besides, as a share of those woven in: 0.1 if not given, with --stock none.",
        COLOUR,
        metavar="0..1",
    )
    currency: str = option(
        "",
        "--currency",
        "What costs are told in, such as EUR; if not given, what the palette says.",
        COLOUR,
        metavar="TEXT",
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        check_currency(self.currency)
        if self.spare is not None:
            check_spare(self.spare)
