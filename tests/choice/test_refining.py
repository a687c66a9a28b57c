import numpy as np
import pytest

from convert.choice.refining import refine
from convert.colour.lab import lab_to_linear, linear_to_lab
from convert.colour.matching import nearest
from convert.weave.beads import bead_size
from convert.weave.lattice import sheet
from convert.weave.spacing import model_spacing

SIZES = (bead_size("11/0"),) * 2
EACH_ITS_OWN = np.arange(2, dtype=np.int32)
ALLOWED = (EACH_ITS_OWN,) * 2
BLACK_AND_WHITE = np.array([[0.0, 0, 0], [1, 1, 1]])


def piece(direction="across"):
    weave = sheet(np.ones((60, 40), bool), SIZES, model_spacing(*SIZES), direction)
    wanted = np.tile(lab_to_linear([55.0, 0, 0]), (weave.beads, 1))
    return weave, wanted, nearest(linear_to_lab(wanted), linear_to_lab(BLACK_AND_WHITE))[0]


def test_nothing_asked_nothing_changed():
    weave, wanted, chosen = piece()
    plain = refine(weave, chosen, wanted, BLACK_AND_WHITE, EACH_ITS_OWN, ALLOWED)
    assert (plain == chosen).all()
    assert plain is not chosen
    # Nor is the piece looked at.
    assert (refine(None, chosen, wanted, BLACK_AND_WHITE, EACH_ITS_OWN, ALLOWED) == chosen).all()


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize("kind", ["spread", "threshold"])
def test_dithers_in_both_directions_of_rows(direction, kind):
    weave, wanted, chosen = piece(direction)
    mixed = refine(
        weave, chosen, wanted, BLACK_AND_WHITE, EACH_ITS_OWN, ALLOWED, dither=1.0, dither_kind=kind
    )
    mean = BLACK_AND_WHITE[mixed].mean(axis=0)
    assert linear_to_lab(mean)[0] == pytest.approx(55, abs=0.5)
    # Few white beads have only white neighbours: they are spread, not heaped.
    assert 0.1 < mixed.mean() < 0.4


def test_along_is_across_mirrored():
    """The fixed thresholds follow the rows, so the same beads of the mirrored piece are white."""
    white = []
    for direction in ("across", "along"):
        weave, wanted, chosen = piece(direction)
        mixed = refine(
            weave, chosen, wanted, BLACK_AND_WHITE, EACH_ITS_OWN, ALLOWED, dither=1.0, dither_kind="threshold"
        )
        xy = weave.bead_xy if direction == "across" else weave.bead_xy[:, ::-1]
        white.append(sorted(np.rint(xy[mixed == 1] * 1000).astype(int).tolist()))
    assert white[0] == white[1]


def test_smooths():
    weave, wanted, _ = piece()
    specks = np.random.default_rng(0).random(weave.beads) < 0.05
    palette = np.stack([wanted[0], wanted[0] * 1.15])
    wanted = palette[specks.astype(int)]
    assert (
        refine(weave, specks.astype(np.int32), wanted, palette, EACH_ITS_OWN, ALLOWED, smoothing=0.5) == 0
    ).mean() > 0.99


def test_each_kind_is_its_own():
    """Thresholds do not depend on what the neighbours got: half of the piece has the beads of the whole."""
    weave, wanted, _ = piece()
    at = weave.bead_xy[:, 1] < weave.bead_xy[:, 1].max() / 2
    kinds = {}
    for kind in ("spread", "threshold", "search"):
        whole, half = (
            refine(
                weave,
                nearest(linear_to_lab(light), linear_to_lab(BLACK_AND_WHITE))[0],
                light,
                BLACK_AND_WHITE,
                EACH_ITS_OWN,
                ALLOWED,
                dither=1.0,
                dither_kind=kind,
            )
            for light in (wanted, np.where(at[:, None], 0.0, wanted))
        )
        kinds[kind] = whole
        assert ((whole == half)[~at].all()) == (kind == "threshold")
    assert (kinds["spread"] != kinds["search"]).any()
