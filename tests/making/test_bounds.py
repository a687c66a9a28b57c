"""Sizes that nobody can weave are refused by reckoning, before anything of that size is laid out."""

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from convert import (
    PanelOptions,
    SizesOptions,
    compare_sizes,
    make_motif,
    make_panel,
    read_palette,
    read_picture,
)
from convert.errors import SizeError
from convert.judging.viewing import check_distance
from convert.making.shapes.flower import Flower
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.strip import Strip
from convert.weave.fit import MOST_LOOPS_IN_ROW

WILD = (1e6, 1e9, 1e308, float("inf"), float("nan"), -5.0, -1e308, 0.0)
ROOM = 300 * 1024 * 1024


def everything_wild():
    """Yield what asks for a piece of a wild size, in every way there is."""
    picture = read_picture(Image.linear_gradient("L").resize((60, 40)))
    palette, _ = read_palette()
    for wild in WILD:
        for name in ("width_mm", "height_mm", "gauge_mm", "view_distance_m"):
            yield make_panel, (picture, palette, PanelOptions(**{name: wild}))
        yield make_panel, (picture, palette, PanelOptions(width_mm=5.0, height_mm=wild))
        yield make_panel, (picture, palette, PanelOptions(width_mm=wild, height_mm=5.0, direction="along"))
        yield make_panel, (picture, palette, PanelOptions(width_mm=wild, height_mm=wild, fit="contain"))
        yield compare_sizes, (picture, palette, SizesOptions(width_mm=wild))
        yield make_motif, (Rectangle(width_mm=wild), palette)
        yield make_motif, (Rectangle(height_mm=wild, width_mm=5.0), palette)
        yield make_motif, (Strip(wrist_mm=wild), palette)
        yield make_motif, (Strip(wrist_mm=170.0, height_mm=wild), palette)
    for number in (10**6, 10**30, 0, -1):
        yield make_panel, (picture, palette, PanelOptions(across=number))
        yield make_motif, (Flower(rounds=number), palette)
    long = read_picture(Image.new("RGB", (1, 60_000)))
    yield make_panel, (long, palette, PanelOptions(across=1))


def refuse_all():
    """Ask for everything, with room for little more than the program itself."""
    import resource

    cases = list(everything_wild())
    # What is loaded late is loaded now.
    with pytest.raises(SizeError):
        compare_sizes(*cases[0][1][:2], SizesOptions(beads=("none",)))
    now = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (now + ROOM, now + ROOM))
    for make, arguments in cases:
        try:
            make(*arguments)
        except SizeError as error:
            assert len(str(error)) <= 200, error
        else:
            raise AssertionError(f"{make.__name__} took {arguments}")


def test_wild_sizes_are_refused_in_little_memory():
    script = "from tests.making.test_bounds import refuse_all; refuse_all()"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr[-2_000:]


@pytest.mark.parametrize("distance", [1e308, 1e-300, 0.0, float("nan"), float("inf")])
def test_a_view_distance_is_one_that_people_look_from(distance):
    with pytest.raises(SizeError, match=r"the view distance is 0\.01 to 1,000 m"):
        check_distance(distance)


def test_a_side_is_told_as_it_was_asked_for():
    palette, _ = read_palette()
    with pytest.raises(SizeError, match=f"a side of 500,000 mm takes more than {MOST_LOOPS_IN_ROW:,} loops"):
        make_motif(Rectangle(width_mm=5.0, height_mm=500_000.0), palette)
