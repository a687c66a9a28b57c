"""Small drawings are as they were when somebody last looked at them, see `tests.drawing.approve`."""

import re

import numpy as np
import pytest
from PIL import Image

from tests.drawing.approve import APPROVED, FIGURES, PICTURES

NUMBER = re.compile(r"-?\d+\.\d+")
HOW = "look at it, and approve it by python -m tests.drawing.approve FOLDER"


@pytest.mark.parametrize("name", FIGURES)
def test_figures_are_those_approved(name):
    found = FIGURES[name]()
    approved = (APPROVED / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    assert len(found) == len(approved), f"{name} has changed: {HOW}"
    for one, other in zip(found, approved, strict=True):
        assert NUMBER.sub("", one) == NUMBER.sub("", other), f"{name} has changed: {HOW}"
        figures, wanted = ([float(text) for text in NUMBER.findall(line)] for line in (one, other))
        assert figures == pytest.approx(wanted, abs=0.015), f"{name} has changed in {other!r}: {HOW}"


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_those_approved(name):
    """Within what other versions of the libraries make of the edges of letters; a preview has none."""
    found = PICTURES[name]().astype(int)
    approved = np.asarray(Image.open(APPROVED / f"{name}.png")).astype(int)
    assert found.shape == approved.shape, f"{name} has changed: {HOW}"
    most = 0.004 if name.startswith("preview") else 0.05
    assert np.abs(found - approved).mean() < most, f"{name} has changed: {HOW}"
