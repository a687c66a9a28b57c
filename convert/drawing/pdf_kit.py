"""The page of kits: what goes into one bag, what to buy for all bags, and what a kit costs."""

from convert.colour.srgb import parse_hex
from convert.drawing.label_sheet import labels_told
from convert.drawing.marks import plain_bead
from convert.drawing.pdf_blocks import Block, flowing_pages, heading_block, text_block, title_block
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_table import BEAD_MM, WORDS, BeadTable, Cells
from convert.instructions.finishing import needed
from convert.palette.money import money
from convert.piece.kit import NEEDLES, BagBeads, BagThread, Kit
from convert.piece.materials import grams_told, spare_told, total_cost
from convert.thread.steps import TAIL_MM

_NOTHING = "\N{EN DASH}"
_BUYING = ("on hand", "to buy", "packs", "cost of packs")
CAUTION = (
    "Not for children under three: beads, needles and thread ends are small parts on which they can choke."
    " Needles prick and beads splinter: wear glasses when a bead may break, never force a needle, and count"
    " the needles before and after. Good light; rest hands and eyes every half hour."
)


def kit_pages(canvas: PdfCanvas, frame: Frame, kit: Kit) -> list[Page]:
    """Return the pages.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    kit : Kit
        The kits.
    """
    return flowing_pages(_blocks(canvas, frame, kit), frame, "Kits")


def _blocks(canvas: PdfCanvas, frame: Frame, kit: Kit) -> list[Block]:
    heading = "Kit for one student" if kit.students == 1 else f"Kits for {kit.students:,} students"
    makes = " and ".join(_times(thread) for thread in kit.threads)
    price = _price(kit)
    costs = f", costs in {kit.costs_in}" if kit.costs_in and kit.priced else ""
    return [
        title_block(canvas, frame, heading),
        text_block(canvas, frame, "Each makes", [makes + "."]),
        heading_block(canvas, frame, "Beads in one bag, and what to buy for all" + costs),
        *_table(canvas, frame, kit).blocks(),
        text_block(canvas, frame, "Thread and needles in one bag", _tools(kit)),
        *([text_block(canvas, frame, "Price of a kit", price)] if price else []),
        text_block(canvas, frame, "Labels", [labels_told(kit)]),
        text_block(canvas, frame, "Take care", [CAUTION]),
    ]


def _times(thread: BagThread) -> str:
    return f"{thread.copies} x {thread.piece}" if thread.copies > 1 else thread.piece


def _table(canvas: PdfCanvas, frame: Frame, kit: Kit) -> BeadTable:
    beads = kit.beads

    def draw_bead(number: int, x: float, y: float) -> None:
        row = beads[number].material
        canvas.strokes(plain_bead(row.size, parse_hex(row.colour.hex), x, y, BEAD_MM))

    known = {
        "on hand": any(row.on_hand is not None for row in kit.rows),
        "packs": any(row.packs is not None for row in kit.rows),
        "cost of packs": any(row.cost is not None for row in kit.rows),
        "cost a bag": kit.priced > 0,
    }
    columns = (*WORDS, "a bag", "grams a bag", "cost a bag", "all bags", "grams", *_BUYING)
    notes = [
        f"A bag has {spare_told(kit.spare)}, each colour up to a whole bead. To buy and packs: for all bags.",
    ]
    if kit.priced:
        notes.append("Cost of packs is what is to be paid; cost a bag is that of its beads, by weight.")
    return BeadTable(
        canvas,
        frame,
        [name for name in columns if known.get(name, True)],
        [_cells(one, kit.students) for one in beads],
        _total(kit),
        notes,
        draw_bead,
    )


def _cells(one: BagBeads, students: int) -> Cells:
    row = one.material
    in_bag = one.beads + one.spare
    buys = row.to_buy > 0
    return {
        "code": row.colour.code,
        "name": row.colour.name,
        "size": row.size.name,
        "a bag": f"{in_bag:,}",
        "grams a bag": grams_told(one.grams),
        "cost a bag": "" if one.cost is None else f"{one.cost:,.2f}",
        "all bags": f"{in_bag * students:,}",
        "grams": grams_told(row.grams),
        "on hand": "" if row.on_hand is None else f"{row.on_hand:,}",
        "to buy": f"{row.to_buy:,}" if buys else _NOTHING,
        "packs": _NOTHING if not buys else "" if row.packs is None else f"{row.packs:,}",
        "cost of packs": _NOTHING if not buys else "" if row.cost is None else f"{row.cost:,.2f}",
    }


def _total(kit: Kit) -> Cells:
    in_bag = sum(one.beads + one.spare for one in kit.beads)
    grams = sum(row.grams for row in kit.rows)
    return {
        "code": "All",
        "name": "",
        "size": "",
        "a bag": f"{in_bag:,}",
        "grams a bag": grams_told(grams / kit.students),
        "cost a bag": f"{kit.beads_cost:,.2f}",
        "all bags": f"{in_bag * kit.students:,}",
        "grams": grams_told(grams),
        "on hand": "",
        "to buy": f"{sum(row.to_buy for row in kit.rows):,}",
        "packs": f"{sum(row.packs or 0 for row in kit.rows):,}",
        "cost of packs": f"{total_cost(row.cost for row in kit.rows) or 0:,.2f}",
    }


def _tools(kit: Kit) -> list[str]:
    told = [thread_told(thread, named=len(kit.threads) > 1) for thread in kit.threads]
    metres = kit.thread_mm / 1000
    needles = " and ".join(f"{needle:g} mm" for needle in kit.needles)
    each = " of each" * (len(kit.needles) > 1)
    told.append(f"{NEEDLES} needles{each} {needles} thick, since they bend; counted out and counted back.")
    count = NEEDLES * len(kit.needles) * kit.students
    finished = [(thread, thread.finish) for thread in kit.threads if thread.finish is not None]
    told += [f"To finish each {thread.piece}: {needed(finish)}." for thread, finish in finished]
    told.append(f"For all bags: {metres * kit.students:.1f} m of thread and {count:,} needles.")
    return told


def thread_told(thread: BagThread, *, named: bool) -> str:
    """Say what thread one person needs for a piece, which is named if there are several."""
    pieces = f"for {_times(thread)}: " if named else ""
    threads = f"{thread.threads} working thread{'s' * (thread.threads > 1)}"
    return (
        f"Thread {thread.thread_mm:g} mm thick, {pieces}{thread.length_mm / 1000:.1f} m, in {threads} of up"
        f" to {thread.longest_mm / 1000:.1f} m, two tails of {TAIL_MM / 10:g} cm each counted in."
    )


def _price(kit: Kit) -> list[str]:
    """Return how the price comes about, or nothing where no price is known."""
    if kit.price is None:
        return []
    total = kit.beads_cost + kit.labour
    words = f"Beads {money(kit.beads_cost, kit.costs_in)}"
    if kit.labour:
        words += f" + labour {money(kit.labour, kit.costs_in)} = {money(total, kit.costs_in)}"
    if kit.margin:
        words += (
            f"; of the price {kit.margin * 100:.3g}% is to remain with you, so that it is"
            f" {money(total, '')} / {1 - kit.margin:.4g} = {money(kit.price, kit.costs_in)}"
        )
    told = [f"{words}."]
    told.append(
        "Beads are reckoned by the weight that goes into the bag, those to spare counted in, not by packs."
        " Thread, needles, fittings and bags are not in it: count them into --labour."
    )
    if kit.priced < len(kit.rows):
        told.append(f"{len(kit.rows) - kit.priced} of {len(kit.rows)} rows have no price and are not in it.")
    return told
