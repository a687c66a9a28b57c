import numpy as np
import pytest
from skimage import color

from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import parse_hex, to_hex
from convert.palette.assortment import GAPS_TOLD, describe
from convert.palette.model import BeadColour, Palette

PER_GRAM = {"11/0": 108.0}


def bead(code, colour="#808080", size="11/0", **stock):
    lab = tuple(srgb_to_lab(np.array(parse_hex(colour), np.uint8)).tolist())
    return BeadColour(code, "", size, colour, lab, **stock)


def described(*beads):
    return describe(Palette("shelf", beads), PER_GRAM)


def test_stock_of_each_size_in_the_order_of_the_palette():
    rows = described(
        bead("A", on_hand=120),
        bead("B", "#C03020", size="8/0"),
        bead("C", "#1060A0", on_hand=0),
        bead("D", "#F0F0F0", on_hand_g=2.5),
        bead("E", "#20A030", on_hand_g=1.0, per_gram=100.9),
        bead("F", "#A0A020", size=None, on_hand=7),
        bead("G", "#102030", size="8/0", on_hand_g=3.0),
        bead("H", "#F02030"),
    ).stock
    # 120 + 0 + 2.5 g at 108 to the gram + 1 g at 100.9, whole beads.
    assert [(row.size, row.colours, row.beads, row.out_of_stock) for row in rows] == [
        ("11/0", 5, 120 + 0 + 270 + 100, 1),
        ("8/0", 2, None, 0),
        (None, 1, 7, 0),
    ]


def test_no_grams_are_no_beads_in_any_size():
    (row,) = described(bead("A", size="3/0", on_hand_g=0.0)).stock
    assert (row.beads, row.out_of_stock) == (0, 1)


def test_alike_only_where_they_may_lie_side_by_side():
    found = described(
        bead("A", "#808080"),
        bead("B", "#818181", size="8/0"),
        bead("C", "#808182"),
        bead("D", "#818180", size=None),
        bead("E", "#C03020"),
        bead("A", "#808080", size="8/0"),
        bead("C", "#808182", size="8/0"),
    )
    entries = ["A", "B", "C", "D", "E", "A", "C"]
    pairs = [(entries[pair.first], entries[pair.second]) for pair in found.alike]
    # A and C are alike in both sizes, which is told once; E is like nothing.
    assert sorted(tuple(sorted(pair)) for pair in pairs) == [
        ("A", "B"), ("A", "C"), ("A", "D"), ("B", "C"), ("B", "D"), ("C", "D"),
    ]  # fmt: skip
    differences = [pair.difference for pair in found.alike]
    assert differences == sorted(differences)


def test_differences_are_those_of_scikit_image():
    colours = [f"#{n:02X}{(n * 7) % 256:02X}{(n * n) % 256:02X}" for n in range(0, 256, 3)]
    found = described(*(bead(f"C{n}", colour) for n, colour in enumerate(colours)))
    labs = color.rgb2lab(np.array([parse_hex(colour) for colour in colours], np.uint8)[None])[0]
    every = color.deltaE_ciede2000(labs[:, None], labs[None])
    first, second = np.nonzero(np.triu(every < 2, 1))
    assert sorted((pair.first, pair.second) for pair in found.alike) == list(
        zip(first.tolist(), second.tolist(), strict=True)
    )
    for pair in found.alike:
        assert pair.difference == pytest.approx(every[pair.first, pair.second], abs=1e-6)
    for gap in found.gaps:
        lab = color.rgb2lab(np.array([[parse_hex(gap.hex)]], np.uint8))[0, 0]
        away = color.deltaE_ciede2000(np.broadcast_to(lab, labs.shape), labs)
        assert gap.difference == pytest.approx(away.min(), abs=1e-6)
        assert gap.nearest == away.argmin()


def test_palettes_of_any_size_are_compared_too():
    assert len(described(bead("A", "#808080", None), bead("B", "#818181", None)).alike) == 1


def test_a_missing_corner_of_the_range_is_the_widest_gap():
    steps = np.linspace(0, 255, 6).round().astype(int)
    every = [(r, g, b) for r in steps for g in steps for b in steps]
    kept = [rgb for rgb in every if not (rgb[1] > 130 and rgb[0] < 130 and rgb[2] < 130)]
    found = described(*(bead(f"C{n}", to_hex(rgb)) for n, rgb in enumerate(kept)))
    red, green, blue = parse_hex(found.gaps[0].hex)
    assert green > 130
    assert max(red, blue) < green
    assert len(found.gaps) == GAPS_TOLD
    assert [gap.difference for gap in found.gaps] == sorted((g.difference for g in found.gaps), reverse=True)


def test_a_deficiency_adds_pairs():
    found = described(bead("R", "#A86244"), bead("G", "#708040"), bead("B", "#203060"))
    assert found.alike == ()
    (pair,) = found.alike_with["deuteranopia"]
    assert (pair.first, pair.second) == (0, 1)
    assert found.alike_with["tritanopia"] == ()


def test_gaps_are_the_widest_of_a_grid_of_colours():
    """Again with scikit-image: 18 steps a channel, five gaps, each 20 units or more from those before."""
    steps = np.linspace(0, 255, 18).round().astype(np.uint8)
    grid = np.array([(r, g, b) for r in steps for g in steps for b in steps], np.uint8)
    lab = color.rgb2lab(grid[None])[0]
    shelf = [bead("A", "#808080"), bead("B", "#C03020"), bead("C", "#E0E0A0")]
    labs = color.rgb2lab(np.array([[parse_hex(one.hex) for one in shelf]], np.uint8))[0]
    off = color.deltaE_ciede2000(lab[:, None], labs[None]).min(axis=1)
    expected = []
    for widest in np.argsort(-off):
        if all(color.deltaE_ciede2000(lab[widest], lab[other]) >= 20 for other in expected):
            expected.append(int(widest))
    found = described(*shelf).gaps
    assert [gap.hex for gap in found] == [to_hex(grid[place]) for place in expected[:5]]


def test_gaps_are_unlike_each_other():
    gaps = described(bead("A", "#808080"), bead("B", "#C03020")).gaps
    assert len(gaps) == GAPS_TOLD
    lab = np.array([color.rgb2lab(np.array(parse_hex(gap.hex)) / 255) for gap in gaps])
    apart = color.deltaE_ciede2000(lab[:, None], lab[None])
    assert apart[np.triu_indices(GAPS_TOLD, 1)].min() >= 20
