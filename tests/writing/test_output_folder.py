import os
from pathlib import Path

import pytest

from convert.errors import OutputError
from convert.writing.output_folder import check_target, output_folder, write_file, write_files


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_appears_whole(tmp_path):
    target = tmp_path / "out"
    with output_folder(target, force=False) as work:
        (work / "a.txt").write_text("a")
        assert not target.exists()
    assert names(target) == ["a.txt"]
    assert names(tmp_path) == ["out"]


def test_a_name_no_folder_can_have(tmp_path):
    with pytest.raises(OutputError, match="cannot write"), output_folder(tmp_path / ("x" * 300), force=False):
        pass


@pytest.mark.parametrize("fault", [ValueError, KeyboardInterrupt, OSError])
def test_a_failure_leaves_nothing(tmp_path, fault):
    with pytest.raises((fault, OutputError)), output_folder(tmp_path / "out", force=False) as work:
        (work / "a.txt").write_text("a")
        raise fault
    assert names(tmp_path) == []


def test_a_failure_keeps_the_former_folder(tmp_path):
    target = tmp_path / "out"
    target.mkdir()
    (target / "a.txt").write_text("old")
    with pytest.raises(ValueError, match="stop"), output_folder(target, force=True) as work:
        (work / "a.txt").write_text("new")
        raise ValueError("stop")
    assert (target / "a.txt").read_text() == "old"
    assert names(tmp_path) == ["out"]


def test_force_keeps_files_of_other_origin(tmp_path):
    target = tmp_path / "out"
    (target / "sub").mkdir(parents=True)
    (target / "sub" / "mine.txt").write_text("mine")
    (target / "a.txt").write_text("old")
    (target / "link").symlink_to("nowhere")
    (target / "other link").symlink_to("sub/mine.txt")
    with output_folder(target, force=True) as work:
        (work / "a.txt").write_text("new")
    assert (target / "a.txt").read_text() == "new"
    assert (target / "sub" / "mine.txt").read_text() == "mine"
    assert (target / "link").readlink() == Path("nowhere")
    assert (target / "other link").readlink() == Path("sub/mine.txt")
    assert names(tmp_path) == ["out"]


def test_files_are_copied_where_the_file_system_has_no_hard_links(tmp_path, monkeypatch):
    def refuse(*_, **__):
        raise OSError(95, os.strerror(95))

    monkeypatch.setattr(os, "link", refuse)
    test_force_keeps_files_of_other_origin(tmp_path)


@pytest.mark.parametrize("force", [False, True])
def test_a_target_that_will_not_do_is_told_before_any_work(tmp_path, force):
    target = tmp_path / "out"
    target.mkdir() if not force else target.write_text("a file")
    with pytest.raises(OutputError) as refused, output_folder(target, force=force):
        pytest.fail("work was begun")
    assert str(refused.value).endswith("is there already" if not force else "is a file, not a folder")


def test_a_file_that_cannot_take_its_place_leaves_nothing(tmp_path, monkeypatch):
    def refuse(self, other):
        raise OSError(13, os.strerror(13))

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OutputError, match="Permission denied"):
        write_file(tmp_path / "chart.png", b"one", force=False)
    assert names(tmp_path) == []


def test_one_of_two_runs_wins(tmp_path):
    target = tmp_path / "out"
    with pytest.raises(OutputError, match="appeared"), output_folder(target, force=False) as work:
        (work / "a.txt").write_text("a")
        target.mkdir()
        (target / "other.txt").write_text("other")
    assert names(target) == ["other.txt"]
    assert names(tmp_path) == ["out"]


def test_what_cannot_be_a_target(tmp_path):
    (tmp_path / "file").write_text("x")
    (tmp_path / "link").symlink_to("nowhere")
    for target in (tmp_path / "file", tmp_path / "link", tmp_path / "no" / "out", tmp_path / "file" / "out"):
        with pytest.raises(OutputError), output_folder(target, force=True):
            pass
    assert (tmp_path / "file").read_text() == "x"


def test_full_disk_is_one_clear_line(tmp_path):
    with pytest.raises(OutputError, match="No space left"), output_folder(tmp_path / "out", force=False):
        raise OSError(28, os.strerror(28))
    assert names(tmp_path) == []


def test_write_file(tmp_path):
    target = tmp_path / "chart.png"
    write_file(target, b"one", force=False)
    with pytest.raises(OutputError, match="there already"):
        write_file(target, b"two", force=False)
    write_file(target, b"three", force=True)
    assert target.read_bytes() == b"three"
    with pytest.raises(OutputError):
        write_file(tmp_path / "no" / "x", b"", force=False)
    assert names(tmp_path) == ["chart.png"]


def test_a_folder_is_not_replaced_by_a_file(tmp_path):
    target = tmp_path / "chart.png"
    target.mkdir()
    with pytest.raises(OutputError, match=r"chart\.png is not a file that can be replaced"):
        write_file(target, b"one", force=True)
    assert names(tmp_path) == ["chart.png"]
    assert target.is_dir()


def test_the_former_folder_comes_back_if_the_new_one_cannot_take_its_place(tmp_path, monkeypatch):
    target = tmp_path / "out"
    target.mkdir()
    (target / "a.txt").write_text("old")
    rename = Path.rename

    def refuse(self, other):
        if other == target and (self / "a.txt").read_text() == "new":
            raise OSError(13, os.strerror(13))
        return rename(self, other)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(OutputError, match="Permission denied"), output_folder(target, force=True) as work:
        (work / "a.txt").write_text("new")
    assert (target / "a.txt").read_text() == "old"
    assert names(tmp_path) == ["out"]


def test_files_that_belong_together_appear_together(tmp_path):
    first, second = tmp_path / "a.csv", tmp_path / "a.png"
    second.mkdir()
    with pytest.raises(OutputError, match="is not a file that can be replaced"):
        write_files({first: b"1", second: b"2"}, force=True)
    second.rmdir()
    with pytest.raises(OutputError, match=r"the folder .*nowhere of .* is not there"):
        write_files({first: b"1", tmp_path / "nowhere" / "a.png": b"2"}, force=False)
    assert list(tmp_path.iterdir()) == []
    write_files({first: b"1", second: b"2"}, force=False)
    assert (first.read_bytes(), second.read_bytes()) == (b"1", b"2")
    assert len(list(tmp_path.iterdir())) == 2


def test_a_folder_in_none_is_told_before_any_work(tmp_path):
    with pytest.raises(OutputError, match="which is to hold the outputs, is not there"):
        check_target(tmp_path / "no" / "out", force=False)


def test_what_cannot_be_removed_of_the_former_folder_is_no_fault(tmp_path, monkeypatch):
    target = tmp_path / "out"
    target.mkdir()
    removed = []
    monkeypatch.setattr("shutil.rmtree", lambda path, ignore_errors: removed.append((path, ignore_errors)))
    with output_folder(target, force=True) as work:
        (work / "new").write_text("new")
    assert (target / "new").read_text() == "new"
    assert {path.name.endswith("-former") for path, _ in removed} == {True, False}
    assert all(ignored for _, ignored in removed)
