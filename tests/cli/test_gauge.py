import json

import numpy as np
import pytest

from convert.drawing.swatch import swatch_scene
from convert.weave.beads import bead_size
from convert.weave.spacing import model_spacing


def test_gauge_is_turned_into_an_option(combweave):
    run = combweave("gauge", "--loops", 12, "--measured", 46.8)
    assert run.code == 0
    assert "--beads 11/0 --gauge 39.0" in run.out
    assert "within their range" in run.out


def test_no_difference_is_said_so(combweave):
    ten = 10 * model_spacing(*[bead_size("11/0")] * 2).pitch_mm
    run = combweave("gauge", "--measured", f"{ten:.3f}")
    assert "the same as the mean" in run.out
    assert "0%" not in run.out
    assert max(map(len, run.out.splitlines())) <= 80


@pytest.mark.parametrize(("measured", "word"), [(34, "below"), (50, "above")])
def test_other_hands(combweave, measured, word):
    run = combweave("gauge", "--measured", measured)
    assert f"{word} their range" in run.out
    assert max(map(len, run.out.splitlines())) <= 80


def test_two_sizes_and_json(combweave):
    run = combweave("gauge", "--measured", 45, "--connectors", "8/0", "--json")
    value = json.loads(run.out)
    model = model_spacing(bead_size("11/0"), bead_size("8/0"))
    assert value["off"] == pytest.approx(4.5 / model.pitch_mm - 1, abs=1e-4)
    ratio = value["core_mm"] / value["connector_mm"]
    assert ratio == pytest.approx(model.core_mm / model.connector_mm, abs=1e-3)


@pytest.mark.parametrize("measured", [0, -4, 400])
def test_impossible_gauge(combweave, measured):
    run = combweave("gauge", "--measured", measured)
    assert run.code == 1
    assert len(run.err.strip().splitlines()) == 2


@pytest.mark.parametrize("connectors", ["11/0", "8/0"])
def test_swatch_is_drawn(combweave, tmp_path, connectors):
    arguments = ("gauge", "--measured", 42, "--connectors", connectors, "--chart", "swatch.png")
    assert combweave(*arguments).code == 0
    assert (tmp_path / "swatch.png").read_bytes().startswith(b"\x89PNG")
    run = combweave(*arguments)
    assert run.code == 1
    assert "--force" in run.err


@pytest.mark.parametrize(("connectors", "loops"), [("11/0", 10), ("8/0", 12)])
def test_line_on_the_swatch_goes_from_bead_to_bead(connectors, loops):
    """In two sizes three loops are a repeat, so that 9 or 12 are as long wherever they begin."""
    sizes = bead_size("11/0"), bead_size(connectors)
    spacing = model_spacing(*sizes)
    scene = swatch_scene(sizes, spacing)
    line, *ends = scene.strokes
    (x0, _), (x1, _) = line.points
    assert (x1 - x0) / scene.scale == pytest.approx(loops * spacing.pitch_mm)
    beads = scene.piece.bead_xy * scene.scale + scene.offset_mm
    for end in ends:
        assert np.linalg.norm(beads - end.points[0], axis=1).min() < 1e-6
    count = {10: "ten", 12: "twelve"}[loops]
    assert f"{count} loops" in scene.facts


def test_two_sizes_are_measured_by_repeats(combweave):
    pair = ("gauge", "--connectors", "8/0", "--measured")
    assert "nine or twelve" in combweave(*pair, 43).out
    assert "nine or twelve" not in combweave(*pair, 51.6, "--loops", 12).out
    assert "nine or twelve" not in combweave("gauge", "--measured", 38).out
