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


@pytest.mark.parametrize(("kept", "named"), [({"11/0", "15/0"}, "11/0"), ({"15/0"}, "15/0"), ({"6/0"}, None)])
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
