import numpy as np
from skimage.color import deltaE_ciede2000

from convert.colour.lab import srgb_to_lab
from convert.colour.matching import nearest


def test_gives_the_nearest_of_all_pairs_and_of_equals_the_first():
    draw = np.random.default_rng(1)
    lab = srgb_to_lab(draw.integers(0, 256, (500, 3), dtype=np.uint8))
    palette = srgb_to_lab(draw.integers(0, 256, (40, 3), dtype=np.uint8))
    palette = np.concatenate([palette, palette])
    table = deltaE_ciede2000(lab[:, None], palette[None])
    index, distance = nearest(lab, palette)
    np.testing.assert_array_equal(index, table.argmin(axis=1))
    assert index.max() < 40
    np.testing.assert_allclose(distance, table.min(axis=1), atol=1e-9)
