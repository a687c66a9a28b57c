"""The stitch order in the booklet: what stands together, and what stands out."""

from types import SimpleNamespace

import pytest

from convert.drawing.pdf_frame import Frame
from convert.drawing.pdf_order import order_pages
from convert.instructions.wording import Kind, Paragraph
from convert.units import A4

HEADING = Paragraph(Kind.HEADING, ("Rows 1 to 4",))
MARK = Paragraph(Kind.NEW_THREAD, ("Thread 1 of 1.",))
REPEAT = Paragraph(Kind.REPEAT, ("Repeat stitch 1 once more: stitch 2.",))
ENDING = Paragraph(Kind.ENDING, ("Finished.",))


def stitch(number, steps=1):
    return Paragraph(Kind.STITCH, (f"Loop 1.{number}:", *["Pick up 6 x WH."] * steps), number)


@pytest.fixture
def drawn(monkeypatch):
    """Return a function that gives the labels of each page, each with whether it is strong."""
    monkeypatch.setattr(Frame, "heading", lambda *_: None)

    def pages(told):
        columns = []
        canvas = SimpleNamespace(
            column=lambda labels: columns.append(list(labels)),
            bookmark=lambda *_: None,
            strokes=lambda _: None,
        )
        found = order_pages(canvas, Frame(A4), told)
        for page in found:
            page.draw()
        return columns

    return pages


def test_numbers_stand_beside_the_first_line_of_their_stitch(drawn):
    ((*labels,),) = drawn([HEADING, stitch(7, steps=2)])
    assert [label.text for label, _ in labels] == [
        "Rows 1 to 4",
        "7",
        "Loop 1.7:",
        "Pick up 6 x WH.",
        "Pick up 6 x WH.",
    ]
    number, first, second = labels[1][0], labels[2][0], labels[3][0]
    assert number.y_mm == first.y_mm < second.y_mm
    assert number.x_mm < first.x_mm == second.x_mm


def test_headings_marks_and_repeats_stand_out(drawn):
    ((*labels,),) = drawn([HEADING, MARK, stitch(1), REPEAT, ENDING])
    strong = {label.text for label, is_strong in labels if is_strong}
    assert strong == {"Rows 1 to 4", "Thread 1 of 1.", "Repeat stitch 1 once more: stitch 2."}
    assert labels[0][0].x_mm < labels[1][0].x_mm
    assert labels[0][0].size_pt > labels[1][0].size_pt >= 9


@pytest.mark.parametrize("above", [HEADING, MARK])
def test_a_heading_or_a_mark_stays_with_the_stitch_below(drawn, above):
    """However many lines stand above it in the column."""
    apart = 0
    for steps in range(1, 12):
        told = [*(stitch(number, steps) for number in range(1, 60)), above, stitch(99, 3)]
        for page in drawn(told):
            labels = [label for label, _ in page]
            place = {label.text: (label.x_mm, label.y_mm) for label in labels}
            if above.lines[0] in place:
                assert "Loop 1.99:" in place
                assert place[above.lines[0]][1] < place["Loop 1.99:"][1]
                apart += 1
    assert apart == 11


def test_a_stitch_is_not_cut_while_it_fits_a_column(drawn):
    told = [stitch(number, 9) for number in range(1, 80)]
    for page in drawn(told):
        labels = [label for label, _ in page if label.text != "Rows 1 to 4"]
        xs = sorted({label.x_mm for label in labels if label.text.startswith(("Loop", "Pick"))})
        for x in xs:
            column = [label.text for label in labels if label.x_mm == x]
            assert column[0].startswith("Loop")
            assert column[-10].startswith("Loop")
