import pytest

from convert.drawing.labels import text_width_mm
from convert.drawing.paragraphs import broken

TEXT = "Pick up 6: 2 x RG 11/0, WH 15/0, 3 x LB; pass through the 1st of them again (closes 5.3). " * 4


@pytest.mark.parametrize("width", [20.0, 45.0, 90.0])
def test_lines_keep_the_width_and_every_word(width):
    lines = broken(TEXT, 7.0, width)
    assert all(text_width_mm(line, 7.0) <= width + 1e-6 for line in lines)
    assert " ".join(lines).split() == TEXT.split()


def test_counts_and_sizes_stay_with_their_codes():
    lines = broken(TEXT, 7.0, 30.0)
    assert len(lines) > 8
    assert not any(
        line.startswith(("x ", "11/0", "15/0")) or line.endswith((" x", " 2", " 3")) for line in lines
    )


def test_a_word_without_end_is_cut():
    lines = broken("a " + "W" * 400, 7.0, 30.0)
    assert all(text_width_mm(line, 7.0) <= 30.0 for line in lines)
    assert "".join(lines) == "a" + "W" * 400


def test_nothing_is_one_empty_line():
    assert broken("", 7.0, 30.0) == [""]
