"""The page of the booklet that says how the piece is finished."""

from functools import partial

from convert.drawing.finishing_pictures import captioned_finish
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_guide import GAP_MM, picture_row, text_block
from convert.drawing.piece import Piece
from convert.instructions.finishing import finishing_remarks, finishing_title, needed
from convert.instructions.order import OrderOfWork
from convert.piece.finishing import Finish, finishing

_COLUMNS = 2
_PICTURE_MM = 60.0


def finishing_pages(canvas: PdfCanvas, frame: Frame, order: OrderOfWork, piece: Piece) -> list[Page]:
    """Return the page that says how the piece is finished; none where nothing is sewn to it.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    frame : Frame
        Margins.
    order, piece : OrderOfWork, Piece
        The work, and how its piece is drawn.
    """
    finish = finishing(order.pattern)
    if finish is None:
        return []
    return [Page(partial(_draw, canvas, frame, order, piece, finish), finishing_title(finish))]


def _draw(canvas: PdfCanvas, frame: Frame, order: OrderOfWork, piece: Piece, finish: Finish) -> None:
    y = frame.heading(canvas, finishing_title(finish)) + GAP_MM / 2
    told = [f"You need {needed(finish)} for each piece.", *finishing_remarks(finish, order.names)]
    height, draw = text_block(canvas, frame, "Before you begin", told)
    draw(y)
    y += height
    width = (frame.width_mm - (_COLUMNS - 1) * GAP_MM) / _COLUMNS
    steps = captioned_finish(order, piece, width, _PICTURE_MM)
    for at in range(0, len(steps), _COLUMNS):
        height, draw = picture_row(canvas, frame, steps[at : at + _COLUMNS], width, _PICTURE_MM)
        draw(y)
        y += height
