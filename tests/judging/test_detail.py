import math

import numpy as np
import pytest
from skimage import color, data
from skimage.metrics import structural_similarity

from convert.colour.lab import srgb_to_lab
from convert.judging.detail import Detail, kept_above_mm
from convert.judging.size_needed import survives_at
from convert.judging.viewing import raster_of_cells
from convert.making.over_picture import onto_picture
from convert.palette.model import BeadColour, Palette
from convert.picture.model import Picture
from convert.picture.part import WHOLE, Part
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing
from tests.panels import panel_options

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
    # The limits of Petersen and Middleton (1962) for triangular lattices, see convert.judging.detail.
    # So many lines are about the finest that are looked at; of coarser ones the edges must be in place, too.
    pairs = 22
    detail, palette = Detail(lines(pairs, degrees), WHOLE), greys()
    options = panel_options(SIZE, SIZE, direction=direction)
    loop_mm = SPACING.pitch_mm if direction == "across" else 1.5 * SPACING.side_mm

    def kept(period_mm):
        across = round(period_mm * pairs / loop_mm)
        return survives_at(detail, palette, options, across)

    assert not kept(0.95 * kept_above_mm(SPACING) / 2)
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
    at_limit = up / (kept_above_mm(SPACING) / 2)
    assert alike(1.1 * at_limit, -0.9 * at_limit, beads)
    assert not alike(0.9 * at_limit, -0.9 * at_limit, beads)
    at_limit = up / kept_above_mm(SPACING)
    assert alike(1.1 * at_limit, -0.9 * at_limit, loops)
    assert not alike(1.1 * at_limit, -0.9 * at_limit, beads)


def copy_of(picture, rows, across):
    """A sheet of beads that each show the pixel in the middle of their cell."""
    weave = sheet(np.ones((rows, across), bool), (SIZE, SIZE), SPACING)
    scale, offset = onto_picture(picture, weave)
    height, width = picture.pixels.shape[:2]
    x, y = np.clip((weave.cells.mean(axis=1) * scale + offset).astype(int), 0, (width - 1, height - 1)).T
    return weave, picture.pixels[y, x]


def judged(picture, across, part):
    weave, colours = copy_of(picture, across, across)
    return Detail(picture, part).surviving(weave, weave, colours)


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
    detail = Detail(flat, Part(0.3, 0.3, 0.2, 0.2))
    same = detail.surviving(weave, weave, np.full((weave.beads, 3), 200, np.uint8))
    assert same.ssim == pytest.approx(1)
    assert same.seen == pytest.approx(0, abs=1e-4)
    darker = detail.surviving(weave, weave, np.full((weave.beads, 3), 90, np.uint8))
    a, b = (srgb_to_lab(np.full((1, 3), level, np.uint8))[0, 0] for level in (200, 90))
    c1 = (0.01 * 100) ** 2
    assert darker.ssim == pytest.approx((2 * a * b + c1) / (a * a + b * b + c1), rel=1e-6)
    # S-CIELAB of even areas is the plain difference, here of two greys by scikit-image.
    assert darker.seen == pytest.approx(color.deltaE_ciede2000([a, 0, 0], [b, 0, 0]), rel=1e-3)
    assert darker.edges is None


def test_ssim_of_a_full_sheet_is_the_mean_that_scikit_image_gives():
    picture = Picture("camera", np.repeat(data.camera()[:256, :256, None], 3, axis=2))
    weave, colours = copy_of(picture, 30, 30)
    found = Detail(picture, WHOLE).surviving(weave, weave, colours)
    scale, offset = onto_picture(picture, weave)
    raster = raster_of_cells(weave.cells * scale + offset, (256, 256))
    shown = np.where((raster >= 0)[..., None], colours[raster], picture.pixels)
    expected = structural_similarity(
        srgb_to_lab(picture.pixels)[..., 0],
        srgb_to_lab(shown)[..., 0],
        data_range=100,
        gaussian_weights=True,
        sigma=1.5,
        use_sample_covariance=False,
    )
    # The rim of a sheet is jagged; what lies outside is not judged, but shows no loss where it is.
    assert expected - 0.05 < found.ssim < expected
    inner = Detail(picture, Part(0.1, 0.1, 0.8, 0.8)).surviving(weave, weave, colours)
    assert found.ssim == pytest.approx(inner.ssim, abs=0.05)


@pytest.mark.parametrize(("above", "beside"), [(32, 32), (64, 32), (32, 64)])
def test_windows_that_reach_out_of_the_raster_are_not_judged(above, beside):
    """So does scikit-image, whose mean leaves out half a window all round."""
    picture = Picture("camera", np.repeat(data.camera()[:320, :320, None], 3, axis=2))
    weave, colours = copy_of(picture, 30, 30)
    # At most 256 pixels, one to one on the raster, with beads everywhere.
    high, wide = 320 - 2 * above, 320 - 2 * beside
    part = Part(beside / 320, above / 320, wide / 320, high / 320)
    found = Detail(picture, part).surviving(weave, weave, colours)
    scale, offset = onto_picture(picture, weave)
    raster = raster_of_cells(weave.cells * scale + offset - (beside, above), (high, wide))
    assert raster.min() >= 0
    expected = structural_similarity(
        srgb_to_lab(picture.pixels[above:-above, beside:-beside])[..., 0],
        srgb_to_lab(colours)[raster][..., 0],
        data_range=100,
        gaussian_weights=True,
        sigma=1.5,
        use_sample_covariance=False,
    )
    assert found.ssim == pytest.approx(expected, abs=1e-6)


def test_only_the_part_is_judged():
    pixels = np.full((400, 400, 3), 255, np.uint8)
    pixels[:200, :200] = data.camera()[100:300, 150:350, None]
    picture = Picture("corner", pixels)
    assert judged_edges(picture, Part(0.6, 0.6, 0.3, 0.3)) is None
    assert judged_edges(picture, Part(0.05, 0.05, 0.4, 0.4)) > 0


def judged_edges(picture, part):
    weave, colours = copy_of(picture, 40, 40)
    return Detail(picture, part).surviving(weave, weave, colours).edges


def test_a_part_that_is_cropped_away_is_not_judged():
    picture = Picture("wide", np.zeros((100, 900, 3), np.uint8))
    weave, colours = copy_of(picture, 10, 10)
    detail = Detail(picture, Part(0, 0, 0.1, 1))
    assert detail.surviving(weave, weave, colours) is None
    assert detail.edges_kept(weave, weave, colours) == 0


def test_what_is_not_woven_is_not_judged():
    picture = Picture("camera", np.repeat(data.camera()[..., None], 3, axis=2))
    weave, _ = copy_of(picture, 40, 40)
    right = np.ones((40, 40), bool)
    right[:, :20] = False
    half = sheet(right, (SIZE, SIZE), SPACING)
    # Of the half sheet all beads are black, but where there are none nothing is lost.
    dark = np.zeros((half.beads, 3), np.uint8)
    detail = Detail(picture, Part(0, 0, 0.4, 1))
    assert detail.surviving(half, weave, dark) is None
    whole = Detail(picture, WHOLE).surviving(half, weave, dark)
    assert whole.edges < 0.05
    part = Detail(picture, Part(0.55, 0, 0.4, 1)).surviving(half, weave, dark)
    assert whole.ssim == pytest.approx(part.ssim, abs=0.1)


@pytest.mark.parametrize("shape", [(1000, 4000), (4000, 1000), (2000, 2000)])
@pytest.mark.parametrize(("part", "share"), [(WHOLE, 1.0), (Part(0.25, 0.25, 0.5, 0.5), 0.5)])
def test_a_large_picture_is_made_smaller_but_stays_twice_as_fine_as_the_raster(shape, part, share):
    """The raster has 256 pixels along the longer side of the part."""
    detail = Detail(Picture("large", np.zeros((*shape, 3), np.uint8)), part)
    longer = max(detail.picture.pixels.shape[:2]) * share
    assert 2 * 256 <= longer < 4 * 256
