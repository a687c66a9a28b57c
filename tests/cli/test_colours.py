import csv
import io
import json

import numpy as np
import pytest
from PIL import Image
from skimage import data

from convert.palette.resources import palette_path


@pytest.fixture
def cat(tmp_path):
    """A real photograph."""
    path = tmp_path / "cat.png"
    Image.fromarray(data.chelsea()[::3, ::3]).save(path)
    return path


def beads_csv(folder):
    return list(csv.DictReader(io.StringIO((folder / "beads.csv").read_text(encoding="utf-8"))))


def test_few_colours(combweave, cat, tmp_path):
    run = combweave("panel", cat, "--across", 20, "--colours", 6, "--keep", "SW1", "--avoid", "CT5", "--json")
    assert run.code == 0, run.err
    summary = json.loads(run.out)
    used = {row["code"] for row in beads_csv(tmp_path / "cat-panel")}
    assert len(used) <= 6 == summary["colours"] + 6 - len(used)
    assert "CT5" not in used
    assert 0 <= summary["colours_gap"] < 0.03
    assert "from the best possible" in run.err


def test_within_stock(combweave, cat, tmp_path):
    shelf = palette_path("workshop-shelf")
    run = combweave("panel", cat, "--across", 30, "--palette", shelf, "--stock")
    assert run.code == 0, run.err
    rows = beads_csv(tmp_path / "cat-panel")
    for row in rows:
        assert int(row["beads"]) + int(row["left"]) == int(row["on_hand"])
    # A search changes beads about, and still takes none that is not there.
    search = ("--dither", 0.5, "--dither-kind", "search", "--out", "searched")
    assert combweave("panel", cat, "--across", 30, "--palette", shelf, "--stock", *search).code == 0
    searched = beads_csv(tmp_path / "searched")
    assert [row["beads"] for row in searched] != [row["beads"] for row in rows]
    for row in searched:
        assert int(row["beads"]) + int(row["left"]) == int(row["on_hand"])
    run = combweave("panel", cat, "--across", 400, "--palette", shelf, "--stock", "--out", "large")
    assert run.code == 1
    assert "of 11/0 are missing" in " ".join(run.err.split())
    assert " g of " in run.err
    assert not (tmp_path / "large").exists()


def test_summary_compares_with_the_nearest_beads(combweave, cat):
    every = "panel", cat, "--across", 16, "--colours", "all"
    plain = json.loads(combweave(*every, "--json").out)
    assert plain["judgement_of_nearest"] is None
    run = combweave(*every, "--smooth", 0.5, "--json", "--force")
    smooth = json.loads(run.out)
    assert smooth["judgement_of_nearest"] == plain["judgement"]
    assert smooth["judgement"]["colour_changes"] < plain["judgement"]["colour_changes"]
    assert smooth["judgement"]["lone_beads"] < plain["judgement"]["lone_beads"]
    assert "Seen from 1 m" in run.err
    assert f"with the nearest beads {plain['judgement']['lone_beads']:,} and" in " ".join(run.err.split())
    far = combweave(*every, "--view-distance", 5, "--backing", "#000000", "--json", "--force")
    assert "Seen from 5 m" in far.err
    assert json.loads(far.out)["judgement"]["seen"] != plain["judgement"]["seen"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--colours", 0], "1 or more"),
        (["--colours", -3], "--colours is 1 or more, not -3"),
        (["--colours", "many"], "--colours is a number, auto or all, not 'many'"),
        (["--colours", 1, "--keep", "SW1", "--keep", "CT1"], "2 colours to keep are more than the 1"),
        (["--colours", "all", "--keep", "SW1"], "--keep"),
        (["--keep", "SW11"], "SW11"),
        (["--colours", 4, "--keep", "SW11"], "SW11"),
        (["--avoid", "NOPE"], "NOPE"),
        (["--stock"], "does not say what is on hand"),
        (["--stock", "--dither", 0.5], "or with --dither-kind search"),
        (["--view-distance", 0], "0.01 to 1,000 m, not 0"),
        (["--view-distance", "inf"], "0.01 to 1,000 m, not inf"),
        (["--backing", "white"], "white"),
    ],
)
def test_one_line_for_what_cannot_be(combweave, cat, tmp_path, arguments, says):
    run = combweave("panel", cat, "--across", 8, *arguments)
    assert run.code == 1
    assert says in run.err
    assert not (tmp_path / "cat-panel").exists()


def test_motif_by_a_picture_takes_the_same_wishes(combweave, cat, tmp_path):
    run = combweave(
        "motif", cat, "--rounds", 4, "--palette", palette_path("workshop-shelf"), "--stock", "--copies", 2
    )
    assert run.code == 0, run.err
    assert all(int(row["beads"]) <= int(row["on_hand"]) for row in beads_csv(tmp_path / "flower-motif"))
    run = combweave("motif", cat, "--rounds", 4, "--colours", 3, "--edge", "points", "--json", "--force")
    assert json.loads(run.out)["colours"] <= 3
    assert json.loads(run.out)["judgement"]["seen"] > 0


def test_motif_without_a_picture_has_nothing_to_choose(combweave):
    run = combweave("motif", "--colours", 3)
    assert run.code == 1
    assert "without a picture" in run.err
    plain = json.loads(combweave("motif", "--rounds", 2, "--json").out)
    assert plain["judgement"] is None


def test_bare_beads_of_a_motif_heed_the_limits(combweave, tmp_path):
    """Half of the picture is transparent; the plain beads there are among the few colours, too."""
    pixels = np.zeros((60, 60, 4), np.uint8)
    pixels[:, :30] = [200, 40, 40, 255]
    pixels[:30, :15, 1] = 160
    Image.fromarray(pixels).save(tmp_path / "half.png")
    run = combweave("motif", "half.png", "--rounds", 4, "--colours", 2, "--json")
    assert run.code == 0, run.err
    assert json.loads(run.out)["colours"] == 2
    plain = combweave("motif", "half.png", "--rounds", 4, "--json", "--force")
    codes = {row["code"] for row in json.loads(plain.out)["materials"]}
    assert "SW1" in codes
    run = combweave("motif", "half.png", "--rounds", 4, "--avoid", "SW1", "--json", "--force")
    assert "SW1" not in {row["code"] for row in json.loads(run.out)["materials"]}
