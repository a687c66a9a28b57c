"""The first pages of the booklet: the piece as it will look, what to get ready, and cautions."""

from convert.drawing import style
from convert.drawing.labels import line_mm, shortened
from convert.drawing.marks import KeyBead
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_beads import PdfBeads
from convert.drawing.pdf_blocks import Block, flowing_pages, heading_block, name_lines, text_block
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_materials import BEAD_MM, MaterialsTable
from convert.drawing.piece import Outline, Piece
from convert.instructions.finishing import needed
from convert.instructions.introduction import cautions
from convert.piece.finishing import finishing
from convert.piece.materials import Material, finished_size, materials
from convert.piece.pattern import Pattern
from convert.thread.steps import TAIL_MM
from convert.thread.verifier import ThreadReport

_PICTURE_MOST_MM = 92.0
_PICTURE_MOST_SCALE = 3.0
_FOR_STUDENT = ": tick what you have found"


class Cover:
    """The cover and the pages it flows on to.

    Parameters
    ----------
    canvas : PdfCanvas
        The file.
    beads : PdfBeads
        Draws the beads.
    frame : Frame
        Margins.
    pattern, piece, report : Pattern, Piece, ThreadReport
        The piece, how it is drawn, and the proof of its thread path.
    buying : bool
        Whether the list of beads says what is on hand and what to buy.
    student : bool
        Whether it is for a student: with lines for name and date, and boxes to tick.
    """

    def __init__(
        self,
        canvas: PdfCanvas,
        beads: PdfBeads,
        frame: Frame,
        pattern: Pattern,
        piece: Piece,
        report: ThreadReport,
        *,
        buying: bool = True,
        student: bool = False,
    ) -> None:
        self._canvas, self._beads, self._frame = canvas, beads, frame
        self._pattern, self._piece, self._report = pattern, piece, report
        self._buying, self._student = buying, student

    def pages(self) -> list[Page]:
        """Return the pages."""
        return flowing_pages(self._blocks(), self._frame, "Cover and materials")

    def _blocks(self) -> list[Block]:
        canvas, frame = self._canvas, self._frame
        table = self._table()
        caution, _, *told = cautions(self._report)
        # What to take care of stands on the cover, however long the list of beads is.
        blocks = [self._title()]
        if self._student:
            blocks.append(name_lines(canvas, frame))
        heading = f"In your bag{_FOR_STUDENT}" if self._student else "Beads" + table.costs_in
        return [
            *blocks,
            self._picture(),
            text_block(canvas, frame, caution, [" ".join(line.strip() for line in told)]),
            text_block(canvas, frame, "Thread and tools", self._tools(), boxes=self._student),
            heading_block(canvas, frame, heading),
            *table.blocks(),
        ]

    def _table(self) -> MaterialsTable:
        numbers = dict(enumerate(self._piece.colour_of_entry.tolist()))

        def draw_bead(row: Material, x: float, y: float) -> None:
            outline = Outline(row.size, 90.0, row.size.length_mm)
            scale = BEAD_MM / row.size.longer_mm
            self._beads.draw_single(KeyBead(outline, numbers[row.entry], x, y, scale))

        pattern = self._pattern
        return MaterialsTable(
            self._canvas,
            self._frame,
            materials(pattern),
            pattern.costs_in,
            pattern.spare,
            draw_bead,
            buying=self._buying,
            boxes=self._student,
        )

    def _title(self) -> Block:
        frame, canvas = self._frame, self._canvas
        told = [f"Finished size {finished_size(self._pattern)}", _counts(self._pattern, self._piece)]
        if self._pattern.imprint.line:
            told.append(self._pattern.imprint.line)
        facts = [part for line in told for part in broken(line, style.FACTS.size_pt, frame.width_mm)]

        def draw(y: float) -> None:
            y += 0.75 * line_mm(style.TITLE)
            title = shortened(self._pattern.title, style.TITLE.size_pt, frame.width_mm)
            canvas.text(title, frame.left_mm, y, style.TITLE, strong=True)
            for fact in facts:
                y += line_mm(style.FACTS) * 1.1
                canvas.text(fact, frame.left_mm, y, style.FACTS)

        return Block(line_mm(style.TITLE) + 1.1 * len(facts) * line_mm(style.FACTS) + 3.0, draw)

    def _picture(self) -> Block:
        left, top, right, bottom = self._piece.extent_mm
        scale = min(
            self._frame.width_mm / (right - left), _PICTURE_MOST_MM / (bottom - top), _PICTURE_MOST_SCALE
        )
        x = (self._frame.left_mm + self._frame.right_mm - (left + right) * scale) / 2

        def draw(y: float) -> None:
            self._beads.draw(scale, (x, y + 2.0 - top * scale), symbols=False)

        return Block((bottom - top) * scale + style.BLOCK_MM, draw)

    def _tools(self) -> list[str]:
        supplies, report, copies = self._pattern.supplies, self._report, self._pattern.pieces
        threads = report.threads * copies
        finish = finishing(self._pattern)
        return [
            f"Thread {supplies.thread_mm:g} mm thick: {report.length_mm * copies / 1000:.1f} m, in"
            f" {threads} working thread{'s' * (threads > 1)} of up to"
            f" {report.longest_thread_mm / 1000:.1f} m, two tails of {TAIL_MM / 10:g} cm each counted in.",
            *([] if finish is None else [f"To finish each piece: {needed(finish)}."]),
            f"Two needles {supplies.needle_mm:g} mm thick, since they bend. Sharp scissors. A cloth on which"
            " beads do not roll, and a lamp.",
        ]


def _counts(pattern: Pattern, piece: Piece) -> str:
    sizes = " and ".join(dict.fromkeys(size.name for size in pattern.weave.sizes))
    words = [f"{len(piece.bead_xy):,} beads of {sizes}", f"{pattern.weave.loops:,} loops"]
    words.append("1 colour" if len(piece.colours) == 1 else f"{len(piece.colours)} colours")
    if pattern.pieces > 1:
        each = f", each of {pattern.students} students" if pattern.students else ""
        pairs = f" and {pattern.made_alike} of the mirror image" if pattern.mirror_pair else ""
        made = f"make {pattern.made_alike}{pairs}{each}"
        words.append(f"{made}; the beads and thread below are for all of them")
    return " · ".join(words)
