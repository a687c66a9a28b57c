"""The booklet: cover, materials, chart in parts, the piece at true size, and the stitch order, to print."""

from collections.abc import Iterable

from convert.drawing.pdf_beads import PdfBeads
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_chart import ChartPages
from convert.drawing.pdf_cover import Cover
from convert.drawing.pdf_finishing import finishing_pages
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_guide import guide_pages
from convert.drawing.pdf_kit import kit_pages
from convert.drawing.pdf_order import order_pages
from convert.drawing.pdf_practice import practice_pages
from convert.drawing.pdf_teacher import teacher_pages
from convert.drawing.piece import Piece, draw_piece
from convert.drawing.told import PROGRAM, xmp
from convert.instructions.order import OrderOfWork
from convert.instructions.short import told_in
from convert.piece.edition import STUDENT, TEACHER
from convert.piece.kit import Kit
from convert.settings.output import BookletSettings
from convert.thread.verifier import ThreadReport
from convert.units import PAPERS

_PLAIN = BookletSettings()
SUBJECT = "Chart, materials and stitch order"


def write_pdf(
    order: OrderOfWork,
    report: ThreadReport,
    booklet: BookletSettings = _PLAIN,
    *,
    kit: Kit | None = None,
    buying: bool = True,
) -> bytes:
    """Return the booklet of a piece as a PDF file.

    Parameters
    ----------
    order : OrderOfWork
        The work, with its piece.
    report : ThreadReport
        The proof of its thread path.
    booklet : BookletSettings
        For whom it is and how it is printed.
    kit : Kit, optional
        Kits to tell of.
    buying : bool
        Whether the list of beads says what is on hand and what to buy.
    """
    paper = PAPERS[booklet.paper]
    pattern, frame = order.pattern, Frame(paper)
    author = pattern.imprint.maker or PROGRAM
    canvas = PdfCanvas(paper, pattern.title, SUBJECT, author, xmp(pattern))
    piece = draw_piece(pattern)
    beads = PdfBeads(canvas, piece, booklet.ink)
    pages = booklet_pages(canvas, frame, beads, piece, order, report, booklet, kit=kit, buying=buying)
    foot = " · ".join(part for part in (pattern.title, pattern.imprint.line) if part)
    put_pages(canvas, frame, ((page, foot) for page in pages), len(pages))
    return canvas.finish()


def booklet_pages(
    canvas: PdfCanvas,
    frame: Frame,
    beads: PdfBeads,
    piece: Piece,
    order: OrderOfWork,
    report: ThreadReport,
    booklet: BookletSettings,
    *,
    kit: Kit | None = None,
    buying: bool = True,
    before: int = 0,
) -> list[Page]:
    """Return the pages of a piece.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    beads, piece : PdfBeads, Piece
        How the piece is drawn.
    order, report, booklet, kit, buying
        As of `write_pdf`.
    before : int
        Pages that stand before these.
    """
    pattern, student = order.pattern, booklet.edition == STUDENT
    chart = ChartPages(canvas, beads, frame, pattern, piece)
    pages = Cover(canvas, beads, frame, pattern, piece, report, buying=buying, student=student).pages()
    if kit is not None:
        pages += kit_pages(canvas, frame, kit)
    if booklet.edition == TEACHER:
        pages += teacher_pages(canvas, frame, order, booklet.beads_per_hour)
    spare = booklet.ink == "spare"
    pages += guide_pages(canvas, frame, order, piece, in_parts=chart.in_parts, spare=spare)
    pages += chart.working(before + len(pages) + 1)
    pages += chart.true_size(before + len(pages) + 1)
    pages += practice_pages(canvas, frame, order, booklet.words, spare=spare)
    pages += order_pages(canvas, frame, told_in(order, booklet.words), boxes=student)
    pages += finishing_pages(canvas, frame, order, piece)
    return pages


def put_pages(canvas: PdfCanvas, frame: Frame, pages: Iterable[tuple[Page, str]], count: int) -> None:
    """Draw pages, each with what stands at its foot, numbered out of so many."""
    for number, (page, title) in enumerate(pages, start=1):
        if page.bookmark:
            canvas.bookmark(page.bookmark, page.level)
        page.draw()
        frame.foot(canvas, title, number, count)
        canvas.end_page()
