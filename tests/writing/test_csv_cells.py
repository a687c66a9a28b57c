import pytest

from convert.writing.csv_cells import csv_text


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_cells_that_a_spreadsheet_would_run_are_text(start):
    """The six starts that OWASP lists under CSV injection (from memory)."""
    assert f"'{start}1+1" in csv_text(("a", "b"), [("plain", f"{start}1+1")])


def test_numbers_stay_numbers_and_nothing_is_an_empty_cell():
    assert csv_text(("a", "b", "c"), [(-1, 2.5, None)]) == "a,b,c\n-1,2.5,\n"


def test_commas_quotes_and_line_breaks_stay_in_their_cell():
    # RFC 4180, section 2, rules 5 to 7.
    assert csv_text(("a", "b"), [('x,"y"', "1\n2")]) == 'a,b\n"x,""y""","1\n2"\n'
