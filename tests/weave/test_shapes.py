import zlib

import numpy as np
import pytest

from convert.errors import SizeError
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.neighbours import bead_neighbours
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing
from convert.weave.tips import tip_places, tips_of

SIZES = bead_size("11/0"), bead_size("8/0")


@pytest.mark.parametrize("direction", ["across", "along"])
def test_a_sheet_is_built_as_it_says(direction):
    woven = np.ones((3, 5), bool)
    woven[0, 1] = False
    spacing = model_spacing(*SIZES)
    built = Sheet(woven, direction).build(SIZES, spacing)
    np.testing.assert_array_equal(built.junction_xy, sheet(woven, SIZES, spacing, direction).junction_xy)
    assert Sheet(woven, direction).width_share == 1


def test_rows_run_across_if_nothing_is_said():
    assert Sheet(np.ones((2, 2), bool)).direction == "across"
    with pytest.raises(SizeError, match="rows run across or along, not 'up'"):
        Sheet(np.ones((2, 2), bool), "up")


def test_what_is_woven_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        Sheet(np.ones((2, 2), bool)).woven[0, 0] = False


def test_a_flower_has_six_beads_about_its_centre_if_nothing_is_said():
    assert Flower(2).build(SIZES, model_spacing(*SIZES)).loops == 1 + 6 + 12


def bitten():
    """A sheet of seven rows without some loops, within it and at its corners."""
    woven = np.ones((7, 9), bool)
    woven[2, 3] = woven[0, 0] = woven[5, 7] = woven[6, 8] = False
    return woven


def seen(weave):
    """Return a number for what hangs together with what, and sums that change with any place."""
    tips = tips_of(weave)
    numbers = (
        weave.side_bead, weave.side_loop, weave.side_twin, weave.side_junction, weave.bead_size,
        weave.bead_row, weave.loop_row, weave.loop_start, weave.bead_junctions, bead_neighbours(weave),
        tips.junctions,
    )  # fmt: skip
    places = (weave.bead_xy, weave.loop_xy, weave.junction_xy, weave.cells.reshape(-1, 2), *tip_places(weave))
    return zlib.crc32(b"".join(array.astype("<i4").tobytes() for array in numbers)), [
        float(np.abs(xy @ [1, np.sqrt(3)]).sum()) for xy in places
    ]


@pytest.mark.parametrize(
    ("shape", "connector", "number", "sums"),
    [
        (Sheet(bitten()), "11/0", 1820705397, [7133.085, 1974.543, 5173.998, 28540.067, 1139.132, 40.0]),
        (
            Sheet(bitten(), "along"),
            "11/0",
            1790907490,
            [8098.259, 2242.08, 5871.796, 32393.037, 1278.32, 41.569],
        ),
        (Flower(4), "11/0", 2887532856, [3044.892, 819.184, 2241.164, 12210.481, 668.499, 40.0]),
        (Flower(3, 5), "11/0", 2746420787, [1310.046, 334.359, 994.892, 5296.66, 362.335, 25.611]),
        (Flower(3, 8), "11/0", 1274865391, [2841.608, 721.808, 2148.291, 11326.289, 776.483, 40.408]),
        (Sheet(bitten()), "8/0", 556590717, [7940.995, 2197.942, 5760.257, 31770.832, 1268.975, 40.0]),
        (
            Sheet(bitten(), "along"),
            "8/0",
            655765610,
            [9016.388, 2495.748, 6538.149, 36061.764, 1425.978, 41.569],
        ),
        (Flower(4), "8/0", 1904245086, [3385.893, 911.866, 2492.98, 13584.977, 741.946, 40.0]),
        (Flower(3, 5), "8/0", 2809307949, [1456.172, 372.188, 1105.114, 5891.038, 398.589, 25.61]),
        (Flower(3, 8), "8/0", 1467574099, [3160.753, 803.473, 2388.499, 12602.526, 854.083, 40.413]),
    ],
)
def test_a_piece_made_again_has_its_beads_in_the_same_order_and_places(shape, connector, number, sums):
    """Pattern files name beads by their numbers; what was woven once is to be sewn on."""
    sizes = bead_size("11/0"), bead_size(connector)
    found, places = seen(shape.build(sizes, model_spacing(*sizes)))
    assert found == number
    assert places == pytest.approx(sums, abs=1e-3)
