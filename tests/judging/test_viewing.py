import numpy as np
import pytest
import shapely
from skimage.draw import polygon as drawn

from convert.errors import SizeError
from convert.judging.viewing import View, cell_raster, covered_share, outline_area_mm2
from convert.weave.beads import bead_size, named_sizes
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing


def weave_of(woven, connectors="11/0", direction="across"):
    sizes = bead_size("11/0"), bead_size(connectors)
    return sheet(np.asarray(woven, bool), sizes, model_spacing(*sizes), direction)


@pytest.mark.parametrize("size", named_sizes().values(), ids=lambda size: size.name)
def test_outline_area_is_that_of_the_reach(size):
    """Half the integral of reach times (reach + its second derivative) is the area of any convex outline."""
    half = max(size.diameter_mm - size.length_mm, 0) / 2
    if size.rounded:
        outline = shapely.LineString([(0, -half), (0, half)]).buffer(size.length_mm / 2, quad_segs=200)
    else:
        outline = shapely.box(0, 0, size.length_mm, size.diameter_mm)
    assert outline_area_mm2(size) == pytest.approx(outline.area, rel=1e-4)


def test_covered_share_of_one_size():
    """A cell of the one-size sheet is a rhombus of area sqrt(3) / 2 of the side squared."""
    weave = weave_of(np.ones((4, 4)))
    share = covered_share(weave)
    cell = np.sqrt(3) / 2 * weave.spacing.side_mm**2
    assert share == pytest.approx(np.full(weave.beads, outline_area_mm2(weave.sizes[0]) / cell))
    assert 0.5 < share[0] < 0.8


HOLE = np.ones((6, 7), bool)
HOLE[2:4, 2:4] = False


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("connectors", ["11/0", "15/0"])
@pytest.mark.parametrize("woven", [np.ones((5, 5)), HOLE], ids=["sheet", "hole"])
def test_raster_is_that_of_skimage(woven, connectors, direction):
    weave = weave_of(woven, connectors, direction)
    pixel_mm = weave.spacing.pitch_mm / 9
    raster = cell_raster(weave, pixel_mm)
    corners = weave.cells / pixel_mm
    corners = corners - corners.reshape(-1, 2).min(axis=0) - 0.5  # skimage counts from pixel centres
    agree = np.zeros(raster.shape, bool)
    touched = np.zeros(raster.shape, bool)
    for bead, cell in enumerate(corners):
        rows, columns = drawn(cell[:, 1], cell[:, 0], raster.shape)
        agree[rows, columns] |= raster[rows, columns] == bead
        touched[rows, columns] = True
    assert ((raster >= 0) == touched).mean() > 0.995
    assert agree[touched].mean() > 0.995


def test_raster_covers_the_area_of_each_cell():
    weave = weave_of(np.ones((6, 6)))
    pixel_mm = weave.spacing.pitch_mm / 30
    count = np.bincount(cell_raster(weave, pixel_mm).ravel() + 1)[1:]
    area = [shapely.Polygon(cell).area for cell in weave.cells]
    assert count * pixel_mm**2 == pytest.approx(area, rel=0.05)


class TestView:
    weave = weave_of(np.ones((12, 12)))
    wanted = np.random.default_rng(2).uniform(0.1, 0.8, (weave.beads, 3))

    def test_the_picture_itself_is_the_best(self):
        view = View(self.weave, self.wanted, np.ones(3))
        assert view.from_best(self.wanted) == 0
        assert view.from_best(self.wanted * 0.9) > 0.5

    def test_white_backing_lightens_a_dark_piece(self):
        """Black beads that cover 62% on white: light of 0.38, L* of 68, beside white beads of 100."""
        black, white = np.zeros_like(self.wanted), np.ones_like(self.wanted)
        open_share = 1 - covered_share(self.weave)[0]
        seen = View(self.weave, white, np.ones(3)).from_best(black)
        assert seen == pytest.approx(116 - 116 * np.cbrt(open_share), rel=0.02)
        on_black = View(self.weave, white, np.zeros(3)).from_best(black)
        assert on_black == pytest.approx(116 * np.cbrt(1 - open_share) - 16, rel=0.02)

    def test_a_mixture_is_nearer_from_afar(self):
        grey = np.full_like(self.wanted, 0.5)
        mixed = np.repeat((np.random.default_rng(1).random(self.weave.beads) < 0.5)[:, None] * 1.0, 3, axis=1)
        near, far = (View(self.weave, grey, np.zeros(3), d).from_best(mixed) for d in (0.5, 8.0))
        assert far < near / 2

    @pytest.mark.parametrize("distance", [0.0, -1.0, float("nan"), float("inf")])
    def test_distance_must_be_real(self, distance):
        with pytest.raises(SizeError, match="view distance"):
            View(self.weave, self.wanted, np.ones(3), distance)
