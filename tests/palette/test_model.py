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
    with pytest.raises(PaletteError) as caught:
        palette.find("something else")
    assert caught.value.hint == ""


def test_find_offers_only_codes_of_the_size():
    palette = Palette("shelf", coded(("KB12", "8/0"), ("KB13", "11/0")))
    with pytest.raises(PaletteError) as caught:
        palette.find("KB12", "11/0")
    assert "KB13" in caught.value.hint


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
        {"currency": "x" * 13},
        {"currency": "E\nR"},
    ],
    ids=str,
)
def test_impossible_colours_are_refused(fault):
    with pytest.raises(PaletteError):
        dataclasses.replace(GREY, **fault)


@pytest.mark.parametrize(
    ("what", "least", "below"),
    [
        ("on_hand", 0, -1),
        ("on_hand_g", 0, -1e-9),
        ("per_gram", 1e-3, 9e-4),
        ("pack_g", 1e-3, 9e-4),
        ("price", 0, -1e-9),
    ],
)
def test_least_numbers(what, least, below):
    assert getattr(dataclasses.replace(GREY, **{what: least}), what) == least
    with pytest.raises(PaletteError, match=f"{what} is not from"):
        dataclasses.replace(GREY, **{what: below})


@pytest.mark.parametrize(
    ("what", "most"),
    [("on_hand", 10**9), ("on_hand_g", 1e9), ("per_gram", 1e6), ("pack_g", 1e6), ("price", 1e9)],
)
def test_most_numbers(what, most):
    assert getattr(dataclasses.replace(GREY, **{what: most}), what) == most
    with pytest.raises(PaletteError, match=f"{what} is not from"):
        dataclasses.replace(GREY, **{what: most + 1})


@pytest.mark.parametrize(
    ("lab", "beyond"),
    [
        ((0.0, 0.0, 0.0), (-1e-5, 0.0, 0.0)),
        ((100.0, 0.0, 0.0), (100.00001, 0.0, 0.0)),
        # What arithmetic leaves of 0 and of 100.
        ((-1e-7, 0.0, 0.0), (50.0, 200.1, 0.0)),
        ((100.0 + 1e-7, 0.0, 0.0), (50.0, -200.1, 0.0)),
        ((50.0, 200.0, -200.0), (50.0, 0.0, 200.1)),
        ((50.0, -200.0, 200.0), (50.0, 0.0, -200.1)),
    ],
)
def test_ends_of_the_colours(lab, beyond):
    assert dataclasses.replace(GREY, lab=lab).lab == lab
    with pytest.raises(PaletteError, match="is not a colour"):
        dataclasses.replace(GREY, lab=beyond)


@pytest.mark.parametrize("what", ["code", "name", "size", "finish"])
def test_longest_texts(what):
    assert getattr(dataclasses.replace(GREY, **{what: "a" * 200}), what) == "a" * 200
    with pytest.raises(PaletteError, match=f"{what} is not one line"):
        dataclasses.replace(GREY, **{what: "a" * 201})


@pytest.mark.parametrize(
    ("stock", "average", "beads"),
    [
        ({}, 100.0, None),
        ({"on_hand": 7}, 100.0, 7),
        ({"on_hand": 7, "on_hand_g": 3.0}, 100.0, 7),
        ({"on_hand_g": 2.5}, 110.0, 275),
        ({"on_hand_g": 2.5, "per_gram": 90.0}, 110.0, 225),
        ({"on_hand_g": 2.5}, None, None),
        ({"on_hand_g": 0.0}, None, 0),
        # Whole beads; but 0.29 g at 100 are 29, which arithmetic makes 28.999999999999996.
        ({"on_hand_g": 0.999}, 100.0, 99),
        ({"on_hand_g": 0.29}, 100.0, 29),
    ],
)
def test_beads_on_hand(stock, average, beads):
    assert dataclasses.replace(GREY, **stock).beads_on_hand(average) == beads


def test_rgb_is_that_of_the_hex():
    rgb = Palette("shelf", (GREY, dataclasses.replace(GREY, code="b", hex="#01A0fF"))).rgb()
    assert rgb.tolist() == [[0x77] * 3, [1, 160, 255]]
    assert rgb.dtype == np.uint8


def test_what_may_be_missing_or_nil():
    bead = dataclasses.replace(GREY, name="", size=None, finish="", on_hand=0, price=0.0)
    assert (bead.name, bead.size, bead.on_hand) == ("", None, 0)


def test_colours_are_compared_by_value_and_frozen():
    assert dataclasses.replace(GREY) == GREY
    with pytest.raises(dataclasses.FrozenInstanceError):
        GREY.code = "other"
