"""Sums of money as they are told."""


def money(amount: float, currency: str) -> str:
    """Return an amount with its currency, such as ``1,139.30 EUR``."""
    return f"{amount:,.2f} {currency}".rstrip()
