import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from skimage import data

from convert.cli.inputs import load_palette, load_picture
from convert.errors import PaletteError, PictureError, SizeError
from convert.judging.size_candidates import SAME_LOOPS, SAME_WIDTH, sizes_name, sizes_named, sizes_of
from convert.judging.size_comparison import compare_sizes, stages
from convert.making.frame import Frame
from convert.palette.model import BeadColour, Palette
from convert.picture.model import Picture
from convert.picture.part import Part
from convert.weave.beads import bead_size
from convert.writing.size_report import HEADINGS, MARK, comparison_json, explained, table_rows
from tests.panels import panel, panel_options

PALETTES, SAMPLES = (Path(__file__).parents[2] / folder for folder in ("palettes", "sample_images"))
WIDTH_MM = 140.0
FACE = Part(0.33, 0.06, 0.18, 0.25)


@pytest.fixture(scope="module")
def palette():
    return load_palette(None)[0]


@pytest.fixture(scope="module")
def astronaut():
    return Picture("astronaut", data.astronaut().copy())


def options(**chosen):
    return panel_options(bead_size("11/0"), bead_size("11/0"), **chosen)


@pytest.fixture(scope="module")
def compared(astronaut, palette):
    told = []
    sizes = [*sizes_of(palette), sizes_named("11/0+8/0")]
    chosen = options(width_mm=WIDTH_MM, colours="all")
    found = compare_sizes(astronaut, palette, chosen, sizes, part=FACE, progress=told.append)
    assert len(told) == stages(len(sizes))
    return found


def of(found, reading):
    return [one for one in found.candidates if one.reading == reading]


def test_every_size_of_the_palette_is_compared_smallest_first(palette):
    assert [sizes_name(pair) for pair in sizes_of(palette)] == ["15/0", "11/0", "8/0", "6/0"]


def test_at_one_width_detail_differs(compared):
    candidates = of(compared, SAME_WIDTH)
    assert len(candidates) == 5
    for one in candidates:
        assert one.finished.width_mm == pytest.approx(WIDTH_MM, abs=one.result.pattern.weave.spacing.pitch_mm)
    plain = candidates[:4]
    for finer, coarser in pairwise(plain):
        assert finer.beads > coarser.beads
        assert finer.part.edges > coarser.part.edges
        assert finer.beads_wide > coarser.beads_wide
        assert finer.hours == pytest.approx(finer.beads / 100)


def test_at_one_number_of_loops_the_size_differs(compared):
    candidates = of(compared, SAME_LOOPS)
    assert len({one.loops for one in candidates}) == 1
    for one in candidates:
        # Loops lie a pitch apart, every other row is shifted by half of one, and half a bead hangs over at
        # each side: the same as the geometry of the weave says.
        weave = one.result.pattern.weave
        across = int(weave.loop_column.max()) + 1
        bead = max(size.diameter_mm for size in one.sizes)
        assert one.finished.width_mm == pytest.approx(
            (across + 0.5) * weave.spacing.pitch_mm + bead, rel=0.02
        )
    widths = [one.finished.width_mm for one in candidates[:4]]
    assert widths == sorted(widths)


def test_the_mark_is_on_the_smallest_that_keeps_the_detail(compared):
    for reading in (SAME_WIDTH, SAME_LOOPS):
        kept = [one for one in of(compared, reading) if one.survives]
        marked = [one for one in of(compared, reading) if one.marked]
        assert len(marked) == min(1, len(kept))
        if marked and reading == SAME_WIDTH:
            assert marked[0].beads == min(one.beads for one in kept)


def test_of_several_sizes_that_keep_it_the_one_to_choose_is_marked_and_named(palette):
    """A plain disc shows in both: coarse beads are soonest woven, fine ones make the smallest piece."""
    y, x = np.mgrid[:200, :200]
    ink = np.hypot(x - 100, y - 100) < 70
    disc = Picture("disc", np.where(ink[..., None], 40, 240).astype(np.uint8).repeat(3, axis=2))
    sizes = [sizes_named(name) for name in ("11/0", "15/0")]
    found = compare_sizes(disc, palette, options(width_mm=110.0), sizes)
    assert all(one.survives for one in found.candidates)
    marked = {one.reading: one.name for one in found.candidates if one.marked}
    assert marked == {SAME_WIDTH: "11/0", SAME_LOOPS: "15/0"}
    told = re.search(r"smallest piece that keeps it is (\d+) mm in (\S+)\.", found.advice)
    # To the next 5 mm; the outermost beads stick out by less than one more.
    width_mm = found.needs * Frame(sizes_named(told[2])).bead_spacing_mm("across")
    assert told[2] == "15/0"
    assert int(told[1]) % 5 == 0
    assert width_mm < int(told[1]) < width_mm + 8


def test_the_advice_holds(compared, astronaut, palette):
    # What it says is taken from its words and tried: the size it names keeps the face at this width, and so
    # does the width it names in the size one began with, but not the width one began with.
    said = re.fullmatch(
        r"At (\d+) mm in 11/0 the detail is (\d+) beads wide; it needs (\d+): choose (\S+), or (\d+) mm\.",
        compared.advice,
    )
    assert said
    named = next(one for one in of(compared, SAME_WIDTH) if one.name == said[4])
    assert named.survives
    usual = next(one for one in of(compared, SAME_WIDTH) if one.name == "11/0")
    assert not usual.survives
    chosen = options(width_mm=float(said[5]), colours="all")
    wide = compare_sizes(astronaut, palette, chosen, [sizes_named("11/0")], part=FACE)
    assert of(wide, SAME_WIDTH)[0].survives
    assert of(wide, SAME_WIDTH)[0].beads_wide >= int(said[3]) - 1
    assert int(said[2]) == round(FACE.width * float(said[1]) / Frame.of(options()).bead_spacing_mm("across"))
    assert wide.advice.endswith(f"The smallest piece that keeps it is {said[5]} mm in 11/0.")


def test_what_survives_is_what_survived(compared):
    """Figures by which people choose a size: whoever changes how they are found changes what is chosen."""
    width, loops = (of(compared, reading) for reading in (SAME_WIDTH, SAME_LOOPS))
    assert [one.part.edges for one in width] == pytest.approx(
        [0.8779, 0.7678, 0.6798, 0.4198, 0.8014], abs=2e-3
    )
    assert [one.part.edges for one in loops] == pytest.approx([0.7678] * 4 + [0.7513], abs=2e-3)
    assert [one.part.seen for one in width] == pytest.approx([5.009, 6.153, 7.966, 9.437, 6.377], abs=0.01)
    assert [one.part.seen for one in loops] == pytest.approx([5.286, 6.153, 6.894, 7.438, 6.420], abs=0.01)
    assert [one.hours for one in width] == pytest.approx([85.90, 44.56, 22.82, 12.11, 36.89], abs=0.05)
    assert compared.needs == pytest.approx(13.70, abs=0.01)


def test_a_whole_picture_is_judged_more_strictly_than_a_part(astronaut, palette):
    found = compare_sizes(
        astronaut, palette, options(width_mm=60, colours=8), [sizes_named("11/0")], beads_per_hour=100
    )
    whole = found.candidates[0].whole
    assert found.candidates[0].part == whole
    assert whole.edges == pytest.approx(0.1848, abs=1e-3)
    assert whole.ssim == pytest.approx(0.3640, abs=1e-3)
    assert whole.seen == pytest.approx(9.117, abs=0.01)
    assert found.needs == pytest.approx(68.09, abs=0.05)
    assert found.candidates[0].hours == found.candidates[0].result.pattern.weave.beads / 100


@pytest.mark.parametrize("chosen", [{}, {"smoothing": 1.0}, {"dither": 1.0}, {"colours": 3}])
@pytest.mark.parametrize("across", [25, 28, 31])
def test_the_advice_does_not_contradict_itself(astronaut, palette, across, chosen):
    # Of what a setting loses no size may be said to keep it.
    found = compare_sizes(astronaut, palette, options(across=across, **chosen), [sizes_named("11/0")])
    here = of(found, SAME_WIDTH)[0]
    if here.survives:
        assert found.needs <= here.beads_wide + 1e-6
        assert "it survives" in found.advice
    else:
        assert found.needs > here.beads_wide
        assert "it needs" in found.advice


@pytest.mark.parametrize("searched", [None, 10, 999])
def test_a_piece_that_keeps_it_needs_no_more_than_it_has(astronaut, palette, monkeypatch, searched):
    """Whatever the search says, which has not tried this very number of loops."""
    monkeypatch.setattr("convert.judging.size_comparison.loops_needed", lambda *_, **__: searched)
    chosen = options(width_mm=190.0, colours=60)
    found = compare_sizes(astronaut, palette, chosen, [sizes_named("11/0")], part=FACE)
    here = of(found, SAME_WIDTH)[0]
    assert here.survives
    assert (
        (found.needs <= 10.5) if searched == 10 else (found.needs == pytest.approx(here.beads_wide, rel=0.05))
    )


@pytest.mark.parametrize(("first", "calls"), [(3, 2), (None, 1), (999, 1)])
def test_a_piece_that_loses_it_needs_more_than_it_has(astronaut, palette, monkeypatch, first, calls):
    asked = []

    def loops_needed(part, shelf, chosen, **more):
        asked.append(more)
        return more["more_than"] + 7 if more else first

    monkeypatch.setattr("convert.judging.size_comparison.loops_needed", loops_needed)
    found = compare_sizes(
        astronaut, palette, options(width_mm=60.0, colours=24), [sizes_named("11/0")], part=FACE
    )
    here = of(found, SAME_WIDTH)[0]
    assert not here.survives
    assert len(asked) == calls
    if first is None:
        assert found.needs is None
    else:
        assert found.needs > here.beads_wide
    if calls == 2:
        assert asked[1] == {
            "more_than": round(here.result.full.loops / (int(here.result.full.loop_row.max()) + 1))
        }


def test_where_no_size_keeps_it_the_advice_names_larger_pieces(astronaut, palette):
    found = compare_sizes(astronaut, palette, options(width_mm=40.0), sizes_of(palette), part=FACE)
    assert not any(one.survives for one in of(found, SAME_WIDTH))
    assert re.search(r"no size here keeps it .* choose \d+ mm in 15/0 or \d+ mm in 11/0\.", found.advice)


def test_pieces_are_those_that_panel_makes(compared, astronaut, palette):
    # All are sampled in one go; taken alone each is the same.
    for one in compared.candidates:
        core, connector = one.sizes
        loops = int(of(compared, SAME_WIDTH)[1].result.pattern.weave.loop_column.max()) + 1
        chosen = {"width_mm": WIDTH_MM} if one.reading == SAME_WIDTH else {"across": loops}
        alone = panel(astronaut, palette, panel_options(core, connector, **chosen))
        assert np.array_equal(alone.pattern.bead_colour, one.result.pattern.bead_colour)
        assert np.array_equal(alone.pattern.thread.passes, one.result.pattern.thread.passes)


@pytest.fixture(scope="module")
def heron():
    return load_picture(str(SAMPLES / "heron.png"), None)


def test_the_advice_holds_for_a_silhouette(heron, palette):
    found = compare_sizes(heron, palette, options(width_mm=80.0), [sizes_named("11/0"), sizes_named("15/0")])
    said = re.search(r"(\d+) mm(?: in 11/0)?\.$", found.advice)
    assert said and not of(found, SAME_WIDTH)[0].survives
    wide = compare_sizes(heron, palette, options(width_mm=float(said[1])), [sizes_named("11/0")])
    assert of(wide, SAME_WIDTH)[0].survives


def test_sizes_too_coarse_for_the_picture_are_left_out(heron, palette):
    found = compare_sizes(heron, palette, options(width_mm=32.0), sizes_of(palette))
    names = [one.name for one in of(found, SAME_WIDTH)]
    assert "15/0" in names and "8/0" not in names
    assert any(
        re.match(r"8/0 is left out at the same finished width: the picture falls into", note)
        for note in found.notes
    )


def test_where_no_size_can_be_woven_the_first_reason_is_told(palette):
    dots = np.zeros((200, 200), np.uint8)
    dots[20:80, 20:80] = dots[120:180, 120:180] = 255
    picture = Picture("dots", np.zeros((200, 200, 3), np.uint8), dots)
    with pytest.raises(PictureError, match="falls into 2 separate islands"):
        compare_sizes(picture, palette, options(width_mm=60.0), sizes_of(palette))


def test_a_size_with_too_many_beads_is_left_out(astronaut, palette):
    chosen = options(width_mm=60.0, max_beads=1000)
    found = compare_sizes(astronaut, palette, chosen, sizes_of(palette))
    assert "15/0" not in [one.name for one in of(found, SAME_WIDTH)]
    assert found.notes[0].startswith("15/0 is left out at the same finished width: this size takes ")


def test_colours_are_limited_and_stock_is_heeded(astronaut):
    stocked, _ = load_palette(str(PALETTES / "workshop-shelf.csv"))
    few = compare_sizes(astronaut, stocked, options(width_mm=40.0, colours=6), sizes_of(stocked))
    assert {one.colours for one in few.candidates} <= set(range(1, 7))
    own = compare_sizes(astronaut, stocked, options(width_mm=60.0, stock=True), sizes_of(stocked))
    for one in own.candidates:
        pattern = one.result.pattern
        for entry, count in enumerate(pattern.counts.sum(axis=1).tolist()):
            on_hand = pattern.palette.entries[entry].on_hand
            assert count == 0 or on_hand is None or count <= on_hand
    large = compare_sizes(astronaut, stocked, options(width_mm=400.0, stock=True), sizes_of(stocked))
    assert any("the beads on hand cannot fill the piece" in note for note in large.notes)
    assert len(large.notes) + len(large.candidates) == 2 * len(sizes_of(stocked))


def test_from_afar_less_is_seen(astronaut, palette):
    near, far = (
        compare_sizes(astronaut, palette, options(width_mm=50.0), [sizes_named("11/0")], distance_m=metres)
        for metres in (0.5, 5.0)
    )
    assert far.candidates[0].part.seen < near.candidates[0].part.seen
    assert "seen from 5 m" in explained(far)[0]


def test_noise_is_never_kept(palette):
    grain = np.random.default_rng(1).integers(0, 256, (3000, 3000, 1), np.uint8).repeat(3, axis=2)
    found = compare_sizes(Picture("grain", grain), palette, options(max_beads=40_000), [sizes_named("11/0")])
    assert found.needs is None
    assert not any(one.marked and one.part.edges is not None for one in found.candidates)


def test_an_even_picture_leaves_the_choice_open(palette):
    flat = Picture("flat", np.full((50, 50, 3), 120, np.uint8))
    found = compare_sizes(flat, palette, options(width_mm=30.0), [sizes_named("11/0")])
    assert "no edges that could be lost" in found.advice


def test_table_and_json_tell_the_same(compared):
    plain = comparison_json(compared)
    assert plain["advice"] == compared.advice
    for one, told in zip(compared.candidates, plain["candidates"], strict=True):
        assert told["beads"] == one.beads
        assert told["detail_kept"]["edges_kept"] == pytest.approx(one.part.edges, abs=1e-4)
    rows = [row for reading in (SAME_WIDTH, SAME_LOOPS) for row in table_rows(compared, reading)]
    assert len(rows) == len(compared.candidates)
    for row, told in zip(rows, plain["candidates"], strict=True):
        assert len(row) == len(HEADINGS)
        assert row[0] == told["beads_size"] + f" {MARK}" * told["smallest"]
        assert row[HEADINGS.index("Cost of packs")] == f"{told['cost']:,.2f}"
        assert row[HEADINGS.index("Cost of beads")] == f"{told['cost_of_beads_used']:,.2f}"
        assert 0 < told["cost_of_beads_used"] < told["cost"]
        assert told["currency"] == ""
        assert float(row[HEADINGS.index("Lines kept mm")]) == pytest.approx(told["lines_kept_mm"], abs=0.051)
    # Two rows of loops, 3 sides of the honeycomb: the published limit for its centres.
    usual = next(one for one in compared.candidates if one.name == "11/0")
    assert usual.lines_kept_mm == pytest.approx(np.sqrt(3) * usual.result.pattern.weave.spacing.pitch_mm)


def test_a_palette_without_sizes_is_refused():
    palette = Palette("plain", (BeadColour("A", "", None, "#808080", (53.6, 0, 0)),))
    with pytest.raises(PaletteError, match="names no bead sizes") as refused:
        sizes_of(palette)
    assert "--beads" in refused.value.hint


@pytest.mark.parametrize("text", ["12/0", "11/0+8/0+6/0", "", "11/0+"])
def test_unknown_sizes_are_refused(text):
    with pytest.raises(SizeError):
        sizes_named(text)


@pytest.mark.parametrize("rate", [0, -5, float("nan"), float("inf")])
def test_beads_in_an_hour_are_a_number(astronaut, palette, rate):
    with pytest.raises(SizeError, match="beads in an hour"):
        compare_sizes(astronaut, palette, options(), [sizes_named("11/0")], beads_per_hour=rate)


def test_sizes_without_known_measures_are_passed_over():
    entries = [BeadColour(name, "", name, "#102030", (12.0, 0.5, -9.25)) for name in ("11/o", "8/0", "tiny")]
    assert [sizes_name(pair) for pair in sizes_of(Palette("shelf", tuple(entries)))] == ["8/0"]
    with pytest.raises(PaletteError, match="shelf names no bead sizes"):
        sizes_of(Palette("shelf", tuple(entries[::2])))
