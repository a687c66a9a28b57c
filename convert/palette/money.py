"""Sums of money: the currency a user names, and how an amount is told."""

from convert.errors import PaletteError

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


def money(amount: float, currency: str) -> str:
    """Return an amount with its currency, such as ``1,139.30 EUR``."""
    return f"{amount:,.2f} {currency}".rstrip()
