"""Shapes that a piece can have, each a group of measures that lays itself out; one line each."""

from convert.making.shapes.cutout import Cutout
from convert.making.shapes.flower import Flower
from convert.making.shapes.rectangle import Rectangle
from convert.making.shapes.shape import Shape
from convert.making.shapes.strip import Strip

SHAPES: dict[str, type[Shape]] = {
    "flower": Flower,
    "strip": Strip,
    "rectangle": Rectangle,
    "outline": Cutout,
}
