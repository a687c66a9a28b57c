import csv
import io

import pytest

from convert.piece.kit import kit_of
from convert.writing.beads_csv import beads_csv
from convert.writing.kit_csv import kit_csv
from tests.piece.test_kit import flower


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_kits_as_a_table():
    kit = kit_of(*flower(), labour=4.19, margin=0.3)
    white, green, thread, needles, labour, margin, price = rows(kit_csv(kit))
    assert (white["what"], white["code"], white["in_one_bag"], white["in_all_bags"]) == (
        "beads",
        "WH",
        "51",
        "255",
    )
    assert (green["to_spare_of_these"], green["to_buy"], green["packs"], green["cost_of_packs"]) == (
        "2",
        "80",
        "1",
        "8.00",
    )
    assert float(thread["in_all_bags"]) == pytest.approx(5 * float(thread["in_one_bag"]), abs=0.03)
    assert (needles["size"], needles["in_one_bag"], needles["in_all_bags"]) == ("0.38 mm", "2", "10")
    parts = [float(row["cost_in_one_bag"]) for row in (white, green, labour, margin)]
    assert sum(parts) == pytest.approx(float(price["cost_in_one_bag"])) == pytest.approx(10.0)


def test_without_prices_there_is_no_price():
    kit = kit_of(*flower(priced=False), labour=4.0)
    assert [row["what"] for row in rows(kit_csv(kit))] == ["beads", "beads", "thread, m", "needles"]


def test_a_list_without_buying():
    pattern, _ = flower()
    assert list(rows(beads_csv(pattern, buying=False))[0]) == [
        "code",
        "name",
        "size",
        "hex",
        "beads",
        "grams_with_spare",
        "cost_of_beads_used",
        "currency",
    ]
    assert "to_buy" in rows(beads_csv(pattern))[0]
