"""The teacher's pages of the booklet: hours by row, and where a class usually needs help."""

from collections.abc import Iterator, Sequence
from functools import partial

from convert.drawing import style
from convert.drawing.labels import label, line_mm, shortened
from convert.drawing.marks import line
from convert.drawing.pdf_blocks import Block, flowing_pages, heading_block, text_block, title_block
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.instructions.lesson import Stage, hard_places, stages
from convert.instructions.order import OrderOfWork

_ROW_MM = 4.8
# Where each column ends, from the left edge; the first begins there.
_COLUMNS = {"": 0.0, "stitches": 82.0, "to loop": 102.0, "beads": 122.0, "time": 146.0, "in all": 170.0}
_HEADING = "For the teacher"


def teacher_pages(canvas: PdfCanvas, frame: Frame, order: OrderOfWork, beads_per_hour: float) -> list[Page]:
    """Return the pages.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    order : OrderOfWork
        The work.
    beads_per_hour : float
        How quickly the class weaves.
    """
    return flowing_pages(_blocks(canvas, frame, order, beads_per_hour), frame, _HEADING)


def _blocks(canvas: PdfCanvas, frame: Frame, order: OrderOfWork, pace: float) -> Iterator[Block]:
    yield title_block(canvas, frame, _HEADING)
    places = [*hard_places(order), "All of this is common practice, without a source."]
    yield text_block(canvas, frame, "Where a class usually needs help", places)
    told = stages(order, pace)
    beads = sum(stage.beads for stage in told)
    copies = order.pattern.copies
    each = f" That is one of the {copies} pieces; all take {hours_told(beads * copies / pace)}." * (
        copies > 1
    )
    yield text_block(
        canvas,
        frame,
        "Hours",
        [
            f"At {pace:g} beads an hour the {beads:,} beads of the piece take {hours_told(beads / pace)},"
            f" without breaks and finishing.{each} A first piece takes about twice as long (common practice,"
            " no source): let the class weave for ten minutes, count the beads, and give six times as many"
            " with --beads-per-hour. A line below is a row, or rows that are begun together, cut where they"
            " take longer than an hour."
        ],
    )
    yield heading_block(canvas, frame, f"Hours by {order.names.line}")
    yield from _table(canvas, frame, told, pace)


def _table(canvas: PdfCanvas, frame: Frame, told: Sequence[Stage], pace: float) -> Iterator[Block]:
    def row(cells: Sequence[str], kind: style.Type, y: float) -> None:
        base = y + 0.72 * _ROW_MM
        room = _COLUMNS["stitches"] - 16.0
        canvas.text(shortened(cells[0], kind.size_pt, room), frame.left_mm, base, kind)
        ends = list(_COLUMNS.values())[1:]
        canvas.labels(
            label(words, frame.left_mm + end, base, kind, anchor="end")
            for words, end in zip(cells[1:], ends, strict=True)
        )
        under = y + _ROW_MM
        rule = (frame.left_mm, under), (frame.left_mm + ends[-1], under)
        canvas.strokes([line(*rule, style.FINE_MM, style.HAIR, "legend")])

    head = Block(line_mm(style.SMALL) + 1.6, partial(row, list(_COLUMNS), style.SMALL))
    yield head
    done = 0
    for stage in told:
        done += stage.beads
        stitches = (
            f"{stage.first:,}\N{EN DASH}{stage.last:,}" if stage.last > stage.first else f"{stage.first:,}"
        )
        cells = [
            stage.heading,
            stitches,
            stage.loop,
            f"{stage.beads:,}",
            hours_told(stage.beads / pace),
            hours_told(done / pace),
        ]
        yield Block(_ROW_MM, partial(row, cells, style.BODY), head)


def hours_told(hours: float) -> str:
    """Return a time in hours and minutes, whole minutes."""
    minutes = max(1, round(hours * 60))
    whole, rest = divmod(minutes, 60)
    return f"{whole:,} h {rest:02} min" if whole else f"{rest} min"
