"""The booklet of a set: a cover for all pieces, kits, and then the booklet of each piece."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from convert.colour.srgb import parse_hex
from convert.drawing import style
from convert.drawing.labels import line_mm, shortened
from convert.drawing.marks import KeyBead, plain_bead
from convert.drawing.pdf import SUBJECT, booklet_pages, put_pages
from convert.drawing.pdf_beads import PdfBeads
from convert.drawing.pdf_blocks import Block, flowing_pages, heading_block, name_lines, text_block
from convert.drawing.pdf_canvas import Page, PdfCanvas
from convert.drawing.pdf_frame import SUBHEADING, Frame
from convert.drawing.pdf_kit import CAUTION, kit_pages, thread_told
from convert.drawing.pdf_materials import BEAD_MM, MaterialsTable
from convert.drawing.piece import Outline, Piece, draw_piece
from convert.drawing.told import PROGRAM, xmp
from convert.instructions.finishing import needed
from convert.instructions.order import OrderOfWork
from convert.piece.collection import Collection
from convert.piece.edition import STUDENT
from convert.piece.kit import Kit, bag_thread
from convert.piece.materials import Material, finished_size
from convert.settings.output import BookletSettings
from convert.units import PAPERS

_PICTURE_MM = (62.0, 34.0)
_PICTURE_MOST_SCALE = 3.0
_WORDS_MM, _GAP_MM = 24.0, 4.0
# With more pieces the table of beads has no room for a column each; the list in the folder has them.
_MOST_COLUMNS = 5


@dataclass(frozen=True, eq=False, slots=True)
class _Volume:
    """One piece of the set as the booklet draws it."""

    order: OrderOfWork
    piece: Piece
    beads: PdfBeads


def write_set_pdf(
    collection: Collection, orders: Sequence[OrderOfWork], booklet: BookletSettings, kit: Kit | None = None
) -> bytes:
    """Return the booklet of a set as a PDF file.

    Parameters
    ----------
    collection : Collection
        The set, as it is for those whom the booklet is for.
    orders : sequence of OrderOfWork
        The work of each piece.
    booklet : BookletSettings
        For whom it is and how it is printed.
    kit : Kit, optional
        Kits to tell of.
    """
    paper = PAPERS[booklet.paper]
    # What is told of the maker is what the first piece says: pieces of one set are one maker's.
    about = replace(collection.patterns[0], title=collection.title)
    author = about.imprint.maker or PROGRAM
    canvas, frame = PdfCanvas(paper, collection.title, SUBJECT, author, xmp(about)), Frame(paper)
    volumes = []
    for order in orders:
        piece = draw_piece(order.pattern)
        volumes.append(_Volume(order, piece, PdfBeads(canvas, piece, booklet.ink)))
    starts: list[int] = []
    blocks = _Cover(canvas, frame, collection, volumes, starts, student=booklet.edition == STUDENT).blocks()
    pages = [(page, collection.title) for page in flowing_pages(blocks, frame, "Cover of the set")]
    if kit is not None:
        pages += [(page, collection.title) for page in kit_pages(canvas, frame, kit)]
    for volume, report, name in zip(volumes, collection.reports, collection.names, strict=True):
        starts.append(len(pages) + 1)
        own = booklet_pages(
            canvas,
            frame,
            volume.beads,
            volume.piece,
            volume.order,
            report,
            booklet,
            buying=False,
            before=len(pages),
        )
        foot = _joined(f"{collection.title}: {name}", volume.order.pattern.imprint.line)
        pages += [(_below(page, name, number), foot) for number, page in enumerate(own)]
    put_pages(canvas, frame, pages, len(pages))
    return canvas.finish()


def _joined(*parts: str) -> str:
    return " · ".join(filter(None, parts))


def _below(page: Page, name: str, number: int) -> Page:
    """Return a page of a piece in the list of contents of the set, below the entry of the piece."""
    if number == 0:
        return Page(page.draw, name, 0)
    return Page(page.draw, page.bookmark, page.level + 1)


class _Cover:
    """The cover of the set, and the pages it flows on to."""

    def __init__(
        self,
        canvas: PdfCanvas,
        frame: Frame,
        collection: Collection,
        volumes: Sequence[_Volume],
        starts: Sequence[int],
        *,
        student: bool,
    ) -> None:
        self._canvas, self._frame, self._collection = canvas, frame, collection
        self._volumes, self._student = volumes, student
        # Known only when all pages are, and read when they are drawn.
        self._starts = starts

    def blocks(self) -> list[Block]:
        """Return what the cover has on it."""
        canvas, frame = self._canvas, self._frame
        table = self._table()
        heading = "In your bag: tick what you have found" if self._student else f"Beads{table.costs_in}"
        return [
            self._title(),
            *([name_lines(canvas, frame)] if self._student else []),
            *(Block(self._height_mm(at), partial(self._piece, at)) for at in range(len(self._volumes))),
            text_block(canvas, frame, "Take care", [CAUTION]),
            text_block(canvas, frame, "Thread and tools", self._tools(), boxes=self._student),
            heading_block(canvas, frame, heading),
            *table.blocks(),
        ]

    def _title(self) -> Block:
        frame, collection = self._frame, self._collection
        beads = sum(row.beads for row in collection.rows)
        facts = f"{len(collection.names)} pieces · {beads:,} beads · {collection.colours} colours"
        if collection.students:
            facts += f" · for {collection.students:,} students; beads and thread below are for all of them"
        lines = [facts, *filter(None, (collection.patterns[0].imprint.line,))]

        def draw(y: float) -> None:
            y += 0.75 * line_mm(style.TITLE)
            title = shortened(collection.title, style.TITLE.size_pt, frame.width_mm)
            self._canvas.text(title, frame.left_mm, y, style.TITLE, strong=True)
            for line in lines:
                y += 1.1 * line_mm(style.FACTS)
                words = shortened(line, style.FACTS.size_pt, frame.width_mm)
                self._canvas.text(words, frame.left_mm, y, style.FACTS)

        return Block(line_mm(style.TITLE) + 1.1 * len(lines) * line_mm(style.FACTS) + 4.0, draw)

    def _scale(self, at: int) -> float:
        """Return how large the picture of a piece is."""
        left, top, right, bottom = self._volumes[at].piece.extent_mm
        return min(_PICTURE_MM[0] / (right - left), _PICTURE_MM[1] / (bottom - top), _PICTURE_MOST_SCALE)

    def _height_mm(self, at: int) -> float:
        """Return the room that a piece takes, with its words."""
        _, top, _, bottom = self._volumes[at].piece.extent_mm
        return max((bottom - top) * self._scale(at), _WORDS_MM) + _GAP_MM

    def _piece(self, at: int, y: float) -> None:
        """Draw a piece beside what it is."""
        canvas, frame, volume = self._canvas, self._frame, self._volumes[at]
        pattern = volume.order.pattern
        left, top, right, bottom = volume.piece.extent_mm
        scale = self._scale(at)
        x = frame.left_mm + (_PICTURE_MM[0] - (left + right) * scale) / 2
        middle = y + (self._height_mm(at) - _GAP_MM) / 2
        volume.beads.draw(scale, (x, middle - (top + bottom) / 2 * scale), symbols=False)
        sizes = " and ".join(dict.fromkeys(size.name for size in pattern.weave.sizes))
        each = f", each of {pattern.students} students" if pattern.students else ""
        colours = f"{pattern.colours} colour{'s' * (pattern.colours > 1)}"
        told = [
            f"{finished_size(pattern)}",
            f"{len(pattern.bead_colour):,} beads of {sizes} · {colours}",
            f"make {pattern.copies}{each}" if pattern.pieces > 1 else "",
            f"page {self._starts[at]}",
        ]
        x = frame.left_mm + _PICTURE_MM[0] + 2 * _GAP_MM
        base = middle - line_mm(style.FACTS) * 1.2
        room = frame.right_mm - x
        name = shortened(self._collection.names[at], SUBHEADING.size_pt * 1.2, room)
        canvas.text(name, x, base, SUBHEADING._replace(size_pt=SUBHEADING.size_pt * 1.2), strong=True)
        for words in filter(None, told):
            base += line_mm(style.FACTS)
            canvas.text(shortened(words, style.FACTS.size_pt, room), x, base, style.FACTS)

    def _tools(self) -> list[str]:
        collection = self._collection
        pieces = zip(collection.patterns, collection.reports, collection.names, strict=True)
        threads = [bag_thread(pattern, report, name) for pattern, report, name in pieces]
        needles = " and ".join(f"{needle:g} mm" for needle in sorted({one.needle_mm for one in threads}))
        metres = sum(one.length_mm + one.finish_mm for one in threads) * collection.bags / 1000
        each = " for each student" * (collection.students > 0)
        return [
            *(thread_told(one, named=True) for one in threads),
            *(f"To finish each {one.piece}: {needed(one.finish)}." for one in threads if one.finish),
            *([f"For all {collection.students:,} students {metres:.1f} m."] if collection.students else []),
            f"Two needles {needles} thick{each}, since they bend. Sharp scissors. A cloth on which beads do"
            " not roll, and a lamp.",
        ]

    def _table(self) -> MaterialsTable:
        collection = self._collection

        def draw_bead(row: Material, x: float, y: float) -> None:
            outline = Outline(row.size, 90.0, row.size.length_mm)
            for volume in self._volumes:
                codes = [colour.bead.code for colour in volume.piece.colours]
                if collection.patterns[0].symbols and row.colour.code in codes:
                    number, scale = codes.index(row.colour.code), BEAD_MM / row.size.longer_mm
                    volume.beads.draw_single(KeyBead(outline, number, x, y, scale))
                    return
            self._canvas.strokes(plain_bead(row.size, parse_hex(row.colour.hex), x, y, BEAD_MM))

        few = len(collection.names) <= _MOST_COLUMNS
        return MaterialsTable(
            self._canvas,
            self._frame,
            collection.rows,
            collection.costs_in,
            collection.spare,
            draw_bead,
            by_piece=collection.by_piece if few else None,
            buying=not self._student,
            boxes=self._student,
        )
