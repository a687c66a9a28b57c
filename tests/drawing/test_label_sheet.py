"""Labels, read by PDFium, which shares no code with the writer."""

from dataclasses import replace

import pypdfium2 as pdfium
import pytest

from convert.drawing.label_sheet import labels_told, write_labels
from convert.piece.kit import kit_of
from convert.units import A4, LETTER
from tests.piece.test_kit import flower

POINT_MM = 25.4 / 72
# Width and height of a label, and of what is bare beside and above all of them. A4 is 210 x 297 mm (ISO 216),
# Letter 8.5 x 11 inches (ANSI/ASME Y14.1).
GRID = {A4: (70.0, 37.0, 0.0, 0.5), LETTER: (70.0, 34.0, 2.95, 3.7)}


def kit(students=5):
    return kit_of(*flower(students=students))


def words_mm(page):
    """Each line of text with its box in mm from the page's left and top."""
    text = page.get_textpage()
    height = page.get_height()
    found = []
    for number in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(number)
        box = (left * POINT_MM, (height - top) * POINT_MM, right * POINT_MM, (height - bottom) * POINT_MM)
        found.append((text.get_text_bounded(left, bottom, right, top), box))
    return found


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_labels_lie_on_the_grid_of_24(paper):
    document = pdfium.PdfDocument(write_labels(kit(20), paper))
    assert len(document) == 3
    assert document[0].get_width() * POINT_MM == pytest.approx(paper.width_mm, abs=0.02)
    assert document[0].get_height() * POINT_MM == pytest.approx(paper.height_mm, abs=0.02)
    wide, high, beside, above = GRID[paper]
    cells = set()
    for words, (left, top, right, bottom) in words_mm(document[1]):
        column, row = int((left - beside) // wide), int((top - above) // high)
        cells.add((row, column))
        # Nothing comes nearer to the edge of its label than printers leave bare.
        assert beside + column * wide + 4.2 <= left, words
        assert right <= beside + (column + 1) * wide - 4.2, words
        assert above + row * high + 3 <= top, words
        assert bottom <= above + (row + 1) * high - 3, words
    assert cells == {(row, column) for row in range(8) for column in range(3)}


def test_each_bag_and_each_colour_of_each_bag_has_a_label():
    text = "".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(write_labels(kit())))
    assert text.count("For:") == 5
    assert text.replace("\r\n", " ").count("not for children under three") == 5
    assert text.count("51 of 11/0") == text.count("46 to weave in, 5 to spare") == 5
    assert text.count("16 of 11/0") == text.count("reed") == 5
    assert text.count("Lily") == 15
    assert "15 labels on 1 sheet of 24" in labels_told(kit())


def test_a_swatch_has_the_colour_of_the_bead():
    page = pdfium.PdfDocument(write_labels(kit()))[0]
    shown = page.render(scale=2).to_numpy()[..., ::-1]
    # The eleventh label is the first of reed green: row 3, column 1.
    y, x = ((0.5 + 37 * 3.5) / POINT_MM * 2, (70 + 6 + 7.5) / POINT_MM * 2)
    assert shown[int(y), int(x)].tolist() == [0x3E, 0x6B, 0x2F]


def test_a_large_class_prints_the_labels_of_one_bag():
    pattern, report = flower(students=1_000)
    many = replace(kit_of(pattern, report), rows=kit_of(pattern, report).rows * 3)
    assert len(pdfium.PdfDocument(write_labels(many))) == 1
    assert "print it 1,000 times" in labels_told(many)


def test_the_same_kit_gives_the_same_bytes():
    assert write_labels(kit()) == write_labels(kit())
