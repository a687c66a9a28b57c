import numpy as np
import pytest
from skimage import data

from convert.errors import ConvertError
from convert.files.palette_file import read_palette
from convert.files.resources import palette_path
from convert.judging import check_view, compare
from convert.picture import Picture
from convert.pipeline import ConvertOptions, convert
from convert.weave.beads import bead_size
from convert.weave.neighbours import bead_neighbours


@pytest.fixture(scope="module")
def judged():
    """Judge a real photograph in three settings."""
    palette, _ = read_palette(palette_path("lakeside-range"))
    size = bead_size("11/0")
    picture = Picture("chelsea", data.chelsea().copy())
    results = {
        name: convert(picture, palette, ConvertOptions(size, size, across=30, **setting))
        for name, setting in {"nearest": {}, "dither": {"dither": 0.5}, "smooth": {"smoothing": 0.5}}.items()
    }
    nearest = results["nearest"].pattern.bead_colour
    return {
        name: compare(result.pattern, result.wanted, nearest, distance_m=2.0)
        for name, result in results.items()
    }, results


def test_nearest_needs_no_comparison(judged):
    assert judged[0]["nearest"].nearest is None
    assert judged[0]["dither"].nearest == judged[0]["nearest"].chosen


def test_dithering_comes_nearer_from_afar_and_smoothing_calms(judged):
    found = judged[0]
    assert found["dither"].chosen.seen < found["nearest"].chosen.seen
    assert found["smooth"].chosen.unrest.lone < found["nearest"].chosen.unrest.lone
    assert found["smooth"].chosen.unrest.changes < found["nearest"].chosen.unrest.changes


def test_lone_beads_are_counted_one_by_one(judged):
    comparisons, results = judged
    pattern = results["nearest"].pattern
    lone = 0
    for bead, beside in enumerate(bead_neighbours(pattern.weave)):
        around = pattern.bead_colour[beside[beside >= 0]]
        lone += pattern.bead_colour[bead] not in around
    assert comparisons["nearest"].chosen.unrest.lone == lone


@pytest.mark.parametrize(
    ("backing", "distance"), [("white", 1), ("#FFFFFF", 0), ("#FFFFFF", float("nan")), ("#FFF", 1)]
)
def test_impossible_views(backing, distance):
    with pytest.raises(ConvertError):
        check_view(backing, distance)


def test_perfect_beads_differ_by_nothing(judged):
    comparisons, _ = judged
    assert all(np.isfinite(found.chosen.seen) and found.chosen.seen > 0 for found in comparisons.values())
