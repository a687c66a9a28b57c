import numpy as np
import pytest

from convert.errors import PictureError
from convert.shelf.heaps import Found
from convert.shelf.rows import check_grid, grid_named, reading_rows


def found(centres, radius):
    return Found(np.zeros((1, 1), np.int32), np.asarray(centres, float), np.full(len(centres), radius), 0, 0)


def laid_out(rows, columns, tilt, generator, missing=()):
    """Return heaps laid out by hand, shuffled, and the places that each has in reading order."""
    pitch = generator.uniform(30, 60, 2)
    places = [
        (row, column) for row in range(rows) for column in range(columns) if (row, column) not in missing
    ]
    points = np.array([(column * pitch[0], row * pitch[1]) for row, column in places], float)
    points += generator.uniform(-0.08, 0.08, points.shape) * pitch.min()
    cos, sin = np.cos(np.radians(tilt)), np.sin(np.radians(tilt))
    points = points @ np.array([[cos, sin], [-sin, cos]])
    order = generator.permutation(len(points))
    return found(points[order], 0.36 * pitch.min()), order


def test_rows_are_read_whatever_the_tilt_up_to_five_degrees():
    generator = np.random.default_rng(3)
    for _ in range(60):
        rows, columns = (int(number) for number in generator.integers(1, 10, 2))
        heaps, order = laid_out(rows, columns, generator.uniform(-5, 5), generator)
        read = [[int(order[heap]) for heap in row] for row in reading_rows(heaps)]
        assert read == np.arange(rows * columns).reshape(rows, columns).tolist()


def test_a_full_grid_passes():
    heaps, _ = laid_out(5, 8, 4.0, np.random.default_rng(1))
    check_grid(heaps, reading_rows(heaps), (5, 8), "tray")


def test_empty_places_are_named():
    heaps, _ = laid_out(5, 8, -3.0, np.random.default_rng(2), missing={(1, 2), (4, 7)})
    with pytest.raises(
        PictureError, match=r"found 38 heaps, not 5x8 = 40; empty: row 2 place 3, row 5 place 8"
    ):
        check_grid(heaps, reading_rows(heaps), (5, 8), "tray")


def test_another_layout_is_told_by_its_rows():
    heaps, _ = laid_out(4, 6, 2.0, np.random.default_rng(2))
    with pytest.raises(PictureError, match=r"found 24 heaps, not 5x5 = 25; the rows hold 6, 6, 6, 6"):
        check_grid(heaps, reading_rows(heaps), (5, 5), "tray")
    with pytest.raises(PictureError, match=r"not 6x4 = 24; the rows hold"):
        check_grid(heaps, reading_rows(heaps), (6, 4), "tray")


@pytest.mark.parametrize(("text", "grid"), [("5x8", (5, 8)), ("1X12", (1, 12)), ("3 × 4", (3, 4))])
def test_grid_is_rows_by_columns(text, grid):
    assert grid_named(text) == grid


@pytest.mark.parametrize("text", ["", "5", "5x", "x8", "5x8x2", "0x3", "-1x4", "2.5x4", "61x1", "5*8", "٣x٤"])
def test_what_is_no_grid_is_refused(text):
    with pytest.raises(PictureError, match="--grid") as error:
        grid_named(text)
    assert "5x8" in error.value.hint
