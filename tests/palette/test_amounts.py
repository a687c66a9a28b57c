"""Numbers as people write them: common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from convert.palette.amounts import Amount, Marks, is_currency, unit_called, written_amount


@pytest.mark.parametrize(
    ("text", "value", "unit", "currency"),
    [
        ("250", 250, "", ""),
        ("1 250", 1250, "", ""),
        ("1\u00a0250\u00a0000", 1_250_000, "", ""),
        ("1'250,5", 1250.5, "", ""),
        ("1’250.5", 1250.5, "", ""),
        ("1,234.50", 1234.5, "", ""),
        ("1.234,50", 1234.5, "", ""),
        ("1,00,000", 100_000, "", ""),
        ("0.125", 0.125, "", ""),
        ("2,75", 2.75, "", ""),
        (".5", 0.5, "", ""),
        ("12 g", 12, "g", ""),
        ("12g.", 12, "g", ""),
        ("1,5 kg", 1.5, "kg", ""),
        ("300 pcs", 300, "beads", ""),
        ("300 PCS", 300, "beads", ""),
        ("€2.75", 2.75, "", "€"),
        ("2,75 €", 2.75, "", "€"),
        ("US$ 3", 3, "", "US$"),
        ("CHF 12.50", 12.5, "", "CHF"),
        ("12 kr.", 12, "", "kr."),
        ("5,-", 5, "", ""),
        ("2.50 each", 2.5, "", ""),
        ("€ 2.50 per pack", 2.5, "", "€"),
    ],
)
def test_reads(text, value, unit, currency):
    amount = written_amount(text)
    assert (amount.value, amount.unit, amount.currency) == (value, unit, currency)
    assert amount.thousands is None


@pytest.mark.parametrize(
    "text", ["ca. 200", "ca 200", "c. 200", "circa 200", "about 200", "approx. 200", "~200", "≈ 200"]
)
def test_rough_numbers(text):
    assert written_amount(text) == Amount(200, about=True)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "-1",
        "+5",
        "1e3",
        "1_0",
        "٣",
        "0x10",
        "1 23",
        "1,23,4",
        "1.2.3",
        "12 tubes",
        "g 12",
        "a dozen",
        "12-15",
        "1" * 50,
    ],
)
def test_no_number(text):
    assert written_amount(text) is None


@pytest.mark.parametrize("mark", [".", ","])
def test_one_mark_before_three_digits_may_be_either(mark):
    amount = written_amount(f"1{mark}234")
    other = {".": ",", ",": "."}[mark]
    assert (amount.value, amount.thousands) == (1.234, 1234)
    assert Marks().settle(amount) is None
    assert Marks(decimal=frozenset(mark)).settle(amount) == 1.234
    assert Marks(thousands=frozenset(mark)).settle(amount) == 1234
    assert Marks(decimal=frozenset(other)).settle(amount) == 1234
    assert Marks(thousands=frozenset(other)).settle(amount) == 1.234
    assert Marks(decimal=frozenset(".,")).settle(amount) is None


def test_halves_of_beads_show_that_a_mark_parts_thousands():
    assert Marks.shown_by([written_amount("1.250")], whole=True).settle(written_amount("2.000")) == 2000
    assert Marks.shown_by([written_amount("1.250")]).settle(written_amount("2.000")) is None


@given(
    st.integers(0, 10**9), st.sampled_from([",", ".", " ", "'", "\u202f"]), st.sampled_from(["", "g", "€"])
)
def test_whole_numbers_with_marks_keep_their_value(number, mark, sign):
    amount = written_amount(f"{number:,} {sign}".replace(",", mark).strip())
    assert number in (amount.value, amount.thousands)


@given(st.text(max_size=30))
def test_any_text_gives_a_number_or_none(text):
    amount = written_amount(text)
    assert amount is None or amount.value >= 0


def test_units_and_currencies():
    assert [unit_called(word) for word in ("g", "Grams", "kg.", "beads", "oz")] == [
        "g",
        "g",
        "kg",
        "beads",
        "",
    ]
    assert [is_currency(word) for word in ("€", "eur", "kr", "US$", "red", "", "g")] == [True] * 4 + [
        False
    ] * 3
