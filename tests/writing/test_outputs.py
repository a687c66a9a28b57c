import shutil
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import convert
from convert.errors import OutputError
from convert.instructions import order
from convert.thread.verifier import verify
from convert.writing.outputs import Job, bytes_about, write_all
from tests.instructions.pieces import piece

OLD = Path(__file__).parents[1] / "piece" / "old" / "version-1.json"


def test_the_order_of_work_is_made_once_for_all_outputs(tmp_path, monkeypatch):
    made = []
    for name in ("stitches", "groups", "StitchNames"):
        real = getattr(order, name)
        monkeypatch.setattr(
            order, name, lambda *args, real=real, name=name: (made.append(name), real(*args))[1]
        )
    pattern = piece(np.ones((3, 4)))
    write_all(Job(pattern, verify(pattern.weave, pattern.thread, pattern.supplies)), tmp_path)
    # Once for the piece, and once for the swatch to practise on.
    assert sorted(made) == ["StitchNames"] * 2 + ["groups"] * 2 + ["stitches"] * 2
    assert {path.name for path in tmp_path.iterdir()} == {
        "beads.csv",
        "chart.pdf",
        "chart.png",
        "chart.svg",
        "edit.html",
        "follow.html",
        "pattern.json",
        "preview.png",
        "steps.png",
        "stitches.csv",
        "stitches.txt",
    }


def test_the_estimate_of_what_outputs_take_is_of_the_right_size(tmp_path):
    made = convert.read_pattern(OLD)
    convert.write_outputs(made, tmp_path / "out")
    taken = sum(path.stat().st_size for path in (tmp_path / "out").iterdir())
    assert taken / 2 < bytes_about(made.pattern) < taken * 3


def test_a_disk_without_room_for_so_many_beads(tmp_path, monkeypatch):
    made = convert.read_pattern(OLD)
    free = bytes_about(made.pattern) - 1
    monkeypatch.setattr(shutil, "disk_usage", lambda place: SimpleNamespace(free=free))
    with pytest.raises(OutputError, match="MB free, and the outputs take about"):
        convert.write_outputs(made, tmp_path / "out")
    assert list(tmp_path.iterdir()) == []
