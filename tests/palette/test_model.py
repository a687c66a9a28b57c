import dataclasses

import numpy as np
import pytest

from convert.errors import PaletteError
from convert.palette.model import BeadColour, Palette, clashes

GREY = BeadColour("HG1", "heron grey", "11/0", "#777777", (50.034, 0.0, 0.0))


def coded(*keys):
    return tuple(dataclasses.replace(GREY, code=code, size=size) for code, size in keys)


def test_entries_of_a_size_keep_their_order_and_include_those_of_any_size():
    palette = Palette("shelf", coded(("a", "8/0"), ("b", None), ("c", "11/0"), ("d", "8/0")))
    indices = palette.for_size("8/0")
    assert indices.tolist() == [0, 1, 3]
    assert indices.dtype == np.int32
    assert palette.for_size("15/0").tolist() == [1]


def test_labs_are_rows_of_entries():
    palette = Palette("shelf", (GREY, dataclasses.replace(GREY, code="b", lab=(10.0, -20.0, 30.5))))
    np.testing.assert_array_equal(palette.labs(), [[50.034, 0, 0], [10, -20, 30.5]])


def test_entries_that_differ_in_their_size_only_are_one_colour():
    """Stock, price and a measured Lab belong to a size."""
    other = dataclasses.replace(GREY, size="8/0", on_hand=9, price=2.5, lab=(50.1, 0.2, 0.1))
    unlike = [
        dataclasses.replace(GREY, size=f"size {number}", **change)
        for number, change in enumerate(
            ({"name": "coot grey"}, {"hex": "#777778"}, {"finish": "matte"}, {"code": "HG2"})
        )
    ]
    palette = Palette("shelf", (unlike[0], GREY, *unlike[1:3], other, unlike[3]))
    numbers = palette.colour_numbers()
    assert numbers.tolist() == [0, 1, 2, 3, 1, 4]
    assert numbers.dtype == np.int32


def test_find_minds_the_size():
    palette = Palette("shelf", coded(("a", "8/0"), ("a", "11/0"), ("b", None)))
    assert palette.find("a") == 0
    assert palette.find("a", "11/0") == 1
    assert palette.find("b", "11/0") == 2
    with pytest.raises(PaletteError, match=r"no bead 'a' in size 15/0"):
        palette.find("a", "15/0")


def test_find_offers_the_likely_code():
    palette = Palette("shelf", coded(("KB12", None), ("HG3", None)))
    with pytest.raises(PaletteError) as caught:
        palette.find("KB21")
    assert caught.value.hint == "did you mean heron grey (KB12)?"


NAMED = [
    ("HG1", "light heron grey"),
    ("HG3", "heron grey"),
    ("HG4", "heron greyish"),
    ("KB1", "kingfisher blue"),
    ("KB2", "kingfisher  Teal"),
    ("teal", "deep lake"),
    ("SW1", "swan white"),
    ("sw1", "swan ivory"),
    ("mud brown", ""),
]


@pytest.fixture
def shelf():
    sized = [(code, name, size) for size in ("8/0", "11/0") for code, name in NAMED]
    return Palette(
        "shelf",
        tuple(dataclasses.replace(GREY, code=code, name=name, size=size) for code, name, size in sized),
    )


@pytest.mark.parametrize(
    ("called", "code"),
    [
        ("HG3", "HG3"),
        ("hg3", "HG3"),
        ("heron grey", "HG3"),  # a whole name goes before the beginning of another
        ("Heron  Grey ", "HG3"),
        ("heron greyi", "HG4"),
        ("light", "HG1"),
        ("KINGFISHER B", "KB1"),
        ("kingfisher teal", "KB2"),
        ("teal", "teal"),  # a code goes before a name
        ("SW1", "SW1"),
        ("sw1", "sw1"),
        ("swan i", "sw1"),
        ("mud", "mud brown"),
    ],
)
def test_find_takes_codes_and_names(shelf, called, code):
    assert shelf.entries[shelf.find(called)].code == code
    found = shelf.find(called, "11/0")
    assert (shelf.entries[found].code, shelf.entries[found].size) == (code, "11/0")


@pytest.mark.parametrize(
    ("called", "told"),
    [
        ("kingfisher", "2 colours that 'kingfisher' may be: kingfisher blue (KB1) or kingfisher  Teal (KB2)"),
        ("Sw1", "2 colours that 'Sw1' may be: swan white (SW1) or swan ivory (sw1)"),
        ("s", "2 colours that 's' may be: swan white (SW1) or swan ivory (sw1)"),
    ],
)
def test_what_may_be_several_is_refused_with_them(shelf, called, told):
    with pytest.raises(PaletteError) as caught:
        shelf.find(called)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("called", "hint"),
    [
        ("heron gray", "did you mean heron grey (HG3), heron greyish (HG4) or light heron grey (HG1)?"),
        ("KB11", "did you mean kingfisher blue (KB1) or kingfisher  Teal (KB2)?"),
        ("zzz", ""),
        ("", ""),
        ("  ", ""),
        ("HG", "did you mean"),
    ],
)
def test_a_miss_tells_the_nearest(shelf, called, hint):
    with pytest.raises(PaletteError, match="has no bead") as caught:
        shelf.find(called)
    assert hint in caught.value.hint
    assert bool(hint) == bool(caught.value.hint)


def test_a_colour_of_another_size_is_a_miss(shelf):
    only = dataclasses.replace(GREY, code="X1", name="coot", size="8/0")
    palette = Palette("shelf", (*shelf.entries, only))
    with pytest.raises(PaletteError, match="no bead 'coot' in size 11/0"):
        palette.find("coot", "11/0")


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ([("a", "11/0"), ("a", "8/0"), ("b", None)], []),
        ([("a", "11/0"), ("a", "8/0"), ("a", "11/0")], [(2, 0)]),
        ([("a", None), ("a", None)], [(1, 0)]),
        ([("a", "11/0"), ("a", None)], [(1, 0)]),
        ([("a", None), ("b", "8/0"), ("a", "11/0")], [(2, 0)]),
        ([("a", "8/0"), ("a", None), ("a", "11/0")], [(1, 0), (2, 1)]),
        ([("A", "8/0"), ("a", "8/0")], []),
    ],
)
def test_clashes(keys, expected):
    assert clashes(keys) == expected


def test_ambiguous_codes_are_refused():
    with pytest.raises(PaletteError, match="'a' twice for any size"):
        Palette("shelf", coded(("a", "8/0"), ("a", None)))


def test_empty_palette_is_refused():
    with pytest.raises(PaletteError, match="no colours"):
        Palette("shelf", ())


@pytest.mark.parametrize(
    "fault",
    [
        {"code": ""},
        {"code": " "},
        {"code": "a\nb"},
        {"code": "a" * 201},
        {"name": "bell \x07"},
        {"name": "turned \u202e round"},
        {"size": ""},
        {"size": "11\x000"},
        {"finish": "\ud800"},
        {"hex": "#12345"},
        {"hex": "#1234567"},
        {"hex": "123456"},
        {"hex": "#A_A_AA"},
        {"hex": "#١٢٣٤٥٦"},
        {"lab": (101.0, 0.0, 0.0)},
        {"lab": (-1.0, 0.0, 0.0)},
        {"lab": (float("nan"), 0.0, 0.0)},
        {"lab": (50.0, float("nan"), 0.0)},
        {"lab": (50.0, 0.0, float("nan"))},
        {"lab": (50.0, float("inf"), 0.0)},
        {"on_hand": -1},
        {"on_hand_g": float("nan")},
        {"on_hand_g": -0.5},
        {"per_gram": 0.0},
        {"per_gram": float("inf")},
        {"pack_g": 0.0},
        {"price": -1.0},
    ],
    ids=str,
)
def test_impossible_colours_are_refused(fault):
    with pytest.raises(PaletteError):
        dataclasses.replace(GREY, **fault)


def test_what_may_be_missing_or_nil():
    bead = dataclasses.replace(GREY, name="", size=None, finish="", on_hand=0, price=0.0)
    assert (bead.name, bead.size, bead.on_hand) == ("", None, 0)


def test_colours_are_compared_by_value_and_frozen():
    assert dataclasses.replace(GREY) == GREY
    with pytest.raises(dataclasses.FrozenInstanceError):
        GREY.code = "other"
