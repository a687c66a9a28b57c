import pytest

from convert import read_changes
from convert.errors import ChangeError


def written(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "beak.csv"
    path.write_bytes(text.encode(encoding))
    return path


@pytest.mark.parametrize(
    "text",
    [
        "bead,colour\n2.5/3.4,RU3\n\n2.5,goldeneye\n",
        "2.5/3.4,RU3\n\n2.5,goldeneye",
        "Bead;Colour\r\n2.5/3.4;RU3\r\n\r\n2.5;goldeneye\r\n",
        "note\tcode\tplace\na\tRU3\t2.5/3.4\n\nb\tgoldeneye\t2.5\tmore\n",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_table_is_read_as_spreadsheets_save_it(tmp_path, monkeypatch, text, encoding):
    monkeypatch.chdir(tmp_path)
    written(tmp_path, text, encoding)
    found = read_changes("beak.csv")
    assert [(one.bead, one.colour) for one in found] == [("2.5/3.4", "RU3"), ("2.5", "goldeneye")]
    first = 1 + ("colour" in text.casefold() or "code" in text)
    assert [one.where for one in found] == [f"beak.csv, line {first}", f"beak.csv, line {first + 2}"]


def test_a_comma_within_a_name_is_quoted(tmp_path):
    (one,) = read_changes(written(tmp_path, 'bead;colour\n"edge of 5.4, left";CT5\n'))
    assert (one.bead, one.colour) == ("edge of 5.4, left", "CT5")


def test_a_row_that_lacks_its_colour_is_kept_to_be_told_with_the_rest(tmp_path):
    (one,) = read_changes(written(tmp_path, "bead,colour\n2.5\n"))
    assert (one.bead, one.colour) == ("2.5", "")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        (" \n\n", "is empty"),
        ("bead,colour\n", "has a header but no bead"),
        ("a,b,c\n1,2,3\n", "line 1: this is not a bead and its colour"),
        ("bead,number\n2.5,3\n", "line 1: this is not a bead and its colour"),
        ("2.5\n", "line 1: this is not a bead and its colour"),
        ('bead,colour\n"2.5,RU3\n', "line 2: not a table"),
        ("\0\0", "is not a text file"),
    ],
)
def test_what_is_no_list_of_changes_is_refused(tmp_path, text, words):
    with pytest.raises(ChangeError, match=words) as refused:
        read_changes(written(tmp_path, text))
    assert "columns bead and colour" in refused.value.hint


def test_a_file_that_is_not_there_or_no_file(tmp_path):
    with pytest.raises(ChangeError, match="there is no file of changes"):
        read_changes(tmp_path / "none.csv")
    with pytest.raises(ChangeError, match="is a folder, not a file of changes"):
        read_changes(tmp_path)
