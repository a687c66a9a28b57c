"""One photograph of the outside check: rendered from known colours, read, and compared by colour-science."""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pypdfium2

from convert.drawing.colour_card import place_for_beads_mm, write_card
from convert.picture.model import Picture
from convert.shelf.photograph import photograph_of
from convert.shelf.shelf import Shelf, ShelfOptions, read_shelf
from convert.units import A4
from tests.shelf.photographs import Photograph, random_scene, render

DOTS = 4.4
"""Pixels in a millimetre: little for a camera, so that the check is a hard one."""


@dataclass
class Trial:
    """What came of a photograph."""

    found: bool
    """Whether there is a heap at every place, and none beside."""
    in_order: bool
    differences: np.ndarray
    """CIEDE2000 of every heap that was found from its true colour."""


@cache
def card_page(dots=DOTS):
    """Return the card as a printer prints it, at some pixels in a millimetre."""
    with pypdfium2.PdfDocument(write_card(A4)) as document:
        page = document[0].render(scale=dots * 25.4 / 72).to_pil()
        return np.asarray(page.convert("RGB")).copy()


def read(photograph: Photograph, **options) -> Shelf:
    picture = Picture("tray", photograph.pixels.copy())
    return read_shelf(photograph_of(picture), ShelfOptions(**options))


def compared(colour_science, photograph: Photograph, shelf: Shelf) -> Trial:
    middles = np.array([outline.mean(axis=0) for outline in shelf.outlines])
    apart = np.linalg.norm(middles[:, None] - photograph.centres_px[None], axis=2)
    nearest = apart.argmin(axis=0)
    near = apart.min(axis=0) < 0.4 * photograph.radii_px
    labs = np.array([entry.lab for entry in shelf.entries])[nearest[near]]
    differences = colour_science.delta_E(photograph.labs[near], labs, method="CIE 2000")
    found = bool(near.all()) and len(middles) == len(near)
    in_order = found and bool((nearest == np.arange(len(nearest))).all())
    return Trial(found, in_order, differences)


def trial(colour_science, number: int, *, card: bool, dots: float = DOTS) -> Trial:
    """Return what comes of the photograph of a number, with the card in view or on paper alone."""
    generator = np.random.default_rng((number, card))
    page = (card_page(dots), place_for_beads_mm(A4)) if card else ()
    photograph = render(colour_science, random_scene(colour_science, generator, dots, *page), generator)
    return compared(colour_science, photograph, read(photograph))
