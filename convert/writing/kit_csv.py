"""Kits for a spreadsheet: a bag, what to buy for all bags, and the sum that makes the price."""

from convert.piece.kit import NEEDLES, BagBeads, Kit
from convert.piece.materials import grams_told
from convert.writing.csv_cells import csv_text

HEADER = (
    "what",
    "code",
    "name",
    "size",
    "in_one_bag",
    "to_spare_of_these",
    "grams_in_one_bag",
    "cost_in_one_bag",
    "in_all_bags",
    "grams_in_all_bags",
    "on_hand",
    "to_buy",
    "packs",
    "cost_of_packs",
    "currency",
)


def kit_csv(kit: Kit) -> str:
    """Return kits as CSV: beads (counted), thread (in metres), needles, then what makes the price.

    The costs of one bag are those of its beads by weight, with those to spare; then come labour, margin and
    the price, each in the same column, so that they add up to the price.

    Parameters
    ----------
    kit : Kit
        The kits.
    """
    rows: list[tuple[object, ...]] = [_beads(one, kit) for one in kit.beads]
    for thread in kit.threads:
        for what, length_mm in (("thread, m", thread.length_mm), ("thread to finish, m", thread.finish_mm)):
            if length_mm:
                bag, bags = (f"{length_mm * bags / 1000:.2f}" for bags in (1, kit.students))
                rows.append((what, "", thread.piece, f"{thread.thread_mm:g} mm", bag, *_EMPTY_BAG, bags))
    rows += [
        ("needles", "", "", f"{needle:g} mm", NEEDLES, *_EMPTY_BAG, NEEDLES * kit.students)
        for needle in kit.needles
    ]
    if kit.price is not None:
        rows += [
            _sum("labour", kit.labour, kit),
            _sum("margin", kit.price - kit.beads_cost - kit.labour, kit),
            _sum("price of a kit", kit.price, kit),
        ]
    return csv_text(HEADER, (row + ("",) * (len(HEADER) - len(row)) for row in rows))


_EMPTY_BAG = ("", "", "")


def _beads(one: BagBeads, kit: Kit) -> tuple[object, ...]:
    row = one.material
    in_bag = one.beads + one.spare
    return (
        "beads",
        row.colour.code,
        row.colour.name,
        row.size.name,
        in_bag,
        one.spare,
        grams_told(one.grams),
        # Finer than cents, so that the column adds up to the cent.
        None if one.cost is None else f"{one.cost:.4f}",
        in_bag * kit.students,
        grams_told(row.grams),
        row.on_hand,
        row.to_buy,
        row.packs,
        None if row.cost is None else f"{row.cost:.2f}",
        None if one.cost is None else kit.costs_in,
    )


def _sum(what: str, amount: float, kit: Kit) -> tuple[object, ...]:
    after = HEADER.index("currency") - HEADER.index("cost_in_one_bag") - 1
    return (what, "", "", "", "", "", "", f"{amount:.4f}", *("",) * after, kit.costs_in)
