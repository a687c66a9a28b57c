"""Labels for the bags of a class: 24 on a sheet, one for each bag and one for each colour in it.

On A4 they are 70 x 37 mm, three by eight, as sheets of 24 labels to peel off are cut (common practice, no
source); on Letter 70 x 34 mm.
"""

from collections.abc import Iterator, Sequence
from functools import partial

from convert.colour.srgb import parse_hex
from convert.drawing import style
from convert.drawing.labels import line_mm, shortened
from convert.drawing.marks import line, plain_bead
from convert.drawing.paragraphs import broken
from convert.drawing.pdf_canvas import PdfCanvas
from convert.drawing.style import Box, Type
from convert.piece.kit import NEEDLES, BagBeads, Kit
from convert.sentences import counted
from convert.units import A4, Paper

COLUMNS, ROWS = 3, 8
LABEL_MM = {"a4": (70.0, 37.0), "letter": (70.0, 34.0)}
"""Width and height of a label on each paper."""
MOST_LABELS = 4_800
"""More are not printed for all bags, but for one, as many times as there are bags to be printed again."""
_INSET_MM = 6.0  # what printers leave bare at the edge of a sheet
_CROSS_MM = 1.5
_SWATCH_MM = 15.0
_CODE, _NAME, _COUNT, _LITTLE = (
    Type(14.0, style.INK),
    Type(8.5, style.INK),
    Type(10.0, style.INK),
    Type(6.0, style.SOFT),
)
_CAUTION = (
    "Small parts, sharp needles: not for children under three. Wear glasses when a bead may break; work in"
    " good light, and rest hands and eyes."
)


def write_labels(kit: Kit, paper: Paper = A4) -> bytes:
    """Return the labels as a PDF file: of each bag one, then for each colour as many as there are bags.

    Parameters
    ----------
    kit : Kit
        The kits.
    paper : Paper
        Size of the sheets.
    """
    canvas = PdfCanvas(paper, f"{kit.title}: labels", "Labels for kits")
    labels = list(_labels(canvas, kit))
    on_sheet = COLUMNS * ROWS
    for start in range(0, len(labels), on_sheet):
        _cuts(canvas, paper)
        for place, draw in enumerate(labels[start : start + on_sheet]):
            draw(_place(paper, place))
        canvas.end_page()
    return canvas.finish()


def labels_told(kit: Kit) -> str:
    """Say what labels there are, and how often they are to be printed."""
    bags = _bags(kit)
    labels = (1 + len(kit.rows)) * bags
    sheets = -(-labels // (COLUMNS * ROWS))
    told = f"labels.pdf has {labels:,} labels on {counted(sheets, 'sheet')} of {COLUMNS * ROWS}"
    if bags == kit.students:
        return f"{told}: one for each bag, then one for each colour in each, colour by colour."
    return f"{told}, those of one bag: print it {kit.students:,} times."


def _bags(kit: Kit) -> int:
    """Return for how many bags labels are printed."""
    return kit.students if (1 + len(kit.rows)) * kit.students <= MOST_LABELS else 1


def _labels(canvas: PdfCanvas, kit: Kit) -> Iterator[partial[None]]:
    bags = _bags(kit)
    for _ in range(bags):
        yield partial(_bag, canvas, kit)
    for one in kit.beads:
        # Whoever packs counts out one colour for all bags, then the next.
        for _ in range(bags):
            yield partial(_colour, canvas, kit, one)


def _place(paper: Paper, place: int) -> Box:
    """Return left, top, right and bottom of a label."""
    wide, high = LABEL_MM[paper.name]
    row, column = divmod(place, COLUMNS)
    left = (paper.width_mm - COLUMNS * wide) / 2 + column * wide
    top = (paper.height_mm - ROWS * high) / 2 + row * high
    return left, top, left + wide, top + high


def _cuts(canvas: PdfCanvas, paper: Paper) -> None:
    """Draw small crosses where labels meet, to cut plain paper by."""
    for row in range(1, ROWS):
        for column in range(1, COLUMNS):
            x, y, _, _ = _place(paper, row * COLUMNS + column)
            ends = (
                ((x - _CROSS_MM, y), (x + _CROSS_MM, y)),
                ((x, y - _CROSS_MM), (x, y + _CROSS_MM)),
            )
            canvas.strokes(line(*two, style.FINE_MM, style.HAIR, "legend") for two in ends)


def _colour(canvas: PdfCanvas, kit: Kit, one: BagBeads, box: Box) -> None:
    left, top, right, bottom = box
    row = one.material
    x, middle = left + _INSET_MM, (top + bottom) / 2
    rgb = parse_hex(row.colour.hex)
    canvas.strokes(plain_bead(row.size, rgb, x + _SWATCH_MM / 2, middle, _SWATCH_MM))
    x += _SWATCH_MM + 3.5
    spare = f", {one.spare:,} to spare" if one.spare else ""
    told = [
        (row.colour.code, _CODE, True),
        (row.colour.name, _NAME, False),
        (f"{one.beads + one.spare:,} of {row.size.name}", _COUNT, True),
        (f"{one.beads:,} to weave in{spare}" if one.spare else "all to weave in", _LITTLE, False),
        (": ".join(filter(None, (kit.title, ", ".join(one.uses)))), _LITTLE, False),
    ]
    _lines(canvas, told, x, right - _INSET_MM, middle)


def _bag(canvas: PdfCanvas, kit: Kit, box: Box) -> None:
    left, top, right, bottom = box
    x, end = left + _INSET_MM, right - _INSET_MM
    beads = sum(one.beads + one.spare for one in kit.beads)
    metres = kit.thread_mm / 1000
    codes = len({one.material.colour.code for one in kit.beads})
    needles = NEEDLES * len(kit.needles)
    colours = f"{codes} colour{'s' * (codes > 1)}"
    told: list[tuple[str, Type, bool]] = [
        (kit.title, _COUNT, True),
        (f"{beads:,} beads in {colours}, {metres:.1f} m of thread, {needles} needles", _LITTLE, False),
        ("For:", _NAME, False),
        *((words, _LITTLE, False) for words in broken(_CAUTION, _LITTLE.size_pt, end - x)),
    ]
    y = _lines(canvas, told, x, end, (top + bottom) / 2)[2]
    ends = (x + 8.0, y + 0.6), (end, y + 0.6)
    canvas.strokes([line(*ends, style.FINE_MM, style.SOFT, "legend")])


def _lines(
    canvas: PdfCanvas, told: Sequence[tuple[str, Type, bool]], left: float, right: float, middle: float
) -> list[float]:
    """Draw lines about a height and return their base lines."""
    y = middle - sum(line_mm(kind) for _, kind, _ in told) / 2
    bases = []
    for words, kind, strong in told:
        step = line_mm(kind)
        bases.append(y + 0.75 * step)
        canvas.text(shortened(words, kind.size_pt, right - left), left, bases[-1], kind, strong=strong)
        y += step
    return bases
