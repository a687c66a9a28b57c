import warnings

import numpy as np
import pytest

from convert.colour.ciede2000 import ciede2000
from convert.colour.measured import BANDS_NM, lab_of_lab_d50, lab_of_spectrum, lab_of_xyz
from convert.errors import PaletteError

PATCHES = range(24)


@pytest.fixture(scope="module")
def chart(colour_science):
    """The 24 patches as measured after November 2014, in XYZ under D50, with their white."""
    data = colour_science.CCS_COLOURCHECKERS["cca2014"]
    xyz = [colour_science.xyY_to_XYZ(value) for value in data.data.values()]
    white = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    adapted = [
        colour_science.chromatic_adaptation(
            value,
            colour_science.xy_to_XYZ(data.illuminant),
            colour_science.xy_to_XYZ(white),
            transform="Bradford",
        )
        for value in xyz
    ]
    return {
        "xyz_d50": xyz,
        "lab_d50": [colour_science.XYZ_to_Lab(value, data.illuminant) for value in xyz],
        "xyz_d65": adapted,
        "lab_d65": [colour_science.XYZ_to_Lab(value, white) for value in adapted],
    }


# The two libraries round the whites and Bradford's matrix unlike: 0.02 is their own distance.
@pytest.mark.parametrize("patch", PATCHES)
def test_lab_under_d50_agrees_with_colour_science(chart, patch):
    assert ciede2000(lab_of_lab_d50(chart["lab_d50"][patch]), chart["lab_d65"][patch]) < 0.05


@pytest.mark.parametrize("patch", PATCHES)
def test_xyz_agrees_with_colour_science(chart, patch):
    assert ciede2000(lab_of_xyz(chart["xyz_d65"][patch] * 100), chart["lab_d65"][patch]) < 0.05
    assert ciede2000(lab_of_xyz(chart["xyz_d50"][patch] * 100, "d50"), chart["lab_d65"][patch]) < 0.05


@pytest.mark.parametrize("patch", PATCHES)
def test_spectra_agree_with_colour_science(colour_science, patch):
    """The summed bands of 10 nm, and what colormath leaves out past 730 nm, account for the rest."""
    spectrum = list(colour_science.SDS_COLOURCHECKERS["cc_ohta"].values())[patch]
    spectrum = spectrum.copy().align(colour_science.SpectralShape(380, 730, 10))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that it interpolates the illuminant
        xyz = colour_science.sd_to_XYZ(spectrum, illuminant=colour_science.SDS_ILLUMINANTS["D65"]) / 100
    white = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    expected = colour_science.XYZ_to_Lab(xyz, white)
    assert ciede2000(lab_of_spectrum(spectrum.values), expected) < 0.15


def test_perfect_white_is_white():
    assert lab_of_spectrum([1.0] * len(BANDS_NM)) == pytest.approx((100, 0, 0), abs=0.1)
    assert lab_of_lab_d50([100, 0, 0]) == pytest.approx((100, 0, 0), abs=0.02)
    assert lab_of_xyz([95.047, 100, 108.883]) == pytest.approx((100, 0, 0), abs=0.02)


@pytest.mark.parametrize(
    ("convert", "values", "message"),
    [
        (lab_of_lab_d50, [50, 0], "L\\* a\\* b\\* are 3 numbers, not 2"),
        (lab_of_lab_d50, [150, 0, 0], "L\\* is 150, not from 0 to 100"),
        (lab_of_lab_d50, [50, 300, 0], "a\\* is 300"),
        (lab_of_lab_d50, [50, 0, float("nan")], "b\\* is nan"),
        (lab_of_xyz, [10, float("inf"), 10], "Y is inf"),
        (lab_of_xyz, [-1, 10, 10], "X is -1"),
        (lab_of_spectrum, [0.5] * 31, "31 bands, not the 36 from 380 to 730 nm"),
        (lab_of_spectrum, [0.5] * 35 + [float("nan")], "reflectance at 730 nm is nan"),
        (lab_of_spectrum, [43.0] + [0.5] * 35, "at 380 nm is 43, far above 1"),
        (lab_of_spectrum, [-0.2] + [0.5] * 35, "at 380 nm is -0.2"),
    ],
)
def test_faults_get_one_clear_line(convert, values, message):
    with pytest.raises(PaletteError, match=message):
        convert(values)


@pytest.mark.parametrize(
    ("convert", "most", "above"),
    [
        (lab_of_lab_d50, [100, 150, 150], [100.1, 0, 0]),
        (lab_of_lab_d50, [0, 0, 0], [-0.1, 0, 0]),
        (lab_of_lab_d50, [50, 150, 150], [50, 200.1, 0]),
        (lab_of_lab_d50, [50, -150, -150], [50, 0, -200.1]),
        (lab_of_xyz, [150, 150, 150], [100, 150.1, 100]),
        (lab_of_xyz, [0, 0, 0], [0, 0, -0.1]),
        (lab_of_spectrum, [1.5] * 36, [1.5] * 35 + [1.51]),
        (lab_of_spectrum, [0] * 36, [0] * 35 + [-0.01]),
    ],
)
def test_what_can_be_measured_ends_where_it_says(convert, most, above):
    assert np.isfinite(convert(most)).all()
    with pytest.raises(PaletteError):
        convert(above)


def test_values_that_are_possible_one_by_one_may_be_no_colour_together():
    # L* a* b* (CIE 15): with Y = 40, a* passes 200 where X / 95.047 = (1.4 - 1 + 0.4 ** (1 / 3)) ** 3.
    limit = 95.047 * (0.4 + 0.4 ** (1 / 3)) ** 3
    assert lab_of_xyz([limit - 0.1, 40, 43])[1] == pytest.approx(200, abs=0.2)
    with pytest.raises(PaletteError, match="a\\* is 200"):
        lab_of_xyz([limit + 0.1, 40, 43])
    with pytest.raises(PaletteError, match="a\\* is -431"):
        lab_of_xyz([0, 100, 100])


def test_bands():
    assert (len(BANDS_NM), BANDS_NM[0], BANDS_NM[-1]) == (36, 380, 730)
    assert np.diff(BANDS_NM).tolist() == [10] * 35


def test_a_brightener_is_white_in_the_palette():
    lightness, a, b = lab_of_spectrum([1.1] * len(BANDS_NM))
    assert lightness == 100
    # Equal in all bands, so of the colour of D65 but for the steps of 10 nm.
    assert (a, b) == pytest.approx((0, 0), abs=0.5)
