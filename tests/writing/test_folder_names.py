from pathlib import Path

import pytest

from convert.writing.folder_names import MOST_BYTES, folder_beside, folder_name


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Heron at dawn", "heron-at-dawn"),
        ("  Grebe: two, of 3!  ", "grebe-two-of-3"),
        ("../../etc/passwd", "etc-passwd"),
        ("C:\\nests\\grebe", "c-nests-grebe"),
        ("..", "piece"),
        ("???", "piece"),
        ("", "piece"),
        ("~", "piece"),
        ("-rf", "rf"),
        (".hidden", "hidden"),
        ("con", "piece-con"),
        ("COM1", "piece-com1"),
        ("Console", "console"),
        ("Silberreiher 夜鷺 Ærfugl", "silberreiher-夜鷺-ærfugl"),
        ("turned \u202e round\x00\n", "turned-round"),
    ],
)
def test_a_title_becomes_one_plain_name(title, name):
    assert folder_name(title) == name


@pytest.mark.parametrize("letter", ["x", "é", "鷺"])
def test_a_long_title_is_cut_between_letters(letter):
    name = folder_name(letter * 500)
    assert set(name) == {letter}
    assert MOST_BYTES - 3 < len(name.encode()) <= MOST_BYTES


def made(home, name):
    folder = home / name
    folder.mkdir()
    for file in ("pattern.json", "beads.csv", "stitches.txt"):
        (folder / file).touch()
    return folder / "pattern.json"


@pytest.mark.parametrize(
    ("there", "pattern", "expected"),
    [
        (["heron"], "heron", "heron-2"),
        (["heron", "heron-2", "heron-4"], "heron", "heron-3"),
        (["heron", "heron-2"], "heron-2", "heron-3"),
        (["heron-panel"], "heron-panel", "heron-panel-2"),
        (["heron-panel", "heron-panel-2"], "heron-panel-2", "heron-panel-3"),
        (["wall"], "wall", "heron"),
        (["wall", "heron"], "wall", "heron-2"),
        (["herons"], "herons", "heron"),
    ],
)
def test_a_piece_goes_beside_the_old_one_and_never_over_another(
    tmp_path, monkeypatch, there, pattern, expected
):
    files = {name: made(tmp_path, name) for name in there}
    assert folder_beside(files[pattern], "Heron") == tmp_path / expected
    monkeypatch.chdir(tmp_path)
    assert folder_beside(Path(pattern) / "pattern.json", "Heron") == Path(expected)
    monkeypatch.chdir(tmp_path / pattern)
    assert folder_beside(Path("pattern.json"), "Heron").resolve() == tmp_path / expected


def test_a_file_by_itself_has_its_folder_beside_it(tmp_path):
    (tmp_path / "pattern.json").touch()
    assert folder_beside(tmp_path / "pattern.json", "Heron") == tmp_path / "heron"
    (tmp_path / "heron").touch()
    (tmp_path / "heron-2").symlink_to("nowhere")
    assert folder_beside(tmp_path / "pattern.json", "Heron") == tmp_path / "heron-3"


def test_what_comes_on_standard_input_goes_where_one_is(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert folder_beside(None, "Heron") == Path("heron")
