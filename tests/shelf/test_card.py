"""The card in view: found however it lies, used where it fits, and told where it does not."""

import numpy as np
import pytest

from convert.errors import PaletteError, PictureError
from convert.palette.model import BeadColour, Palette
from convert.shelf.card import MARK_MM, MARK_UNITS, PATCH_MM, PATCHES, corners_mm
from convert.shelf.light import MOST_OFF, PAPER, by_card, values_as_printed
from tests.shelf.conftest import LABS
from tests.shelf.photographs import Photograph
from tests.shelf.trial import compared, read

BAD_PRINTER = np.array([1.35, 0.8, 1.2])


def turned(photograph, quarters):
    pixels = np.rot90(photograph.pixels, quarters).copy()
    return Photograph(pixels, photograph.labs, photograph.centres_px, photograph.radii_px, b"")


def table(labs):
    entries = [
        BeadColour(patch.code, "", None, "#808080", tuple(map(float, lab)))
        for patch, lab in zip(PATCHES, labs, strict=True)
    ]
    return Palette("measured", tuple(entries))


def test_values_are_what_colour_science_makes_of_them(colour_science):
    """sRGB of IEC 61966-2-1, within a step of a byte."""
    assert len(PATCHES) == 36
    assert sum(patch.lab[1:] != (0, 0) for patch in PATCHES) == 24
    assert len({patch.code for patch in PATCHES}) == 36
    for patch in PATCHES:
        rgb = colour_science.XYZ_to_sRGB(colour_science.Lab_to_XYZ(patch.lab))
        assert (rgb > 0).all(), patch
        assert (rgb < 1).all(), patch
        assert np.abs(rgb * 255 - list(bytes.fromhex(patch.hex[1:]))).max() < 1.0, patch


def test_a_card_that_is_printed_keeps_its_values():
    """Cards lie in workshops: with other values, or other places, they would be read wrong."""
    assert " ".join(patch.hex[1:] for patch in PATCHES) == (
        "D2425F E56339 F1A735 D5D941 5EA749 229872 0E9B9A 2698B1 2B89BD 1E53A2 824BA6 BD438D"
        " E9BBBE 703E2D E5C094 61612E B8DCA9 204F3D 97D1CF 224C57 91BBDC 243865 C2A7D1 662F4F"
        " E8E8E8 D4D4D4 C1C1C1 AEAEAE 9B9B9B 898989 777777 666666 555555 444444 353535 262626"
    )
    rows = ["".join(patch.code for patch in PATCHES[row : row + 12]) for row in (0, 12, 24)]
    assert rows == ["".join(f"{letter}{place}" for place in range(1, 13)) for letter in "VSG"]
    for number, patch in enumerate(PATCHES):
        row, place = divmod(number, 12)
        assert (patch.x_mm, patch.y_mm) == pytest.approx((13.4 + 13.2 * place, 15.5 + 20 * row))
    assert (MARK_MM, MARK_UNITS, PATCH_MM) == (10, (7, 5, 3), (11.6, 11))
    assert corners_mm().tolist() == [[0, 0], [172, 0], [172, 96], [0, 96]]


@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
def test_card_is_found_however_it_lies(photographed, quarters):
    shelf = read(turned(photographed(card=True, tilt=4.0), quarters))
    assert shelf.correction.basis == "card"
    assert shelf.correction.off < 1.5
    assert len(shelf.entries) == 8


def test_lamp_light_is_undone(colour_science, photographed):
    """Under illuminant A as the camera gets it, without any white balance of its own."""
    photograph = photographed(card=True, illuminant="A", balanced=0.0)
    one = compared(colour_science, photograph, read(photograph))
    assert one.in_order
    assert np.median(one.differences) < 4
    # As the photograph stands, they are far off.
    raw = colour_science.XYZ_to_Lab(colour_science.sRGB_to_XYZ(photograph.pixels / 255))
    x, y = np.rint(photograph.centres_px).astype(int).T
    assert np.median(colour_science.delta_E(raw[y, x], photograph.labs, method="CIE 2000")) > 10


def test_a_bad_print_is_left_aside(colour_science, photographed):
    photograph = photographed(card=True, print_error=BAD_PRINTER)
    shelf = read(photograph)
    assert shelf.correction.basis == "paper"
    assert any("left aside" in note for note in shelf.notes)
    assert np.median(compared(colour_science, photograph, shelf).differences) < 5
    with pytest.raises(PictureError, match="the patches of the card miss the printed values by"):
        read(photograph, light="card")


def test_measured_values_mend_a_bad_print(colour_science, photographed, linear):
    photograph = photographed(card=True, print_error=BAD_PRINTER)
    light = np.clip(linear(values_as_printed()), 0, 1) ** BAD_PRINTER
    to_xyz = colour_science.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    measured = colour_science.XYZ_to_Lab(light @ to_xyz.T)
    shelf = read(photograph, card_values=table(measured))
    assert shelf.correction.basis == "card"
    assert shelf.correction.off < 1.5
    assert np.median(compared(colour_science, photograph, shelf).differences) < 4
    assert not any("on trust" in note for note in shelf.notes)


def test_print_is_taken_on_trust_and_that_is_told(photographed):
    assert any("on trust" in note for note in read(photographed(card=True)).notes)


def test_card_without_a_mark_is_told(photographed):
    photograph = photographed(card=True)
    photograph.pixels[:70, :90] = photograph.pixels[80, 20]
    shelf = read(photograph)
    assert shelf.correction.basis == "paper"
    assert any("3 of its 4 corner marks" in note for note in shelf.notes)
    with pytest.raises(PictureError, match="card not found, 3 of its 4 corner marks seen"):
        read(photograph, light="card")


def test_no_card_at_all_is_told(photographed):
    photograph = photographed()
    with pytest.raises(PictureError, match="card not found, 0 of its 4") as error:
        read(photograph, light="card")
    assert "--light paper" in error.value.hint
    with pytest.raises(PictureError, match="card not found"):
        read(photograph, card_values=table(values_as_printed()))
    with pytest.raises(PictureError, match="--card-values is of use only with the card"):
        read(photograph, card_values=table(values_as_printed()), light="paper")


def test_paper_can_be_asked_for(photographed):
    assert read(photographed(card=True), light="paper").correction.basis == "paper"


def test_measured_values_lack_a_patch(photographed):
    values = table(values_as_printed())
    with pytest.raises(PaletteError, match="no bead 'G12'"):
        read(photographed(card=True), card_values=Palette("measured", values.entries[:-1]))


def test_least_squares_find_the_matrix(linear):
    """Light mixed by a matrix is unmixed by its inverse, whatever the weights."""
    matrix = np.array([[0.7, 0.2, 0.05], [0.1, 0.8, 0.02], [0.03, 0.2, 0.5]])
    correction = by_card(linear(values_as_printed()) @ matrix.T, values_as_printed())
    assert correction.matrix == pytest.approx(np.linalg.inv(matrix), abs=2e-3)
    assert correction.off < 0.1 < MOST_OFF


def test_dark_patches_count_as_the_eye_counts_them(colour_science, linear):
    """No matrix fits a camera's tone curve; weighted, it misses by less than plain least squares do."""
    known = np.maximum(linear(values_as_printed()), 1e-6)
    seen = known**1.25
    plain = seen @ np.linalg.lstsq(seen, known, rcond=None)[0]
    to_xyz = colour_science.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    missed = colour_science.delta_E(
        colour_science.XYZ_to_Lab(np.maximum(plain, 0) @ to_xyz.T), values_as_printed(), method="CIE 2000"
    )
    assert by_card(seen, values_as_printed()).off < 0.95 * missed.mean()


def test_grey_card_gives_white_and_level(colour_science, photographed):
    """On yellowish paper, which would tint everything, the grey card is right."""
    scene = {"paper": (0.95, 0.86, 0.68), "grey_card_mm": (110.0, 60.0, 142.0, 100.0)}
    photograph = photographed(2, 4, labs=LABS[[0, 1, 2, 3, 4, 5, 6, 6]], **scene)
    # The last heap lies on the card: take it off by looking at the first row and three of the second.
    bare = photograph.pixels.copy()
    left, top = 110 * 3.2, 60 * 3.2
    bare[int(top) + 3 : 317, int(left) + 3 : 451] = photograph.pixels[int(top) + 4, int(left) + 6]
    photograph = Photograph(
        bare, photograph.labs[:7], photograph.centres_px[:7], photograph.radii_px[:7], b""
    )
    shelf = read(photograph, light="grey")
    assert shelf.correction.basis == "grey"
    grey, paper = (
        compared(colour_science, photograph, one).differences
        for one in (shelf, read(photograph, light="paper"))
    )
    assert len(shelf.entries) == 7
    assert np.median(grey) < 4 < np.median(paper)


def test_no_grey_card_is_told(photographed):
    with pytest.raises(PictureError, match="no grey card found"):
        read(photographed(), light="grey")


def test_paper_is_nearly_white(colour_science):
    """L* 94.7, where ISO 12647-2 has substrates at about 95 (from memory)."""
    assert colour_science.XYZ_to_Lab(np.array([0.95047, 1.0, 1.08883]) * PAPER)[0] == pytest.approx(95, abs=1)
