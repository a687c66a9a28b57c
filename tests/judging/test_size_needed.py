import numpy as np
import pytest
from skimage import data

from convert.cli.inputs import load_palette
from convert.judging.detail import Detail
from convert.judging.size_needed import loops_needed, lost_detail, survives_at
from convert.picture.model import Picture
from convert.picture.part import WHOLE
from convert.weave.beads import bead_size
from tests.panels import panel, panel_options


@pytest.fixture(scope="module")
def palette():
    return load_palette(None)[0]


def options(**chosen):
    return panel_options(bead_size("11/0"), bead_size("11/0"), **chosen)


def test_what_needs_so_many_loops_does_not_survive_with_fewer(palette):
    detail = Detail(Picture("astronaut", data.astronaut().copy()), WHOLE)
    needed = loops_needed(detail, palette, options())
    assert survives_at(detail, palette, options(), needed)
    assert not survives_at(detail, palette, options(), needed * 2 // 3)


@pytest.mark.parametrize(
    ("kept", "named"),
    [({"11/0", "15/0"}, "11/0"), ({"15/0"}, "15/0"), ({"6/0"}, None), ({"8/0"}, None), ({"13/0"}, None)],
)
def test_a_panel_is_told_the_coarsest_of_the_finer_sizes_that_keep_it(palette, monkeypatch, kept, named):
    picture = Picture("astronaut", data.astronaut().copy())
    chosen = panel_options(bead_size("8/0"), bead_size("8/0"), width_mm=100.0)
    result = panel(picture, palette, chosen)
    monkeypatch.setattr(
        "convert.judging.size_needed.survives_at",
        lambda detail, palette, options, across: options.beads in kept,
    )
    (note,) = lost_detail(picture, palette, chosen, result)
    assert ("at the same width" in note) is (named is not None)
    assert named is None or f"; {named} at the same width" in note


def test_more_loops_than_are_known_not_to_do(palette):
    detail = Detail(Picture("astronaut", data.astronaut().copy()), WHOLE)
    needed = loops_needed(detail, palette, options())
    more = loops_needed(detail, palette, options(), more_than=needed)
    assert needed < more <= needed + 2 + needed // 15
    assert survives_at(detail, palette, options(), more)


def test_what_cannot_be_woven_does_not_survive(palette):
    flat = Picture("flat", np.full((60, 60, 3), 120, np.uint8))
    detail = Detail(flat, WHOLE)
    # Nothing of it can be lost; but it may have more beads than are allowed, or be in two parts.
    assert survives_at(detail, palette, options(), 20)
    assert not survives_at(detail, palette, options(max_beads=100), 20)
    parted = np.full((60, 60), 255, np.uint8)
    parted[:, 25:35] = 0
    assert not survives_at(Detail(Picture("parted", flat.pixels, parted), WHOLE), palette, options(), 20)


@pytest.mark.parametrize("first", [1, 3, 16, 17, 33, 100, 300, 399, 400])
def test_least_number_of_loops_is_found_to_a_thirtieth(monkeypatch, first):
    monkeypatch.setattr(
        "convert.judging.size_needed.survives_at", lambda detail, palette, options, across: across >= first
    )
    found = loops_needed(None, None, options())
    assert first <= found <= first + max(1, first // 30)


def test_none_where_400_loops_do_not_keep_it(monkeypatch):
    asked = []

    def never(detail, palette, options, across):
        asked.append(across)
        return False

    monkeypatch.setattr("convert.judging.size_needed.survives_at", never)
    assert loops_needed(None, None, options()) is None
    # From 16 on twice as many each time.
    assert asked == [16, 32, 64, 128, 256, 512]
    asked.clear()
    assert loops_needed(None, None, options(), more_than=30) is None
    assert asked == [60, 120, 240, 480]
