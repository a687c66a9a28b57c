import numpy as np
import pytest

from convert.picture.mirroring import mirrored
from convert.picture.model import Picture
from convert.settings.design import MirrorSettings

NOISE = np.random.default_rng(5).integers(0, 256, (7, 10, 3)).astype(np.uint8)
ALPHA = np.random.default_rng(6).integers(0, 256, (7, 10)).astype(np.uint8)


@pytest.mark.parametrize(
    ("mirror", "half", "kept"),
    [
        ("across", None, np.s_[:, :5]),
        ("across", "left", np.s_[:, :5]),
        ("across", "right", np.s_[:, 5:]),
        ("down", None, np.s_[:4]),
        ("down", "bottom", np.s_[3:]),
        ("both", None, np.s_[:4, :5]),
        ("both", "right", np.s_[:4, 5:]),
        ("both", "bottom", np.s_[3:, :5]),
    ],
)
def test_one_half_stays_and_the_other_is_its_image(mirror, half, kept):
    found = mirrored(Picture("noise", NOISE, ALPHA), MirrorSettings(mirror=mirror, mirror_from=half))
    for now, was in ((found.pixels, NOISE), (found.alpha, ALPHA)):
        assert (now[kept] == was[kept]).all()
        if mirror in ("across", "both"):
            assert (now == now[:, ::-1]).all()
        if mirror in ("down", "both"):
            assert (now == now[::-1]).all()
        assert (now != was).any()
    assert len(found.adjustments) == 1 + (mirror == "both")
    assert f"the {half or 'left' if mirror == 'across' else half or 'top'} half decides" in " ".join(
        found.adjustments
    )


def test_without_a_line_nothing_is_done():
    picture = Picture("noise", NOISE)
    assert mirrored(picture, MirrorSettings()) is picture
    assert mirrored(picture, MirrorSettings(mirror="across")).alpha is None
