import os

import pytest

from convert.errors import PaletteError
from convert.palette.model import LONGEST_TEXT
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


def test_codes_of_many_rows_go_on_to_two_letters_and_three():
    letters = [code[:-1] for code in codes([1] * (24 + 24 * 24 + 1))]
    assert (letters[0], letters[24], letters[47], letters[48]) == ("A", "AA", "AZ", "BA")
    assert letters[-2:] == ["ZZ", "AAA"]


def test_a_list_of_names_may_have_a_megabyte(tmp_path):
    path = tmp_path / "names.txt"
    path.write_bytes(b"reed\n" * 200_000)
    assert len(read_names(path)) == 200_000
    path.write_bytes(b"reed\n" * 200_000 + b"\n")
    with pytest.raises(PaletteError, match=r"names.txt is larger than 1 MB"):
        read_names(path)


def test_a_name_may_have_two_hundred_letters(tmp_path):
    path = tmp_path / "names.txt"
    path.write_bytes(b"a" * LONGEST_TEXT)
    assert read_names(path) == [["a" * LONGEST_TEXT]]
    path.write_bytes(b"a" * (LONGEST_TEXT + 1))
    with pytest.raises(PaletteError, match=f"line 1: a name is not .* {LONGEST_TEXT} letters"):
        read_names(path)
    path.write_bytes(b"a\nb\x01c")
    with pytest.raises(PaletteError, match="line 2: a name is not one line"):
        read_names(path)


def test_an_open_list_may_be_full_but_no_longer_than_the_heaps():
    assert check_names([["a", "b"], ["c"], ["..."]], [2, 1], "names.txt") == ["a", "b", "c"]
    with pytest.raises(PaletteError, match=r"names.txt names 3 rows, the photograph shows 2"):
        check_names([["a", "b"], ["c"], ["d"], ["..."]], [2, 1], "names.txt")
    with pytest.raises(PaletteError, match=r"names.txt: row 1 has 2 names, the photograph shows 3"):
        check_names([["a", "b"], ["..."]], [3, 1], "names.txt")
    with pytest.raises(PaletteError, match=r"names.txt has 3 names, the photograph shows 2 heaps"):
        check_names([["a"], ["b"], ["c"], ["..."]], [2], "names.txt")
    assert check_names([["a"], ["..."]], [3], "names.txt") == ["a", "-", "-"]


def test_one_row_is_told_as_one():
    with pytest.raises(PaletteError, match=r"names 1 row, the photograph shows 2$"):
        check_names([["a", "b"]], [2, 2], "names.txt")


def test_what_is_no_file_is_told(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(PaletteError, match="is no file"):
        read_names(tmp_path / "pipe")


def test_a_path_that_cannot_be_is_told(tmp_path):
    with pytest.raises(PaletteError, match="the list of names"):
        read_names(tmp_path / ("x" * 300))
