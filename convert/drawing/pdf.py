"""The booklet: cover, materials, chart in parts, the piece at true size, and the stitch order, to print."""

from convert.drawing.pdf_beads import INKS, PdfBeads
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.pdf_chart import ChartPages
from convert.drawing.pdf_cover import Cover
from convert.drawing.pdf_finishing import finishing_pages
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_guide import guide_pages
from convert.drawing.pdf_order import order_pages
from convert.drawing.piece import draw_piece
from convert.drawing.told import PROGRAM, xmp
from convert.errors import OutputError
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import paragraphs
from convert.thread.verifier import ThreadReport
from convert.units import A4, Paper


def write_pdf(order: OrderOfWork, report: ThreadReport, paper: Paper = A4, ink: str = "colour") -> bytes:
    """Return the booklet of a piece as a PDF file.

    Parameters
    ----------
    order : OrderOfWork
        The work, with its piece.
    report : ThreadReport
        The proof of its thread path.
    paper : Paper
        Size of the pages.
    ink : str
        ``colour``, or ``spare`` for white beads with outline and symbol.

    Raises
    ------
    OutputError
        There is no such ink.
    """
    if ink not in INKS:
        raise OutputError(f"ink is {' or '.join(INKS)}, not '{ink}'")
    pattern = order.pattern
    piece = draw_piece(pattern)
    frame = Frame(paper)
    author = pattern.imprint.maker or PROGRAM
    canvas = PdfCanvas(paper, pattern.title, "Chart, materials and stitch order", author, xmp(pattern))
    beads = PdfBeads(canvas, piece, ink)
    chart = ChartPages(canvas, beads, frame, pattern, piece)
    pages = Cover(canvas, beads, frame, pattern, piece, report).pages()
    pages += guide_pages(canvas, frame, order, piece, in_parts=chart.in_parts, spare=ink == "spare")
    pages += chart.working(len(pages) + 1)
    pages += chart.true_size(len(pages) + 1)
    pages += order_pages(canvas, frame, paragraphs(order))
    pages += finishing_pages(canvas, frame, order, piece)
    foot = " · ".join(part for part in (pattern.title, pattern.imprint.line) if part)
    for number, page in enumerate(pages, start=1):
        if page.bookmark:
            canvas.bookmark(page.bookmark, page.level)
        page.draw()
        frame.foot(canvas, foot, number, len(pages))
        canvas.end_page()
    return canvas.finish()
