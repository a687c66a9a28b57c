import itertools

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from convert.colour.lab import lab_to_lch
from convert.colour.surface_gamut import surface_chroma
from convert.palette.lakeside import MOST_COLOURS, _filled_up, grid, range_csv, within_glass
from convert.palette.palette_file import read_palette
from convert.palette.resources import palette_path

# Beads of the range that no paint is as vivid as: transparent and lined glass, through which light shines.
# Common practice, no source.
BEYOND_SURFACES = 6.0
NEW = ("GU", "DN", "DF", "ST", "LI", "EG", "MI", "RN", "TN", "GS", "PV", "WG", "RF", "SP", "CU", "WL", "TF",
       "PW", "DR", "WV", "LS", "MW")  # fmt: skip


@pytest.fixture(scope="module")
def entries():
    palette, notes = read_palette(palette_path("lakeside-range"))
    assert notes == ()
    return [entry for entry in palette.entries if entry.size == "11/0"]


@pytest.fixture(scope="module")
def nearest():
    """CIEDE2000 from each colour of the grid to its nearest bead, by scikit-image from beginning to end."""
    palette, _ = read_palette(palette_path("lakeside-range"))
    hexes = sorted({entry.hex for entry in palette.entries})
    beads = rgb2lab(np.array([list(bytes.fromhex(text[1:])) for text in hexes]) / 255)
    rgb, _, kinds = grid()
    lab = rgb2lab(rgb)
    least = np.full(len(rgb), np.inf)
    for bead in beads:
        np.minimum(least, deltaE_ciede2000(lab, bead[np.newaxis]), out=least)
    return least, rgb, lab, kinds


def test_the_range_that_ships_is_the_one_the_program_makes():
    assert palette_path("lakeside-range").read_text(encoding="utf-8") == range_csv()


def test_the_range_is_of_a_size_to_keep(entries):
    assert len(entries) <= MOST_COLOURS
    assert len({entry.code for entry in entries}) == len({entry.name for entry in entries}) == len(entries)


def test_most_colours_of_a_screen_find_a_bead(nearest):
    least, rgb, _, _ = nearest
    assert rgb.shape == (33**3, 3)
    inside = ((rgb != 0) & (rgb != 255)).all(axis=1)
    assert inside.sum() == 31**3
    assert least[inside].mean() <= 6.5


def test_greys_find_their_grey_and_skin_its_tone(nearest):
    least, _, lab, (_, _, skin) = nearest
    grey = np.hypot(lab[:, 1], lab[:, 2]) < 8
    assert grey.sum() > 400
    assert least[grey].mean() <= 3
    assert least[grey].max() <= 6
    assert least[skin].mean() <= 3.5


def test_no_bead_is_more_vivid_than_glass(entries, colour_science):
    """Pointer's gamut as colour-science has it, whose volume begins at lightness 15 and ends at 90."""
    lab = np.array([entry.lab for entry in entries])
    is_new = np.array([entry.code[:2] in NEW for entry in entries])
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    assert chroma.max() < 80
    kept = np.clip(chroma - np.where(is_new, 0, BEYOND_SURFACES), 0, None) / chroma
    inner = lab * np.column_stack([np.ones(len(lab)), kept, kept])
    judged = (lab[:, 0] > 15) & (lab[:, 0] < 90) & (chroma > 8)
    assert judged.sum() > 150
    models = colour_science.models
    xyz = models.Lab_to_XYZ(inner, models.CCS_ILLUMINANT_POINTER_GAMUT)
    within = colour_science.is_within_pointer_gamut(xyz)
    assert not [entry.code for entry, ok in zip(entries, within | ~judged, strict=True) if not ok]
    assert within_glass(lab[is_new]).all()


def test_a_screen_is_more_vivid_than_glass():
    _, lab, _ = grid()
    within = within_glass(lab)
    assert 0.3 < within.mean() < 0.5
    for primary in ([255, 0, 0], [0, 255, 0], [0, 0, 255], [255, 255, 0], [0, 255, 255], [255, 0, 255]):
        assert not within_glass(rgb2lab(np.array([primary]) / 255)).any()


def test_limits_of_surfaces_are_those_published(colour_science):
    lightness, chroma, hue = colour_science.models.DATA_POINTER_GAMUT_VOLUME.T
    a, b = chroma * np.cos(np.radians(hue)), chroma * np.sin(np.radians(hue))
    some = chroma > 0
    found = surface_chroma(np.column_stack([lightness, a, b])[some])
    np.testing.assert_allclose(found, chroma[some], atol=1e-6)
    assert surface_chroma([[0, 5, 5], [100, 5, 5]]).tolist() == [0, 0]
    # Half way between 90, at hue 0, and white.
    assert surface_chroma([[95, 1, 0]])[0] == pytest.approx(8 / 2)


def test_what_the_shelf_holds_is_of_the_range(entries):
    shelf, _ = read_palette(palette_path("workshop-shelf"))
    ours = {(entry.code, entry.name, entry.hex, entry.finish) for entry in entries}
    assert {(entry.code, entry.name, entry.hex, entry.finish) for entry in shelf.entries} <= ours


def test_a_family_goes_from_light_to_dark(entries):
    for family, members in itertools.groupby(entries, key=lambda entry: entry.code[:2]):
        lightness = [entry.lab[0] for entry in members]
        assert lightness == sorted(lightness, reverse=True), family


@pytest.mark.parametrize("case", range(6))
def test_no_exchange_makes_the_choice_better(case):
    draw = np.random.default_rng(case)
    missed = draw.integers(0, 1000, (12, 40)).astype(np.int32)
    least = draw.integers(300, 1000, 40).astype(np.int32)

    def total(chosen):
        return np.minimum(least, missed[list(chosen)].min(axis=0)).sum()

    added = _filled_up(missed, least, 4).tolist()
    assert len(set(added)) == 4
    best = min(
        total([*added[:place], *added[place + 1 :], other]) for place in range(4) for other in range(12)
    )
    assert total(added) <= best
    assert total(added) <= 1.05 * min(total(chosen) for chosen in itertools.combinations(range(12), 4))


def test_chroma_and_hue_of_the_new_families_are_their_own(entries):
    """Greys stand about grey; what is named for a flower or an insect is vivid."""
    lch = {entry.code: lab_to_lch(np.array(entry.lab)) for entry in entries}
    for code, (_, chroma, _) in lch.items():
        if code[:2] in ("GU", "DN", "ST", "LI", "EG", "MI", "RN", "TN", "GS", "PV", "WG"):
            assert chroma < 8, code
        if code[:2] in ("WL", "TF", "DR", "WV", "LS", "MW"):
            assert chroma > 35, code
