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


def test_json_tells_every_figure(combweave):
    """A hand of 39 mm for ten loops; mm to a thousandth, the side of a loop to a ten-thousandth."""
    told = json.loads(combweave("gauge", "--loops", 7, "--measured", 27.3456, "--json").out)
    model = model_spacing(*[bead_size("11/0")] * 2)
    ten = 27.3456 / 7 * 10
    side = model.core_mm * ten / (10 * model.pitch_mm)
    assert told == {
        "ten_loops_mm": round(ten, 3),
        "model_ten_loops_mm": [round(10 * model.pitch_mm * factor, 3) for factor in (model.low, model.high)],
        "core_mm": round(side, 4),
        "connector_mm": round(side, 4),
        "off": round(ten / (10 * model.pitch_mm) - 1, 4),
    }


def test_every_word_of_a_hand(combweave):
    model = model_spacing(*[bead_size("11/0")] * 2)
    low, high = (10 * model.pitch_mm * factor for factor in (model.low, model.high))
    measured = round(low * 0.97, 2)
    side = model.core_mm * measured / 10 / model.pitch_mm
    off = round((1 - measured / (10 * model.pitch_mm)) * 100)
    assert combweave("gauge", "--measured", measured).out.splitlines() == [
        f"Ten loops measure {measured:.1f} mm: {off}% less than the mean of the bead shapes,",
        f"below their range of {low:.1f} to {high:.1f} mm.",
        "You weave tighter than the bead shapes say, or your beads are smaller.",
        "Count the loops once more before you rely on it.",
        f"The side of a loop, a bead and its gaps, is {side:.2f} mm.",
        f"Put this on the command line: --beads 11/0 --gauge {measured:.1f}",
    ]
    told = combweave("gauge", "--measured", round(high * 1.03, 2), "--connectors", "8/0", "--loops", 10).out
    assert "--beads 11/0 --connectors 8/0 --gauge" in told
    told = combweave("gauge", "--measured", round(high * 1.03, 2)).out
    assert "% more than the mean of the bead shapes,\nabove their range" in told
    assert "You weave looser" in told
    assert "Count the loops once more" in told
    told = combweave("gauge", "--measured", round(10 * model.pitch_mm * 1.01, 2)).out
    assert "1% more than" in told
    assert "The bead shapes agree with your hand." in told
    assert "Count the loops" not in told


def test_both_sides_are_told_in_two_sizes(combweave):
    model = model_spacing(bead_size("11/0"), bead_size("8/0"))
    told = " ".join(combweave("gauge", "--measured", 10 * model.pitch_mm, "--connectors", "8/0").out.split())
    assert f"The side of a core loop is {model.core_mm:.2f} mm, a connector with its gaps" in told
    assert f"with its gaps {model.connector_mm:.2f} mm." in told


def test_one_loop_is_the_least(combweave):
    assert combweave("gauge", "--loops", 1, "--measured", 3.9).code == 0
    assert combweave("gauge", "--loops", 0, "--measured", 3.9).code == 2
    assert combweave("gauge").code == 2
