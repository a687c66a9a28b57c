import pytest

from convert.errors import PaletteError
from convert.shelf.naming import check_names, codes, numbered, read_names


def test_codes_tell_row_and_place():
    assert codes([2, 3]) == ["A1", "A2", "B1", "B2", "B3"]


def test_codes_leave_out_letters_that_look_like_digits():
    letters = [code[:-1] for code in codes([1] * 50)]
    assert len(set(letters)) == 50
    assert not {"I", "O"} & set("".join(letters))
    assert letters[23:26] == ["Z", "AA", "AB"]


def test_codes_go_on_after_those_that_are_there():
    assert codes([1, 1], ["A1", "a2", "HG3", "C7", "blue"]) == ["B1", "D1"]


def test_names_are_numbered_and_go_on():
    assert numbered(["blue", "red", "blue"]) == ["blue 1", "red 1", "blue 2"]
    assert numbered(["blue", "blue"], ["Blue 1", "blue 3"]) == ["blue 2", "blue 4"]


def test_lists_of_names_are_read_by_rows_or_one_a_line(tmp_path):
    path = tmp_path / "names.txt"
    path.write_text("heron grey\nswan white\n\nreed\n", encoding="utf-8")
    assert read_names(path) == [["heron grey"], ["swan white"], ["reed"]]
    path.write_text("heron  grey, swan white\r\nreed;lake\n", encoding="utf-8")
    assert read_names(path) == [["heron grey", "swan white"], ["reed", "lake"]]


def test_what_cannot_be_seen_in_a_name_is_dropped(tmp_path):
    path = tmp_path / "names.txt"
    path.write_text("\ufeffla\u00adke\nنی\u200cزار\n", encoding="utf-8")
    assert read_names(path) == [["lake"], ["نیزار"]]


def test_names_must_fit_the_rows():
    rows = [["a", "b"], ["c", "d"]]
    assert check_names(rows, [2, 2], "names.txt") == ["a", "b", "c", "d"]
    with pytest.raises(
        PaletteError, match=r"names.txt: row 2 has 2 names, the photograph shows 3 heaps there"
    ):
        check_names(rows, [2, 3], "names.txt")
    with pytest.raises(PaletteError, match=r"names.txt names 2 rows, the photograph shows 1"):
        check_names(rows, [4], "names.txt")


def test_names_one_a_line_must_fit_in_all():
    assert check_names([["a"], ["b"], ["c"]], [2, 1], "names.txt") == ["a", "b", "c"]
    with pytest.raises(PaletteError, match=r"names.txt has 3 names, the photograph shows 4 heaps"):
        check_names([["a"], ["b"], ["c"]], [4], "names.txt")


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (b"a,,b\n", "line 1: a name is empty"),
        (b"a\n" + b"x" * 300, "line 2: a name"),
        (b"\0\1\2", "not a text"),
    ],
)
def test_faulty_lists_are_told(tmp_path, content, match):
    path = tmp_path / "names.txt"
    path.write_bytes(content)
    with pytest.raises(PaletteError, match=match):
        read_names(path)


def test_lists_that_are_no_files_are_told(tmp_path):
    with pytest.raises(PaletteError, match="is a folder"):
        read_names(tmp_path)
    with pytest.raises(PaletteError, match="is not there"):
        read_names(tmp_path / "names.txt")


def test_a_dash_keeps_the_word_that_is_found_and_dots_keep_all_that_follow():
    assert check_names([["teal", "-"], ["..."]], [2, 3], "names.txt") == ["teal", *["-"] * 4]
    assert check_names([["teal"], ["-"], ["..."]], [2, 1], "names.txt") == ["teal", "-", "-"]
    with pytest.raises(PaletteError, match=r"names 1 row, the photograph shows 2") as caught:
        check_names([["teal", "-"]], [2, 3], "names.txt")
    assert "... as the last line" in caught.value.hint
