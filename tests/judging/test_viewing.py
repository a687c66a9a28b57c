import numpy as np
import pytest
import shapely
import shapely.affinity
from skimage.color import deltaE_ciede2000
from skimage.draw import polygon as drawn

from convert.errors import SizeError
from convert.judging.viewing import View, cell_raster, covered_share, lit_share, outline_area_mm2
from convert.weave.beads import bead_size, named_sizes
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing


def weave_of(woven, connectors="11/0", direction="across"):
    sizes = bead_size("11/0"), bead_size(connectors)
    return sheet(np.asarray(woven, bool), sizes, model_spacing(*sizes), direction)


def hull_of_ellipses(along, across, apart):
    """The hull of two ellipses with these axes, set apart across the hole, by shapely."""
    circle = shapely.Point(0, 0).buffer(0.5, quad_segs=300)
    ellipse = shapely.affinity.scale(circle, along, across)
    pair = [shapely.affinity.translate(ellipse, 0, side * apart / 2) for side in (-1, 1)]
    return shapely.union_all(pair).convex_hull.area


@pytest.mark.parametrize("size", named_sizes().values(), ids=lambda size: size.name)
def test_outline_area_is_the_mean_of_both_models(size):
    """The outlines as the docstring of `convert.weave.spacing` describes them."""
    length, diameter, hole = size.length_mm, size.diameter_mm, size.hole_mm
    if size.rounded:
        tight = hull_of_ellipses(length, length, diameter - length)
        loose = hull_of_ellipses(length, (diameter - hole) / 2, (diameter + hole) / 2)
        area = (tight + loose) / 2
    else:
        area = shapely.box(0, 0, length, diameter).area
    assert outline_area_mm2(size) == pytest.approx(area, rel=1e-4)


def test_covered_share_of_one_size():
    """A cell of the one-size sheet is a rhombus of area sqrt(3) / 2 of the side squared."""
    weave = weave_of(np.ones((4, 4)))
    share = covered_share(weave)
    cell = np.sqrt(3) / 2 * weave.spacing.side_mm**2
    assert share == pytest.approx(np.full(weave.beads, outline_area_mm2(weave.sizes[0]) / cell))
    assert share[0] == pytest.approx(0.65, abs=0.005)


@pytest.mark.parametrize("connectors", ["11/0", "8/0"])
def test_lit_share_is_that_of_rays(connectors):
    """Light of an even sky into a round well, ray by ray: directions weigh by their cosine (Lambert)."""
    weave = weave_of(np.ones((40, 40)), connectors)
    open_mm2 = ((1 - covered_share(weave)) * weave.cell_mm2).sum() / weave.loops
    radius = np.sqrt(open_mm2 / np.pi)
    depth = np.array([size.diameter_mm for size in weave.sizes])[weave.bead_size].mean() / 2
    draw = np.random.default_rng(3)
    from_centre, sine, turn = (
        np.sqrt(draw.random(400_000)),
        np.sqrt(draw.random(400_000)),
        draw.random(400_000),
    )
    out = depth / radius * sine / np.sqrt(1 - sine**2)
    x, y = from_centre + out * np.cos(2 * np.pi * turn), out * np.sin(2 * np.pi * turn)
    # The loops at the rim have beads of their own, which makes a little more than three to a loop.
    assert lit_share(weave) == pytest.approx((np.hypot(x, y) < 1).mean(), abs=0.02)


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
        """Black beads on white show what of it is open and lit, 15%; white beads on black what they cover."""
        black, white = np.zeros_like(self.wanted), np.ones_like(self.wanted)
        covered = covered_share(self.weave)[0]
        veil = (1 - covered) * lit_share(self.weave)
        assert veil == pytest.approx(0.15, abs=0.005)

        def greys(light, other):
            return deltaE_ciede2000(*([116 * np.cbrt(one) - 16, 0, 0] for one in (light, other)))

        seen = View(self.weave, white, np.ones(3)).from_best(black)
        assert seen == pytest.approx(greys(veil, 1), rel=0.02)
        on_black = View(self.weave, white, np.zeros(3)).from_best(black)
        assert on_black == pytest.approx(
            deltaE_ciede2000([0, 0, 0], [116 * np.cbrt(covered) - 16, 0, 0]), rel=0.02
        )

    def test_beads_that_fill_their_cells_flatter_least(self):
        """What lies behind two pieces is alike in both, whatever its colour."""
        beads = self.wanted * 0.8
        filled = View(self.weave, self.wanted).from_best(beads)
        for backing in (np.ones(3), np.zeros(3), np.array([0.2, 0.5, 0.1])):
            assert View(self.weave, self.wanted, backing).from_best(beads) < filled

    def test_a_mixture_is_nearer_from_afar(self):
        grey = np.full_like(self.wanted, 0.5)
        mixed = np.repeat((np.random.default_rng(1).random(self.weave.beads) < 0.5)[:, None] * 1.0, 3, axis=1)
        near, far = (View(self.weave, grey, np.zeros(3), d).from_best(mixed) for d in (0.5, 8.0))
        assert far < near / 2

    @pytest.mark.parametrize("distance", [0.0, -1.0, float("nan"), float("inf")])
    def test_distance_must_be_real(self, distance):
        with pytest.raises(SizeError, match="view distance"):
            View(self.weave, self.wanted, np.ones(3), distance)
