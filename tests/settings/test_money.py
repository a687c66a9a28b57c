from dataclasses import dataclass

import pytest

from convert.errors import PaletteError, SizeError
from convert.palette.money import money
from convert.settings.money import LONGEST_CURRENCY, MoneySettings, check_currency, is_currency
from convert.settings.output import BookletSettings


@pytest.mark.parametrize("text", ["EUR", "€", "kr.", "US dollars", "x" * LONGEST_CURRENCY, "руб"])
def test_a_currency_stands_behind_the_amount(text):
    check_currency(text)
    assert is_currency(text)
    assert money(1139.3, text) == f"1,139.30 {text}"


def test_nobody_has_to_name_one():
    check_currency("")
    assert money(2.5, "") == "2.50"


@pytest.mark.parametrize(
    "text",
    [
        "x" * 200,
        "x" * (LONGEST_CURRENCY + 1),
        " ",
        "E\nR",
        "E\x1b[31m",
        "E\u202eR",
        "\0",
        "10",
        "EUR 5",
        "½",
        "١",
    ],
)
def test_what_is_no_currency_is_refused_in_one_line(text):
    with pytest.raises(PaletteError, match="is no currency") as refused:
        check_currency(text)
    assert len(str(refused.value)) < 40
    assert str(refused.value).isprintable()
    assert refused.value.hint


def test_so_long_a_currency_may_be():
    assert LONGEST_CURRENCY == 12
    with pytest.raises(PaletteError, match=r"'x{12}\.\.\.' is no currency"):
        check_currency("x" * 13)
    with pytest.raises(PaletteError, match=r"'5{12}' is no currency"):
        check_currency("5" * 12)


def test_options_refuse_what_is_no_currency():
    with pytest.raises(PaletteError, match="is no currency"):
        MoneySettings(currency="5")


def test_options_of_several_groups_are_checked_by_all():
    @dataclass(frozen=True, kw_only=True)
    class Both(MoneySettings, BookletSettings):
        pass

    assert Both(currency="EUR", ink="spare").ink == "spare"
    with pytest.raises(SizeError, match="--ink is colour or spare, not 'gold'"):
        Both(ink="gold")
    with pytest.raises(PaletteError, match="is no currency"):
        Both(currency="5")
