import numpy as np

from convert.instructions import order
from convert.thread.verifier import verify
from convert.writing.outputs import Job, write_all
from tests.instructions.pieces import piece


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
