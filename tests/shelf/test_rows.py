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


def tilted(tilt, rows=2, columns=24):
    """Return long rows, so tilted that they would be mixed up if it were not seen."""
    y, x = np.divmod(np.arange(rows * columns), columns)
    cos, sin = np.cos(np.radians(tilt)), np.sin(np.radians(tilt))
    return found(np.stack([x * 40, y * 40], axis=1) @ np.array([[cos, sin], [-sin, cos]]), 10.0)


@pytest.mark.parametrize("tilt", [-7.9, 0.0, 0.4, 7.9])
def test_tilts_of_long_rows_are_found_up_to_eight_degrees(tilt):
    assert reading_rows(tilted(tilt)) == [list(range(24)), list(range(24, 48))]


@pytest.mark.parametrize("tilt", [-10.0, 10.0])
def test_rows_that_are_tilted_more_are_taken_for_others(tilt):
    """At eight degrees the rest of two still lifts the end of a row by 32, more than the radius of a heap."""
    assert [len(row) for row in reading_rows(tilted(tilt))] != [24, 24]


@pytest.mark.parametrize(("apart", "rows"), [(9.8, [[0, 1, 2]]), (10.2, [[0, 2], [1]])])
def test_rows_are_half_a_heap_apart(apart, rows):
    assert reading_rows(found([(0, 0), (50, apart), (100, 0)], 10.0)) == rows


def test_half_a_heap_goes_by_the_middle_of_their_sizes():
    heaps = found([(0, 0), (50, 9.8), (100, 0)], 10.0)
    heaps.radii[:] = 10.0, 10.4, 30.0
    assert reading_rows(heaps) == [[0, 1, 2]]
    heaps.radii[:] = 9.0, 9.4, 30.0
    assert reading_rows(heaps) == [[0, 2], [1]]


def test_rows_that_look_alike_at_several_tilts_are_read_straight():
    assert reading_rows(found([(0, 0), (40, 0), (0, 40), (40, 40)], 10.0)) == [[0, 1], [2, 3]]


def refusal(heaps, grid):
    with pytest.raises(PictureError) as caught:
        check_grid(heaps, reading_rows(heaps), grid, "tray")
    return str(caught.value), caught.value.hint


def test_six_empty_places_are_named_and_the_rest_counted():
    generator = np.random.default_rng(4)
    gone = [(0, 3), (1, 1), (1, 5), (2, 0), (2, 4), (3, 2), (3, 6)]
    told, hint = refusal(laid_out(5, 8, 1.0, generator, set(gone[:6]))[0], (5, 8))
    assert told == (
        "tray: found 34 heaps, not 5x8 = 40; empty: row 1 place 4, row 2 place 2, row 2 place 6,"
        " row 3 place 1, row 3 place 5, row 4 place 3"
    )
    assert hint.startswith("leave --grid out")
    told, _ = refusal(laid_out(5, 8, 1.0, generator, set(gone))[0], (5, 8))
    assert told.endswith("row 4 place 3 and 1 more")


def test_twelve_rows_are_told():
    heaps, _ = laid_out(14, 2, 0.0, np.random.default_rng(4))
    assert refusal(heaps, (3, 3))[0] == (
        "tray: found 28 heaps, not 3x3 = 9; the rows hold " + ", ".join(["2"] * 12)
    )


def test_one_heap_is_told_as_one():
    told, _ = refusal(found([(10, 10)], 3.0), (1, 2))
    assert told.startswith("tray: found 1 heap, not 1x2 = 2")
    assert refusal(found([(10, 10)], 3.0), (2, 1))[0].startswith("tray: found 1 heap, not 2x1 = 2")


def test_columns_for_rows_are_told():
    heaps, _ = laid_out(4, 6, 2.0, np.random.default_rng(2))
    assert refusal(heaps, (6, 4))[1] == "rows come first: --grid 4x6"
    assert refusal(heaps, (6, 5))[1].startswith("leave --grid out")
    assert refusal(heaps, (5, 4))[1].startswith("leave --grid out")


@pytest.mark.parametrize(("off", "named"), [(0.32, True), (0.37, False)])
@pytest.mark.parametrize("axis", [0, 1])
def test_heaps_beside_the_places_of_a_grid_are_on_none(off, named, axis):
    """One is off, along its row or down; down only where heaps are large, so that it stays in its row."""
    places = np.array([(x, y) for y in range(4) for x in range(5) if (x, y) != (2, 3)], float) * 100
    places[6, axis] += 100 * off
    told, _ = refusal(found(places, 10.0 if axis == 0 else 40.0), (4, 5))
    assert ("empty: row 4 place 3" in told) == named


def test_two_heaps_at_one_place_lie_on_no_grid():
    places = [(0, 0), (100, 0), (200, 0), (300, 0), (0, 100), (20, 100), (300, 100)]
    told, _ = refusal(found(places, 10.0), (2, 4))
    assert told.endswith("the rows hold 4, 3")


def test_a_tilted_column_is_read_as_it_lies():
    told, _ = refusal(found([(0, 0), (5, 100), (10, 300)], 10.0), (4, 1))
    assert told.endswith("empty: row 3 place 1")


@pytest.mark.parametrize("text", ["60x60", "1x60", "60x1"])
def test_sixty_are_the_most_in_a_grid(text):
    assert grid_named(text) == tuple(map(int, text.split("x")))


@pytest.mark.parametrize("text", ["61x1", "1x61", "1x0", "1000000x1"])
def test_more_than_sixty_are_refused(text):
    with pytest.raises(PictureError, match="from 1 to 60"):
        grid_named(text)
