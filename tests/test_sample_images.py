"""The sample pictures: what each is there to show, and that it fits into the download."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from convert.errors import OutputError
from convert.palette import resources
from convert.palette.resources import palette_path

SAMPLES = Path(__file__).parents[1] / "sample_images"
PICTURES = {
    "heron.png": (1000, 1180),
    "grebe-dusk.jpg": (1200, 900),
    "reed-border.png": (1500, 250),
    "lakeside-tray.jpg": (994, 1377),
    "heron-on-paper.jpg": (1180, 1360),
}


@pytest.mark.parametrize("name", PICTURES)
def test_opens_at_its_size_and_is_small(name):
    path = SAMPLES / name
    with Image.open(path) as picture:
        picture.load()
        assert picture.size == PICTURES[name]
        assert not picture.getexif()
    assert path.stat().st_size < 300_000


def test_heron_stands_free_as_one_solid_shape():
    """At 25 loops across a loop is 40 pixels; what is thinner than that may not be woven."""
    with Image.open(SAMPLES / "heron.png") as picture:
        alpha = np.asarray(picture)[..., 3]
    assert alpha[:10].max() == 0
    assert 0.4 < (alpha == 255).mean() < 0.7
    solid = alpha > 127
    assert ndimage.label(solid)[1] == 1
    loops = np.add.reduceat(np.add.reduceat(solid, range(0, 1180, 40), axis=0), range(0, 1000, 40), axis=1)
    parts, count = ndimage.label(loops >= 800)
    assert (np.bincount(parts.ravel())[1:] > 1).sum() == 1, count


def test_heron_on_paper_lies_on_opaque_paper_in_uneven_light():
    """What is not the heron is paper, darker in one corner than in another by a fifth at least."""
    with Image.open(SAMPLES / "heron-on-paper.jpg") as picture:
        pixels = np.asarray(picture).astype(int)
    with Image.open(SAMPLES / "heron.png") as picture:
        alpha = np.pad(np.asarray(picture)[..., 3], 90)
    assert pixels.shape == (*alpha.shape, 3)
    corners = [
        pixels[rows, columns].mean()
        for rows in (slice(40), slice(-40, None))
        for columns in (slice(40), slice(-40, None))
    ]
    assert min(corners) < 0.85 * max(corners)
    paper = pixels[ndimage.binary_erosion(alpha == 0, iterations=5, border_value=1)]
    # Pale blue: blue before red in nearly every pixel, though there is grain in it.
    assert (paper[:, 2] > paper[:, 0]).mean() > 0.98


def test_grebe_has_soft_gradients():
    with Image.open(SAMPLES / "grebe-dusk.jpg") as picture:
        pixels = np.asarray(picture).astype(int)
    assert len(np.unique(pixels.reshape(-1, 3), axis=0)) > 20_000
    steps = np.abs(np.diff(pixels[:200, 60], axis=0)).max(axis=1)
    assert np.percentile(steps, 95) <= 4


def test_border_repeats_six_times_and_its_ends_meet():
    with Image.open(SAMPLES / "reed-border.png") as picture:
        pixels = np.asarray(picture.convert("RGB")).astype(int)
    repeats = pixels.reshape(250, 6, 250, 3)
    # The palette of the file may round the soft edges.
    assert np.abs(repeats - repeats[:, :1]).mean() < 1.5
    # A motif, not plain stripes: it changes along the border.
    assert repeats[:, 0].std(axis=1).max() > 40


def test_installed_package_is_asked_before_the_checkout(tmp_path, monkeypatch):
    package = tmp_path / "convert"
    (package / "_data" / "palettes").mkdir(parents=True)
    (tmp_path / "palettes").mkdir()
    monkeypatch.setattr(resources, "files", lambda name: tmp_path / name)
    assert palette_path("workshop-shelf") == package / "_data" / "palettes" / "workshop-shelf.csv"


def test_missing_data_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(resources, "files", lambda name: tmp_path / name)
    with pytest.raises(OutputError, match="palettes that ship with combweave are missing"):
        palette_path("workshop-shelf")
