"""Kits and editions in the booklet, read by PDFium."""

import pypdfium2 as pdfium
import pytest

from convert.drawing.pdf import write_pdf
from convert.drawing.pdf_teacher import hours_told
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import Kind, paragraphs
from convert.piece.kit import kit_of
from convert.settings.output import BookletSettings
from convert.thread.verifier import verify
from tests.instructions.pieces import piece
from tests.piece.test_kit import flower


def texts(pattern, report, kit=None, **booklet):
    data = write_pdf(OrderOfWork(pattern), report, BookletSettings(**booklet), kit=kit)
    return [page.get_textpage().get_text_range().replace("\r\n", " ") for page in pdfium.PdfDocument(data)]


def page_with(pages, words):
    (found,) = [page for page in pages if words in page]
    return found


def test_the_page_of_kits():
    pattern, report = flower()
    kit = kit_of(pattern, report, labour=4.19, margin=0.3)
    page = page_with(texts(pattern, report, kit), "Kits for 5 students")
    assert "2 x Lily." in page
    assert "WH white 11/0 51 1.0 1.53 255 5.1 300" in page
    assert "Beads 2.81 + labour 4.19 = 7.00" in page
    assert "30% is to remain with you, so that it is 7.00 / 0.7 = 10.00" in page
    assert f"{2 * report.length_mm / 1000:.1f} m, in 2 working threads" in page
    assert "2 needles 0.38 mm thick" in page
    assert "children under three" in page
    assert page_with(texts(pattern, report, kit), "make 2, each of 5 students")


def test_the_plain_edition_has_neither_kits_nor_lesson_nor_boxes():
    pages = texts(*flower(students=0))
    assert not any(
        words in page for page in pages for words in ("Kits for", "For the teacher", "Name", "tick")
    )


def test_the_students_edition_has_boxes_and_lines():
    pattern, report = flower(students=0)
    student, plain = (texts(pattern, report, edition=edition) for edition in ("student", None))
    assert "Name" in student[0]
    assert "Date" in student[0]
    assert "tick what you have found" in student[0]
    assert len(student) == len(plain)


@pytest.mark.parametrize("edition", ["student", None])
def test_each_row_of_the_bag_and_each_stitch_has_a_box(edition):
    """A box is a square path of lines without fill; PDFium counts the paths."""
    pattern, report = flower(students=0)
    data = write_pdf(OrderOfWork(pattern), report, BookletSettings(edition=edition))
    document = pdfium.PdfDocument(data)

    def squares(page):
        boxes = [one.get_bounds() for one in page.get_objects(filter=[2])]
        sides = [(right - left, top - bottom) for left, bottom, right, top in boxes]
        return sum(abs(wide - high) < 0.05 and 4 < wide < 10 for wide, high in sides)

    boxed = edition == "student"
    # Two rows of beads, thread, tools.
    assert squares(document[0]) == 4 * boxed
    told = [one.kind for one in paragraphs(OrderOfWork(pattern))]
    work = told.count(Kind.STITCH) + told.count(Kind.REPEAT)
    assert work >= 2
    # A box before each row or round in every edition.
    rows = told.count(Kind.HEADING)
    assert rows >= 1
    assert squares(document[len(document) - 1]) == work * boxed + rows


def test_the_teachers_edition_tells_hours_and_hard_places():
    pattern = piece([[True] * 30] * 12)
    report = verify(pattern.weave, pattern.thread, pattern.supplies)
    pages = texts(pattern, report, edition="teacher", beads_per_hour=50)
    page = page_with(pages, "For the teacher")
    beads = pattern.weave.beads
    assert f"At 50 beads an hour the {beads:,} beads of the piece take {hours_told(beads / 50)}" in page
    for words in ("The beginning", "The end of the first row", "The turns", "The joins", "common practice"):
        assert words in page


@pytest.mark.parametrize(
    ("hours", "told"),
    [(0.001, "1 min"), (0.5, "30 min"), (1, "1 h 00 min"), (1.999, "2 h 00 min"), (26.25, "26 h 15 min")],
)
def test_hours_in_words(hours, told):
    assert hours_told(hours) == told
