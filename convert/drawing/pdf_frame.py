"""What the pages of the booklet share: its margins and columns, its headings and its feet."""

from convert.drawing import style
from convert.drawing.labels import line_mm, shortened, text_width_mm
from convert.drawing.marks import line, scale_bar
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.style import Type
from convert.units import Paper

HEADING = Type(13.0, style.INK)
SUBHEADING = Type(9.0, style.INK)
COLUMN_GAP_MM = 5.5
BAR_MM = 100.0
_FOOT_MM = 8.5
_BAR_WORDS = "100 mm: print at 100% (actual size), so that this bar measures 100 mm"


class Frame:
    """Where things stand on a page.

    Parameters
    ----------
    paper : Paper
        Size of the pages.
    """

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.left_mm = self.top_mm = style.MARGIN_MM
        self.right_mm = paper.width_mm - style.MARGIN_MM
        self.width_mm = self.right_mm - self.left_mm
        self.bottom_mm = paper.height_mm - style.MARGIN_MM - 3.0
        self.bar_mm = self.bottom_mm - 2.5
        """Where the bar of 100 mm lies on the pages of the chart."""

    @property
    def column_mm(self) -> float:
        """Width of each of two columns."""
        return (self.width_mm - COLUMN_GAP_MM) / 2

    def heading(self, canvas: PdfCanvas, words: str, y_mm: float | None = None) -> float:
        """Draw a page's heading and return where what follows it begins."""
        y = (self.top_mm if y_mm is None else y_mm) + 0.75 * line_mm(HEADING)
        canvas.text(shortened(words, HEADING.size_pt, self.width_mm), self.left_mm, y, HEADING, strong=True)
        return y + 0.5 * line_mm(HEADING)

    def foot(self, canvas: PdfCanvas, title: str, number: int, pages: int) -> None:
        """Draw what stands below every page: the title and the number of the page."""
        y = self.paper.height_mm - _FOOT_MM
        place = f"{number} of {pages}"
        room = self.width_mm - text_width_mm(place, style.SMALL.size_pt) - style.BLOCK_MM
        canvas.text(shortened(title, style.SMALL.size_pt, room), self.left_mm, y, style.SMALL)
        canvas.text(place, self.right_mm, y, style.SMALL, anchor="end")

    def bar(self, canvas: PdfCanvas) -> None:
        """Draw the bar of 100 mm with its words."""
        canvas.strokes(scale_bar(self.left_mm, self.bar_mm, BAR_MM, "legend"))
        x = self.left_mm + BAR_MM + 2.5
        words = shortened(_BAR_WORDS, style.ROW.size_pt, self.right_mm - x)
        canvas.text(words, x, self.bar_mm + 0.8, style.ROW)

    def upright_bar(self, canvas: PdfCanvas, top_mm: float) -> None:
        """Draw a bar of 100 mm down the left edge of the page."""
        x, tick = self.left_mm - 4.5, 1.1
        ends = top_mm, top_mm + BAR_MM
        canvas.strokes([line((x, ends[0]), (x, ends[1]), style.STRONG_MM, style.INK, "legend")])
        canvas.strokes(line((x - tick, y), (x + tick, y), style.STRONG_MM, style.INK, "legend") for y in ends)
        canvas.upright_text("100 mm", x - 1.2, top_mm + BAR_MM / 2, style.ROW)
