import math

import pytest

from convert.errors import SizeError
from convert.weave.beads import GLASS_GRAMS_PER_MM3, BeadSize, bead_size, named_sizes


def test_named_sizes_are_generic_and_ordered_by_their_data():
    assert list(named_sizes())[:3] == ["15/0", "13/0", "11/0"]
    assert bead_size(" 11/0 ").diameter_mm == 2.1


def test_published_counts_per_gram_follow_from_the_measures():
    # Published counts for 11/0, 8/0 and 6/0 (sources in bead_sizes.csv), against the weight of a glass shell
    # of the published measures with rounded edges; cylinder beads fit the full shell.
    for name, fill in (("11/0", 0.85), ("8/0", 0.85), ("6/0", 0.85), ("11/0-cylinder", 1.0)):
        size = bead_size(name)
        shell = math.pi / 4 * (size.diameter_mm**2 - size.hole_mm**2) * size.length_mm
        assert 1 / (shell * fill * GLASS_GRAMS_PER_MM3) == pytest.approx(size.beads_per_gram, rel=0.06)


def test_own_measures():
    size = bead_size("2.1x1.5x0.8")
    assert (size.diameter_mm, size.length_mm, size.hole_mm) == (2.1, 1.5, 0.8)
    assert size.beads_per_gram == pytest.approx(bead_size("11/0").beads_per_gram, rel=0.03)
    named = bead_size("11/0=2.0x1.45x0.8")
    assert (named.name, named.diameter_mm) == ("11/0", 2.0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "12",
        "9/0",
        "2x1",
        "0x1x0.5",
        "2x1x2",
        "2x1x3",
        "-2x1x0.5",
        "2x1xnan",
        "=2x1x0.5",
        "2x0x1",
        "99x99x1",
        "0.01x0.01x0.005",
        "0.101x0.1x0.1",
        "a\x1bb=2x1x0.5",
        "a" * 201 + "=2x1x0.5",
        "50.1x1x0.5",
        "2x50.1x0.5",
        "0.2x0.099x0.1",
        "٢x1x0.5",
    ],
)
def test_impossible_sizes(text):
    with pytest.raises(SizeError):
        bead_size(text)


@pytest.mark.parametrize("text", ["50x50x49", "0.5x0.1x0.1", "a" * 200 + "=2x1x0.5"])
def test_extreme_sizes_that_are_still_sizes(text):
    assert bead_size(text).beads_per_gram > 0


@pytest.mark.parametrize(("possible", "impossible"), [(1e6, 1.01e6), (1e-3, 0.99e-3)])
def test_counts_per_gram_have_their_limits(possible, impossible):
    assert BeadSize("x", "custom", 2, 1, 0.5, possible).beads_per_gram == possible
    with pytest.raises(SizeError, match="cannot weigh a gram"):
        BeadSize("x", "custom", 2, 1, 0.5, impossible)


def test_constructor_checks():
    with pytest.raises(SizeError):
        BeadSize("x", "custom", 2, 1, float("nan"), 100)


@pytest.mark.parametrize(
    ("text", "shorter", "longer"), [("2.1x1.5x0.8", 1.5, 2.1), ("1.5x2.1x0.8", 1.5, 2.1)]
)
def test_shorter_and_longer_are_of_length_and_diameter(text, shorter, longer):
    assert (bead_size(text).shorter_mm, bead_size(text).longer_mm) == (shorter, longer)
