import os
import stat
from pathlib import Path

import pytest

from convert.errors import OutputError
from convert.writing.output_folder import check_files, check_target, output_folder, write_file, write_files


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
    (target / "a.txt").write_text("old, by combweave")
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


def test_the_former_files_come_back_if_a_new_one_cannot_take_its_place(tmp_path, monkeypatch):
    target = tmp_path / "out"
    target.mkdir()
    (target / "a.txt").write_text("old, by combweave")
    (target / "b.txt").write_text("old, by combweave")
    replace = Path.replace

    def refuse(self, other):
        if other == target / "b.txt" and self.read_text() == "new":
            raise OSError(13, os.strerror(13))
        return replace(self, other)

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OutputError, match="Permission denied"), output_folder(target, force=True) as work:
        for name in ("0.txt", "a.txt", "b.txt", "c.txt"):
            (work / name).write_text("new")
    assert names(target) == ["a.txt", "b.txt"]
    assert (target / "a.txt").read_text() == (target / "b.txt").read_text() == "old, by combweave"
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


def test_what_cannot_be_removed_of_the_work_is_no_fault(tmp_path, monkeypatch):
    target = tmp_path / "out"
    target.mkdir()
    removed = []
    monkeypatch.setattr("shutil.rmtree", lambda path, ignore_errors: removed.append((path, ignore_errors)))
    with output_folder(target, force=True) as work:
        (work / "new").write_text("new")
    assert (target / "new").read_text() == "new"
    assert removed
    assert all(ignored and path.name.startswith(".combweave-") for path, ignored in removed)


OLD = "old, by combweave"


def replaced(target, content="new"):
    with output_folder(target, force=True) as work:
        (work / "chart.png").write_text(content)


@pytest.mark.parametrize("theirs", ["file", "folder", "link"])
def test_what_others_made_is_not_replaced_whatever_it_is_called(tmp_path, theirs):
    target = tmp_path / "out"
    target.mkdir()
    chart = target / "chart.png"
    if theirs == "file":
        chart.write_text("a chart of the lake")
    elif theirs == "folder":
        chart.mkdir()
        (chart / "lake.txt").write_text("combweave")
    else:
        (tmp_path / "lake.txt").write_text("combweave")
        chart.symlink_to(tmp_path / "lake.txt")
    with pytest.raises(OutputError, match=r"chart\.png .*not replaced"):
        check_target(target, ["chart.png"], force=True)
    with pytest.raises(OutputError, match=r"chart\.png .*not replaced"):
        replaced(target)
    if theirs == "file":
        assert chart.read_text() == "a chart of the lake"
    elif theirs == "folder":
        assert names(chart) == ["lake.txt"]
    else:
        assert chart.is_symlink()
    assert names(target) == ["chart.png"]


def test_a_table_is_ours_where_files_with_our_sign_lie_beside_it(tmp_path):
    outputs = ["beads.csv", "chart.png", "pattern.json"]
    (tmp_path / "beads.csv").write_text("code\n")
    (tmp_path / "pattern.json").write_text('{"format": "combweave pattern"}')
    with pytest.raises(OutputError, match=r"beads\.csv was not written by combweave"):
        check_target(tmp_path, outputs, force=True)
    (tmp_path / "chart.png").write_text("combweave")
    check_target(tmp_path, outputs, force=True)


def test_a_folder_that_is_there_stays_the_same(tmp_path):
    target = tmp_path / "out"
    target.mkdir()
    target.chmod(0o2750)
    chart = target / "chart.png"
    chart.write_text(OLD)
    chart.chmod(0o640)
    os.link(chart, tmp_path / "kept.png")
    before = target.stat()
    replaced(target)
    after = target.stat()
    assert (after.st_ino, after.st_mode, after.st_uid) == (before.st_ino, before.st_mode, before.st_uid)
    assert stat.S_IMODE(chart.stat().st_mode) == 0o640
    assert (chart.read_text(), (tmp_path / "kept.png").read_text()) == ("new", OLD)


def test_a_link_to_a_folder_stays_one(tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to("real")
    replaced(tmp_path / "out")
    assert (tmp_path / "out").readlink() == Path("real")
    assert names(tmp_path / "real") == ["chart.png"]


def test_the_folder_one_stands_in(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mine.txt").write_text("mine")
    replaced(Path())
    assert names(Path()) == ["chart.png", "mine.txt"]


def test_a_file_that_is_read_is_not_overwritten_by_whatever_name(tmp_path):
    target = tmp_path / "out"
    target.mkdir()
    (target / "chart.png").write_text(OLD)
    os.link(target / "chart.png", tmp_path / "heron.png")
    (tmp_path / "link.png").symlink_to("out/chart.png")
    for picture in (target / "chart.png", tmp_path / "heron.png", str(tmp_path / "link.png")):
        with pytest.raises(OutputError, match=r"is read, and would be overwritten by .*chart\.png"):
            check_target(target, ["chart.png"], force=True, inputs=[None, tmp_path / "none", picture])
        with pytest.raises(OutputError, match="is read, and would be overwritten"):
            check_files([target / "chart.png"], force=True, inputs=[picture])
    check_target(target, ["steps.png"], force=True, inputs=[target / "chart.png"])


def test_names_that_are_too_long_are_told_before_any_work(tmp_path):
    # 255 bytes a name and 4096 a path: Linux, limits.h.
    for target, name in ((tmp_path / ("x" * 256), "chart.png"), (tmp_path / "out", "y" * 256)):
        with pytest.raises(OutputError, match="too long"):
            check_target(target, [name], force=False)
    deep = tmp_path
    while len(os.fsencode(deep)) < 4_060:
        deep /= "x" * min(200, 4_075 - len(os.fsencode(deep)))
        deep.mkdir()
    with pytest.raises(OutputError, match="too long"):
        check_target(deep / "out", ["chart.png"], force=False)


def test_where_nobody_may_write_is_told_before_any_work(tmp_path):
    target = tmp_path / "out"
    target.mkdir()
    target.chmod(0o555)
    who = os.geteuid()
    if who == 0:
        tmp_path.chmod(0o755)
        target.chmod(0o755)
        tmp_path.parent.chmod(0o755)
        tmp_path.parent.parent.chmod(0o755)
        os.seteuid(65_534)
    try:
        for place in (target, target / "new"):
            with pytest.raises(OutputError, match=r"cannot write .*Permission denied"):
                check_target(place, ["chart.png"], force=True)
    finally:
        os.seteuid(who)
    with pytest.raises(OutputError, match="cannot write /proc/out"):
        check_target(Path("/proc/out"), ["chart.png"], force=False)


def test_a_disk_without_room_is_told_before_any_work(tmp_path):
    with pytest.raises(OutputError, match=r"MB free, and the outputs take about .* MB") as refused:
        check_target(tmp_path / "out", [], force=False, size=1 << 62)
    assert refused.value.hint.startswith("make room")
    assert names(tmp_path) == []
