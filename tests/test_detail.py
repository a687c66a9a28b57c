import math

import numpy as np
import pytest
from skimage import data

from convert.colour.lab import srgb_to_lab
from convert.colour.palette import BeadColour, Palette
from convert.comparison import survives_at
from convert.detail import (
    WHOLE,
    Part,
    edges_kept,
    kept_above_mm,
    lost_below_mm,
    part_named,
    reduced,
    surviving,
    window,
)
from convert.errors import SizeError
from convert.picture import Picture
from convert.pipeline import ConvertOptions
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

SIZE = bead_size("11/0")
SPACING = model_spacing(SIZE, SIZE)


def greys():
    entries = []
    for level in range(0, 256, 15):
        code = f"#{level:02X}{level:02X}{level:02X}"
        lab = srgb_to_lab(np.array([[level] * 3], np.uint8))[0]
        entries.append(BeadColour(f"G{level}", "", None, code, tuple(lab.tolist())))
    return Palette("greys", tuple(entries))


def lines(pairs, degrees, side=800):
    """So many black and white pairs of lines across a square, with soft edges of a pixel."""
    y, x = np.mgrid[:side, :side] + 0.5
    angle = math.radians(degrees)
    phase = (x * math.cos(angle) + y * math.sin(angle)) * pairs / side
    wave = np.clip(np.sin(2 * np.pi * phase) * side / (2 * np.pi * pairs) + 0.5, 0, 1)
    return Picture("lines", np.repeat(np.rint(wave * 255).astype(np.uint8)[..., None], 3, axis=2))


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("degrees", [0, 30, 45, 90])
def test_lines_beyond_the_sampling_limit_are_lost_and_those_within_are_kept(degrees, direction):
    # The limits are those of Petersen and Middleton (1962) for triangular lattices, see convert.detail.
    # So many lines are about the finest that are looked at; of coarser ones the edges must be in place, too.
    pairs = 22
    picture, palette = lines(pairs, degrees), greys()
    options = ConvertOptions(SIZE, SIZE, direction=direction)
    loop_mm = SPACING.pitch_mm if direction == "across" else 1.5 * SPACING.side_mm

    def kept(period_mm):
        across = round(period_mm * pairs / loop_mm)
        return survives_at(picture, palette, options, across, WHOLE)

    assert not kept(0.95 * lost_below_mm(SPACING))
    assert kept(1.05 * kept_above_mm(SPACING))


def test_limits_are_those_of_the_lattice_that_is_woven():
    weave = sheet(np.ones((12, 14), bool), (SIZE, SIZE), SPACING)

    def alike(wave, other, points):
        """Whether two waves cannot be told apart at the points."""
        return np.allclose(np.exp(2j * np.pi * points @ wave), np.exp(2j * np.pi * points @ other))

    beads = weave.bead_xy - weave.loop_xy[0]
    loops = weave.loop_xy - weave.loop_xy[0]
    up = np.array([0.0, 1.0])
    # Just beyond the limit a wave down the page looks at every bead like a longer one that runs up.
    at_limit = up / lost_below_mm(SPACING)
    assert alike(1.1 * at_limit, -0.9 * at_limit, beads)
    assert not alike(0.9 * at_limit, -0.9 * at_limit, beads)
    at_limit = up / kept_above_mm(SPACING)
    assert alike(1.1 * at_limit, -0.9 * at_limit, loops)
    assert not alike(1.1 * at_limit, -0.9 * at_limit, beads)


def step(contrast, at=32):
    lab = np.zeros((64, 64, 3))
    lab[..., 0] = 20
    lab[:, at:, 0] += contrast
    return lab


@pytest.mark.parametrize(
    ("woven", "share"),
    [
        (step(60), 1.0),
        (step(31), 1.0),
        (step(29), 0.0),
        (step(-60), 0.0),
        (step(0), 0.0),
        (step(60, at=50), 0.0),
    ],
)
def test_an_edge_survives_with_half_its_contrast(woven, share):
    assert edges_kept(step(60), woven, (1.5,), np.ones((64, 64), bool)) == share


def test_a_lone_edge_may_be_out_of_place_where_coarser_things_count():
    moved = step(60, at=35)
    assert edges_kept(step(60), moved, (1.5,), np.ones((64, 64), bool)) == 0
    assert edges_kept(step(60), moved, (1.5, 3.0, 6.0), np.ones((64, 64), bool)) == 1
    # A thin line is gone under a wide Gaussian, so that it is judged under a narrow one.
    line = step(0)
    line[:, 31:34, 0] = 80
    aside = np.roll(line, 6, axis=1)
    assert edges_kept(line, aside, (1.5, 3.0, 6.0), np.ones((64, 64), bool)) == 0


def test_edges_of_colour_alone_count():
    picture = step(0)
    picture[:, 32:, 1] = 40
    assert edges_kept(picture, picture, (1.5,), np.ones((64, 64), bool)) == 1
    assert edges_kept(picture, step(0), (1.5,), np.ones((64, 64), bool)) == 0


def test_an_even_picture_has_no_edges():
    assert edges_kept(step(3), step(0), (1.5,), np.ones((64, 64), bool)) is None


def judged(picture, across, part):
    options = ConvertOptions(SIZE, SIZE, across=across)
    weave = sheet(np.ones((across, across), bool), options.sizes, options.spacing)
    seen_in = window(picture, weave, weave, part)
    x, y = np.clip(seen_in.cells_px.mean(axis=1).astype(int), 0, 511).T
    return surviving(picture, seen_in, picture.pixels[y, x], whole=part.is_whole)


def test_more_beads_keep_more_by_every_measure():
    picture = Picture("astronaut", data.astronaut().copy())
    coarse, fine, finest = (judged(picture, across, WHOLE) for across in (12, 40, 100))
    assert coarse.edges < fine.edges < finest.edges
    assert coarse.ssim < fine.ssim < finest.ssim <= 1
    # By eye: at 12 loops she is a smear, at 100 her smile is there.
    assert not coarse.enough
    assert finest.enough


def test_ssim_is_that_of_the_reference_implementation():
    # Wang's own SSIM (2004) of an image and itself is 1, and of flat greys l = (2ab + C1) / (a^2 + b^2 + C1).
    flat = Picture("flat", np.full((300, 300, 3), 200, np.uint8))
    weave = sheet(np.ones((8, 8), bool), (SIZE, SIZE), SPACING)
    seen_in = window(flat, weave, weave, Part(0.3, 0.3, 0.2, 0.2))
    same = surviving(flat, seen_in, np.full((len(seen_in.beads), 3), 200, np.uint8), whole=False)
    assert same.ssim == pytest.approx(1)
    assert same.seen == pytest.approx(0, abs=1e-4)
    darker = surviving(flat, seen_in, np.full((len(seen_in.beads), 3), 90, np.uint8), whole=False)
    a, b = (srgb_to_lab(np.full((1, 3), level, np.uint8))[0, 0] for level in (200, 90))
    c1 = (0.01 * 100) ** 2
    assert darker.ssim == pytest.approx((2 * a * b + c1) / (a * a + b * b + c1), rel=1e-6)
    # S-CIELAB of even areas is the difference in L* (Zhang, Wandell 1997).
    assert darker.seen == pytest.approx(a - b, rel=1e-3)
    assert darker.edges is None


def test_only_the_part_is_judged():
    pixels = np.full((400, 400, 3), 255, np.uint8)
    pixels[:200, :200] = data.camera()[100:300, 150:350, None]
    picture = Picture("corner", pixels)
    assert judged_edges(picture, Part(0.6, 0.6, 0.3, 0.3)) is None
    assert judged_edges(picture, Part(0.05, 0.05, 0.4, 0.4)) > 0


def judged_edges(picture, part):
    weave = sheet(np.ones((40, 40), bool), (SIZE, SIZE), SPACING)
    seen_in = window(picture, weave, weave, part)
    x, y = np.clip(seen_in.cells_px.mean(axis=1).astype(int), 0, 399).T
    return surviving(picture, seen_in, picture.pixels[y, x], whole=False).edges


def test_a_part_that_is_cropped_away_has_no_window():
    picture = Picture("wide", np.zeros((100, 900, 3), np.uint8))
    weave = sheet(np.ones((10, 10), bool), (SIZE, SIZE), SPACING)
    assert window(picture, weave, weave, Part(0, 0, 0.1, 1)) is None


def test_transparent_parts_are_white():
    alpha = np.zeros((1600, 1600), np.uint8)
    alpha[:, 800:] = 255
    small = reduced(Picture("half", np.zeros((1600, 1600, 3), np.uint8), alpha), WHOLE)
    assert small.pixels.shape == (800, 800, 3)
    assert (small.pixels[:, :400] == 255).all()
    assert (small.pixels[:, 400:] == 0).all()


@pytest.mark.parametrize(
    "text",
    ["", "1,2,3", "a,b,c,d", "0,0,0,1", "0,0,1,0", "0.5,0,0.6,1", "-0.1,0,0.5,1", "0,0,nan,1", "0,0,1,inf"],
)
def test_parts_that_are_none_are_refused_in_one_line(text):
    with pytest.raises(SizeError) as refused:
        part_named(text, "--detail")
    assert "\n" not in str(refused.value)
    assert refused.value.hint


def test_a_part_is_read():
    assert part_named("0.1, 0.2,.3,0.4", "--detail") == Part(0.1, 0.2, 0.3, 0.4)
    assert part_named("0,0,1,1", "--detail").is_whole
