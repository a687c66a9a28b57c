from dataclasses import replace

import numpy as np
import pytest

from convert.changing.change_file import Recolour
from convert.changing.changing import changed
from convert.errors import ChangeError
from convert.palette.model import BeadColour, Palette
from convert.settings.changes import ChangeOptions
from tests.changing.test_finding import finder
from tests.instructions.pieces import piece


@pytest.fixture
def sheet():
    return piece(np.ones((3, 4), bool), sizes=("11/0", "8/0"), colours=3)


def codes(pattern):
    return np.array([pattern.palette.entries[entry].code for entry in pattern.bead_colour])


def test_only_the_beads_that_are_named_change(sheet):
    new, notes = changed(sheet, ChangeOptions(colours=("2.2/2.3=BK", "1.1=beak", "1.1/left=WH")))
    expected = codes(sheet)
    found = finder(sheet)
    for name, code in (("2.2/2.3", "BK"), ("1.1", "BK"), ("1.1/left", "WH")):
        expected[found.beads(name)] = code
    np.testing.assert_array_equal(codes(new), expected)
    assert notes == (f"{(expected != codes(sheet)).sum()} beads are of another colour than before",)
    assert new.thread is sheet.thread


def test_a_list_comes_before_the_command_line(sheet):
    listed = [Recolour("beak.csv, line 2", "2.2/2.3", "BK"), Recolour("beak.csv, line 3", "3.1/3.2", "BK")]
    new, _ = changed(sheet, ChangeOptions(colours=("2.2/2.3=LB",)), listed)
    found = finder(sheet)
    assert codes(new)[found.beads("2.2/2.3")] == ["LB"]
    assert codes(new)[found.beads("3.1/3.2")] == ["BK"]


def test_colours_swap_places_all_at_once_and_single_beads_come_after(sheet):
    new, _ = changed(sheet, ChangeOptions(swap=("WH=RG", "RG=WH"), colours=("2.2/2.3=BK",)))
    turned = {"WH": "RG", "RG": "WH"}
    expected = np.array([turned.get(code, code) for code in codes(sheet)])
    expected[finder(sheet).beads("2.2/2.3")] = "BK"
    np.testing.assert_array_equal(codes(new), expected)


def test_a_code_is_found_in_each_size_it_is_woven_in(sheet):
    entries = [
        BeadColour(entry.code, entry.name, size.name, entry.hex, entry.lab)
        for size in sheet.weave.sizes
        for entry in sheet.palette.entries
    ]
    by_size = Palette("by size", tuple(entries))
    pattern = replace(
        sheet, palette=by_size, bead_colour=sheet.bead_colour + 4 * sheet.bead_size.astype(np.int32)
    )
    new, _ = changed(pattern, ChangeOptions(swap=("WH=BK",), colours=("2.2=RG",)))
    for entry, size in zip(new.bead_colour, new.bead_size, strict=True):
        assert by_size.entries[entry].size == new.weave.sizes[size].name
    assert "WH" not in codes(new)
    assert set(codes(new)[finder(pattern).beads("2.2")]) == {"RG"}


def test_a_colour_of_any_size_gives_way_to_one_of_each_size(sheet):
    white, beak = sheet.palette.entries[0], sheet.palette.entries[3]
    entries = (white, *(replace(beak, size=size.name) for size in sheet.weave.sizes))
    pattern = replace(sheet, palette=Palette("mixed", entries), bead_colour=np.zeros_like(sheet.bead_colour))
    new, _ = changed(pattern, ChangeOptions(swap=("WH=BK",)))
    np.testing.assert_array_equal(new.bead_colour, 1 + new.bead_size)


def test_a_code_with_an_equals_sign_in_it(sheet):
    entries = tuple(
        replace(entry, code=code)
        for entry, code in zip(sheet.palette.entries, ("=W", "R=", "L", "B"), strict=True)
    )
    pattern = replace(sheet, palette=Palette("odd", entries))
    new, _ = changed(pattern, ChangeOptions(swap=("=W=R=",), colours=("2.2/2.3==W",)))
    assert set(codes(new)) == {"=W", "R=", "L"}
    assert (codes(new) == "=W").sum() == 1


def test_names_are_those_of_the_chart_before_though_loops_come_and_go(sheet):
    options = ChangeOptions(
        add=("0.2,2.0",), drop=("1.1",), colours=("1.2/top left=BK", "0.2=BK", "1.1/1.2=LB", "2.0/left=LB")
    )
    new, notes = changed(sheet, options)
    found = finder(new)
    # Row 0 has become row 1, and place 0 place 1.
    assert set(codes(new)[found.beads("1.3")]) == {"BK"}
    assert codes(new)[found.beads("2.3/left")] == ["LB"]
    assert codes(new)[found.beads("3.1/left")] == ["LB"]
    assert "rows are counted anew: row 1 of the chart before is row 2 now" in notes
    assert "places are counted anew: place 1 of the chart before is place 2 now" in notes


def test_nothing_to_change_changes_nothing(sheet):
    new, notes = changed(sheet, ChangeOptions())
    assert notes == ()
    assert new.bead_colour is sheet.bead_colour
    _, notes = changed(sheet, ChangeOptions(swap=("WH=WH",)))
    assert notes == ("no bead is of another colour than before",)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"colours": ("2.2/2.3=beek",)}, "no bead 'beek' in size 11/0; did you mean beak (BK)?"),
        ({"colours": ("2.2/9.3=BK",)}, "there is no loop '9.3'; the nearest are 3.3, 3.2 and 3.4"),
        ({"colours": ("2.2/2.3",)}, "--set '2.2/2.3': the colour is missing"),
        ({"colours": ("=BK",)}, "--set '=BK': the bead is missing"),
        ({"swap": ("BK=WH",)}, "the piece has no bead of BK; most of its beads are "),
        ({"swap": ("WH",)}, "'WH' is not two colours"),
        ({"swap": ("WH=",)}, "'WH=' is not two colours"),
        ({"swap": ("WX=RG",)}, "no bead 'WX'"),
    ],
    ids=str,
)
def test_what_is_not_there_is_told(sheet, options, words):
    with pytest.raises(ChangeError) as refused:
        changed(sheet, ChangeOptions(**options))
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


def test_of_ten_thousand_faults_ten_are_told_and_all_are_counted(sheet):
    listed = [Recolour(f"beak.csv, line {line}", f"{line}.99", "BK") for line in range(1, 10_001)]
    with pytest.raises(ChangeError) as refused:
        changed(sheet, ChangeOptions(), listed)
    told = str(refused.value)
    assert told.count("there is no loop") == 10
    assert told.startswith("beak.csv, line 1: ")
    assert "beak.csv, line 10: " in told
    assert "line 11:" not in told
    assert told.endswith("; and 9,990 more, 10,000 in all")
    assert len(told) < 1_200


def test_title_and_maker_stay_unless_others_are_given(sheet):
    signed, _ = changed(sheet, ChangeOptions(maker="Alder workshop", year=2026))
    assert (signed.title, signed.imprint.made) == (sheet.title, "Alder workshop, 2026")
    renamed, _ = changed(signed, ChangeOptions(title="Grebe", licence="CC BY 4.0"))
    assert renamed.title == "Grebe"
    assert renamed.imprint.line == "Pattern by Alder workshop, 2026 · Licence: CC BY 4.0"
    nobody, _ = changed(renamed, ChangeOptions(maker="", licence=""))
    assert nobody.imprint.line == "2026"


def test_a_colour_in_digits_is_told_the_nearest_beads(sheet):
    with pytest.raises(ChangeError) as refused:
        changed(sheet, ChangeOptions(colours=("2.2/2.3=#FFFFFF",)))
    # The palette's greys go up from black to a lightness of 60.
    told = "the beads nearest to that colour are BK (beak), LB (lake blue) and RG (reed green)"
    assert told in str(refused.value)
