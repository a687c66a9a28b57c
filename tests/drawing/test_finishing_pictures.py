"""Pictures of finishing: all inside, and the thread through the beads that the words name."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon, box

from convert.drawing import style
from convert.drawing.finishing_pictures import captioned_finish
from convert.drawing.piece import draw_piece
from convert.drawing.step_pictures import step_sheet
from convert.instructions.order import OrderOfWork
from convert.piece.finishing import FINISHES, finishing
from convert.weave.shapes import Flower, Sheet
from tests.drawing.test_step_pictures import make

WIDTH, HEIGHT = 58.0, 48.0
PIECES = {"sheet": "sheet", "strip down": "strip down", "flower": "flower", "loop": "loop"}


def captioned(name, kind):
    pattern = replace(make(name), finish=kind)
    return pattern, captioned_finish(OrderOfWork(pattern), draw_piece(pattern), WIDTH, HEIGHT)


def thread_of(picture):
    lines = [stroke.points for stroke in picture.strokes if stroke.colour == style.ACCENT and stroke.width_mm]
    return LineString([point for line in lines for point in line])


@pytest.mark.parametrize("kind", FINISHES[1:])
@pytest.mark.parametrize("name", PIECES)
def test_thread_and_beads_are_inside_the_picture(name, kind):
    _, steps = captioned(name, kind)
    page = box(0, 0, WIDTH, HEIGHT)
    assert steps
    for step in steps:
        assert page.contains(thread_of(step.picture))
        for one in step.picture.labels:
            left, top, right, bottom = one.box
            assert page.contains(box(left, top, right, bottom))


@pytest.mark.parametrize("kind", FINISHES[1:])
@pytest.mark.parametrize("name", PIECES)
def test_the_thread_goes_through_each_bead_that_is_numbered(name, kind):
    pattern, steps = captioned(name, kind)
    finish = finishing(pattern)
    for step, one in zip(steps, finish.fastenings, strict=True):
        picture = step.picture
        thread = thread_of(picture)
        # Numbered beads are those with a strong edge; the second polygon of each is its face.
        faces = [
            Polygon(stroke.points)
            for edge, stroke in zip(picture.strokes, picture.strokes[1:], strict=False)
            if edge.colour == style.INK and not edge.width_mm and not stroke.width_mm
        ]
        numbers = [label.text for label in picture.labels]
        assert numbers == [str(number + 1) for number in range(len(numbers))]
        assert len(faces) == len(numbers) == min(len(one.beads), 4 if kind == "sewn" else 3)
        for face in faces:
            assert thread.intersection(face).length > 0.7 * np.sqrt(face.area)


def test_the_sheet_of_steps_ends_with_them():
    plain = make("strip down")
    sheet, with_clasp = (
        step_sheet(OrderOfWork(pattern)) for pattern in (plain, replace(plain, finish="clasp"))
    )
    assert with_clasp.height_mm > sheet.height_mm or len(with_clasp.labels) > len(sheet.labels)
    words = " ".join(label.text for label in with_clasp.labels)
    assert "Top" in words and "Bottom" in words
    assert isinstance(plain.shape, Sheet) and not isinstance(plain.shape, Flower)
