import pytest
from skimage import data

from convert.cli.inputs import load_palette
from convert.detail import Detail
from convert.needs import loops_needed, survives_at
from convert.part import WHOLE
from convert.picture import Picture
from convert.pipeline import ConvertOptions
from convert.weave.beads import bead_size


@pytest.fixture(scope="module")
def palette():
    return load_palette(None)[0]


def options(**chosen):
    return ConvertOptions(bead_size("11/0"), bead_size("11/0"), **chosen)


def test_what_needs_so_many_loops_does_not_survive_with_fewer(palette):
    detail = Detail(Picture("astronaut", data.astronaut().copy()), WHOLE)
    needed = loops_needed(detail, palette, options())
    assert survives_at(detail, palette, options(), needed)
    assert not survives_at(detail, palette, options(), needed * 2 // 3)


def test_more_loops_than_are_known_not_to_do(palette):
    detail = Detail(Picture("astronaut", data.astronaut().copy()), WHOLE)
    needed = loops_needed(detail, palette, options())
    more = loops_needed(detail, palette, options(), more_than=needed)
    assert needed < more <= needed + 2 + needed // 15
    assert survives_at(detail, palette, options(), more)
