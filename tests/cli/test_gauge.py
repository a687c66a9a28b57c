import json

import pytest

from convert.chart.swatch import swatch_scene
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
    assert f"{word} their range" in combweave("gauge", "--measured", measured).out


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


def test_line_on_the_swatch_is_ten_loops_long():
    sizes = bead_size("11/0"), bead_size("8/0")
    spacing = model_spacing(*sizes)
    scene = swatch_scene(sizes, spacing)
    (x0, _), (x1, _) = scene.strokes[0].points
    assert (x1 - x0) / scene.scale == pytest.approx(10 * spacing.pitch_mm)
