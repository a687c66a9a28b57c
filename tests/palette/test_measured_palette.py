"""Palettes whose colours come from an instrument."""

import numpy as np
import pytest

from convert.colour.ciede2000 import ciede2000
from convert.errors import PaletteError
from convert.palette.palette_file import parse_palette

FLAT = " ".join(["0.2"] * 36)


def read(text):
    return parse_palette(text.encode(), "swatches.csv")[0].entries


def test_columns_of_instruments():
    entries = read(
        "code,hex,lab_d50,xyz,spectrum\n"
        "A,,50 20 -30,,\n"
        "B,,,20.5 21.6 23.5,\n"
        f"C,,,,{FLAT}\n"
        "D,#123456,,,\n"
        "E,#808080,50 0 0,,\n"
    )
    # A grey reflects the same in all bands: L* of a reflectance of 0.2 is 116 * cbrt(0.2) - 16 = 51.84.
    assert entries[2].lab == pytest.approx((51.837, 0, 0), abs=0.1)
    # The same numbers under D65 are another colour than under D50, by far more than rounding.
    assert 1 < ciede2000(np.array(entries[0].lab), [50, 20, -30]) < 5
    assert entries[1].lab[0] == pytest.approx(53.6, abs=0.1)
    assert abs(entries[1].lab[1]) < 1
    assert entries[3].hex == "#123456"
    # The instrument decides the colour, hex what the screen shows.
    assert entries[4].hex == "#808080"
    assert entries[4].lab == pytest.approx((50, 0, 0), abs=0.02)


def test_decimal_commas_and_semicolons():
    (entry,) = read("code\tlab_d50\nA\t50,5; 1,0; -1,0\n")
    assert entry.lab[0] == pytest.approx(50.5, abs=0.1)


@pytest.mark.parametrize(
    ("cell", "column", "message"),
    [
        (" ".join(["0.2"] * 31), "spectrum", "the spectrum has 31 bands, not the 36 from 380 to 730 nm"),
        (" ".join(["0.2"] * 35 + ["nan"]), "spectrum", "reflectance at 730 nm is nan"),
        (" ".join(["20"] * 36), "spectrum", "reflectance at 380 nm is 20, far above 1"),
        ("50 0", "lab_d50", "are 3 numbers, not 2"),
        ("50 0 red", "lab_d50", "'red' is not a number"),
        ("nan 0 0", "lab_d50", "L\\* is nan"),
        ("0 100 0", "xyz", "a\\* is -431"),
        ("inf 100 0", "xyz", "X is inf"),
    ],
)
def test_faults_name_line_and_column(cell, column, message):
    with pytest.raises(PaletteError, match=f"swatches.csv, line 3, column {column}: .*{message}"):
        read(f"code,{column},hex\nA,,#101010\nB,{cell},\n")


def test_one_colour_is_enough():
    with pytest.raises(PaletteError, match="line 2, column xyz: the colour is given in lab already"):
        read("code,lab,xyz\nA,50 0 0,20 20 20\n")
