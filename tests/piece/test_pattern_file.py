import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import convert
from convert.errors import PatternFileError
from convert.palette.model import RANGES, BeadColour, Palette
from convert.piece.about import NOBODY, USUAL, Figures, Imprint, Looks, Outlook, Wishes
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import parse_pattern, parse_with_notes, pattern_json
from convert.piece.pattern_schema import pattern_schema
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import GAUGE_LIMIT, gauge_spacing, model_spacing
from convert.weave.tips import tips_of


def make_pattern(direction="across", beads=("11/0", "8/0")):
    sizes = (bead_size(beads[0]), bead_size(beads[1]))
    woven = np.ones((4, 5), bool)
    woven[0, 0] = woven[3, 4] = False
    shape = Sheet(woven, direction)
    weave = shape.build(sizes, model_spacing(*sizes))
    entries = tuple(
        BeadColour(code, f"<{code}> & 'name'", None, "#102030", (12.0, 0.5, -9.25))
        for code in ("A 1", "=B", "ü")
    )
    palette = Palette("test", entries)
    supplies = Supplies(needleful_mm=1000.0)
    colour = (np.arange(weave.beads) % 3).astype(np.int32)
    return Pattern(
        "a heron", shape, weave, palette, colour, plan_thread(weave, supplies=supplies), supplies, 2
    )


def asked(pattern, unshown=()):
    """Return a pattern of which a picture has asked something else at each bead."""
    wanted = np.random.default_rng(5).integers(0, 65536, (pattern.weave.beads, 3), np.uint16)
    wanted[:3] = [0, 1, 255], [256, 4096, 65535], [65535, 0, 0]
    return replace(pattern, wanted=wanted, unshown=unshown)


@pytest.mark.parametrize("direction", ["across", "along"])
@pytest.mark.parametrize(
    "beads", [("11/0", "11/0"), ("11/0", "8/0"), ("2.0x1.4x0.7", "15/0"), ("11/0-cylinder", "1.5x3x0.9")]
)
def test_round_trip(direction, beads):
    pattern = make_pattern(direction, beads)
    text = pattern_json(pattern)
    again = parse_pattern(text, "test")
    assert pattern_json(again) == text
    np.testing.assert_array_equal(again.bead_colour, pattern.bead_colour)
    np.testing.assert_array_equal(again.thread.passes, pattern.thread.passes)
    np.testing.assert_allclose(again.weave.junction_xy, pattern.weave.junction_xy)
    assert (again.title, again.copies, again.palette, again.supplies) == (
        pattern.title, pattern.copies, pattern.palette, pattern.supplies,
    )  # fmt: skip


@pytest.mark.parametrize("edge", ["plain", "points"])
def test_round_trip_of_a_flower(edge):
    pattern = make_pattern()
    shape = Flower(2, 5)
    weave = shape.build(pattern.weave.sizes, pattern.weave.spacing)
    beads = weave.beads + (edge == "points") * len(tips_of(weave))
    pattern = replace(
        pattern,
        shape=shape,
        weave=weave,
        bead_colour=(np.arange(beads) % 3).astype(np.int32),
        thread=plan_thread(weave, edge=edge),
        adjustments=("turned by 90 degrees",),
    )
    again = parse_pattern(pattern_json(pattern), "test")
    assert (again.shape, again.edge, again.adjustments) == (shape, edge, pattern.adjustments)
    np.testing.assert_array_equal(again.bead_colour, pattern.bead_colour)
    np.testing.assert_array_equal(again.thread.passes, pattern.thread.passes)
    assert pattern_json(again) == pattern_json(pattern)


@pytest.mark.parametrize("factor", [1 / GAUGE_LIMIT, 1, GAUGE_LIMIT])
def test_every_gauge_that_is_taken_can_be_read_back(factor):
    pattern = make_pattern()
    sizes = pattern.weave.sizes
    spacing = gauge_spacing(*sizes, 10 * model_spacing(*sizes).pitch_mm * factor)
    pattern = replace(pattern, weave=pattern.shape.build(sizes, spacing))
    assert parse_pattern(pattern_json(pattern), "test").weave.spacing == spacing


@pytest.mark.parametrize("end", [0, 1])
def test_what_a_palette_may_say_can_be_read_back(end):
    pattern = make_pattern()
    ends = {column: limits[end] for column, limits in RANGES.items() if column != "on_hand_g"}
    entries = tuple(replace(entry, **ends) for entry in pattern.palette.entries)
    pattern = replace(pattern, palette=Palette("test", entries), supplies=Supplies(needleful_mm=2_000_000.0))
    assert parse_pattern(pattern_json(pattern), "test").palette == pattern.palette


@pytest.mark.parametrize("unshown", [(), (0, 7)])
@pytest.mark.parametrize("direction", ["across", "along"])
def test_what_the_picture_asks_comes_back_bit_by_bit(direction, unshown):
    pattern = asked(make_pattern(direction), unshown)
    text = pattern_json(pattern)
    again = parse_pattern(text, "test")
    np.testing.assert_array_equal(again.wanted, pattern.wanted)
    assert again.wanted.dtype == np.uint16
    assert not again.wanted.flags.writeable
    assert again.unshown == unshown
    assert pattern_json(again) == text
    jsonschema.validate(json.loads(text), pattern_schema())


def test_what_the_picture_asks_is_told_row_by_row_as_the_beads_are():
    value = json.loads(pattern_json(asked(make_pattern())))
    assert [len(row) for row in value["wanted"]] == [12 * len(row) for row in value["bead_rows"]]
    assert value["wanted"][0].startswith("0000000100FF" + "01001000FFFF" + "FFFF00000000")
    lines = [line.strip().rstrip(",") for line in pattern_json(asked(make_pattern())).splitlines()]
    assert all(f'"{row}"' in lines for row in value["wanted"])


def test_a_file_that_says_nothing_of_a_picture_opens_and_stays_so():
    value = json.loads(pattern_json(make_pattern()))
    assert not {"wanted", "unshown"} & set(value)
    again = parse_pattern(json.dumps(value), "test")
    assert (again.wanted, again.unshown) == (None, ())


def cut_row_two(value):
    value["wanted"][1] = value["wanted"][1][:-1]


def bead_too_many_in_row_two(value):
    value["wanted"][1] += "0" * 12


def no_digit_in_row_two(value):
    value["wanted"][1] = "G" + value["wanted"][1][1:]


def blank_in_row_two(value):
    value["wanted"][1] = " " + value["wanted"][1][1:]


def row_too_few(value):
    value["wanted"].pop()


def unshown_too_far(value):
    value["unshown"] = [sum(len(row) for row in value["bead_rows"])]


def all_unshown(value):
    value["unshown"] = list(range(sum(len(row) for row in value["bead_rows"])))


def unshown_alone(value):
    del value["wanted"]
    value["unshown"] = [1]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (cut_row_two, r"wanted, row 2 has (\d+) digits where \d+ beads have (?!\1)\d+$"),
        (bead_too_many_in_row_two, r"wanted, row 2 has (\d+) digits where \d+ beads have (?!\1)\d+$"),
        (no_digit_in_row_two, "wanted, item 2: string should match"),
        (blank_in_row_two, "wanted, item 2: string should match"),
        (row_too_few, "wanted has 8 rows where the shape has 9"),
        (unshown_too_far, "unshown must be some, not all, of the beads 0 to"),
        (all_unshown, "unshown must be some, not all, of the beads 0 to"),
        (unshown_alone, "unshown names beads, but wanted is not there"),
    ],
)
def test_faults_in_what_the_picture_asks_are_named(change, message):
    value = json.loads(pattern_json(asked(make_pattern())))
    change(value)
    with pytest.raises(PatternFileError, match=message) as refused:
        parse_pattern(json.dumps(value), "test")
    assert "\n" not in str(refused.value)


def test_wishes_are_kept_and_are_not_there_where_there_are_none():
    pattern = replace(make_pattern(), wishes=Wishes(("1.2", "4.3"), ("0.2",)))
    value = json.loads(pattern_json(pattern))
    assert value["wishes"] == {"drop": ["1.2", "4.3"], "add": ["0.2"]}
    assert parse_pattern(json.dumps(value), "test").wishes == pattern.wishes
    assert "wishes" not in json.loads(pattern_json(make_pattern()))
    del value["wishes"]["drop"]
    assert parse_pattern(json.dumps(value), "test").wishes == Wishes(add=("0.2",))


@pytest.mark.parametrize(
    "odd", [{"drop": [2.5]}, {"drop": ["a\nb"]}, {"add": ["1" * 41]}, {"turn": []}, ["2.5"]]
)
def test_impossible_wishes_are_refused(odd):
    value = json.loads(pattern_json(make_pattern())) | {"wishes": odd}
    with pytest.raises(PatternFileError, match="test: wishes"):
        parse_pattern(json.dumps(value), "test")


def test_spare_and_currency_are_kept():
    entries = tuple(replace(entry, currency="EUR") for entry in make_pattern().palette.entries)
    pattern = replace(make_pattern(), palette=Palette("test", entries), spare=0.25, currency="kr.")
    again = parse_pattern(pattern_json(pattern), "test")
    assert (again.spare, again.currency, again.palette.currency) == (0.25, "kr.", "EUR")


def test_a_file_from_before_there_was_a_currency_still_opens():
    value = json.loads(pattern_json(make_pattern()))
    del value["spare"], value["currency"]
    for entry in value["palette"]["entries"]:
        del entry["currency"]
    again = parse_pattern(json.dumps(value), "test")
    assert (again.spare, again.currency, again.costs_in) == (0.1, "", "")


@pytest.mark.parametrize(
    ("field", "odd"), [("spare", -0.5), ("spare", 2), ("currency", "x" * 200), ("currency", "a\nb")]
)
def test_impossible_spare_and_currency_are_refused(field, odd):
    value = json.loads(pattern_json(make_pattern())) | {field: odd}
    with pytest.raises(PatternFileError, match=r"test: .*(spare|currency)"):
        parse_pattern(json.dumps(value), "test")


def test_working_threads_are_lists_of_their_own():
    pattern = make_pattern()
    supplies = Supplies(needleful_mm=420.0)
    pattern = replace(pattern, supplies=supplies, thread=plan_thread(pattern.weave, supplies=supplies))
    starts = pattern.thread.new_threads.tolist()
    assert len(starts) >= 3
    threads = json.loads(pattern_json(pattern))["thread"]["threads"]
    assert [len(thread) for thread in threads] == np.diff([*starts, len(pattern.thread.passes)]).tolist()
    assert [bead for thread in threads for bead in thread] == pattern.thread.passes.tolist()
    np.testing.assert_array_equal(
        parse_pattern(pattern_json(pattern), "test").thread.new_threads, pattern.thread.new_threads
    )


def test_file_follows_its_schema_as_an_independent_library_reads_it():
    jsonschema.validate(json.loads(pattern_json(make_pattern())), pattern_schema())
    jsonschema.Draft202012Validator.check_schema(pattern_schema())


def test_schema_that_ships_is_up_to_date():
    shipped = Path(convert.__file__).parent / "piece" / "pattern.schema.json"
    assert json.loads(shipped.read_text(encoding="utf-8")) == pattern_schema()


def test_one_row_of_beads_is_one_line():
    pattern = make_pattern()
    lines = pattern_json(pattern).splitlines()
    rows = json.loads(pattern_json(pattern))["bead_rows"]
    assert all(
        any(line.strip().rstrip(",") == json.dumps(row, ensure_ascii=False) for line in lines) for row in rows
    )


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.data())
def test_hand_edited_files_give_a_pattern_or_a_clear_error(data):
    value = json.loads(pattern_json(asked(make_pattern(), (3,))))
    odd = st.sampled_from([None, True, -1, 0, 1e9, "", "x", [], {}, [[]], "\0"])
    place = value
    while isinstance(place, dict | list) and place:
        key = data.draw(st.sampled_from(sorted(place) if isinstance(place, dict) else range(len(place))))
        if not isinstance(place[key], dict | list) or not place[key] or data.draw(st.booleans()):
            place[key] = data.draw(odd)
            break
        place = place[key]
    try:
        parse_pattern(json.dumps(value), "test")
    except PatternFileError as fault:
        assert len(str(fault)) < 600


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.binary(max_size=60))
def test_any_bytes_are_refused_clearly(data):
    with pytest.raises(PatternFileError):
        parse_pattern(data, "test")


def edited(change):
    value = json.loads(pattern_json(make_pattern()))
    change(value)
    return json.dumps(value)


def one_bead_too_far(value):
    value["thread"]["threads"][0][3] = sum(len(row) for row in value["bead_rows"])


def one_tip_too_few(value):
    weave = make_pattern().weave
    value["tips"] = ["A 1"] * (len(tips_of(weave)) - 1)


def third_tip(value):
    value["tips"] = ["A 1"] * len(tips_of(make_pattern().weave))
    value["tips"][2] = "nowhere"


def first_of_row_two(value):
    value["bead_rows"][1][0] = "nowhere"


def last_of_row_two(value):
    value["bead_rows"][1][-1] = "nowhere"


def one_bead_more_in_row_three(value):
    value["bead_rows"][2].append("A 1")


def one_row_of_beads_more(value):
    value["bead_rows"].append(["A 1"])


def one_loop_less_in_row_two(value):
    value["shape"]["rows"][1] = value["shape"]["rows"][1][:-1]


def one_loop_less_in_the_last_row(value):
    value["shape"]["rows"][3] = value["shape"]["rows"][3][:-1]


def side_of_other_beads(value):
    value["spacing"]["core_mm"] *= 1.7


def range_beside_the_truth(value):
    value["spacing"]["low"] = 1.01


def stock_beyond_all_floats(value):
    value["palette"]["entries"][0]["on_hand"] = 10**400


def next_version(value):
    value["version"] += 1


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (one_bead_too_far, r"thread passes bead (\d+), but beads are numbered 0 to (?!\1)\d+"),
        (one_tip_too_few, r"tips has \d+ beads where the shape has \d+ tips"),
        (third_tip, "tips, bead 3 is 'nowhere'"),
        (first_of_row_two, "bead_rows, row 2, bead 1 is 'nowhere'"),
        (
            last_of_row_two,
            rf"bead_rows, row 2, bead {len(json.loads(pattern_json(make_pattern()))['bead_rows'][1])} is",
        ),
        (one_bead_more_in_row_three, r"bead_rows, row 3 has (\d+) beads where the shape has (?!\1)\d+$"),
        (one_row_of_beads_more, r"bead_rows has 10 rows where the shape has 9$"),
        (one_loop_less_in_row_two, "shape, rows, item 2 has 4 places where the first has 5"),
        (one_loop_less_in_the_last_row, "shape, rows, item 4 has 4 places where the first has 5"),
        (side_of_other_beads, r"spacing, core_mm: [\d.]+ mm cannot be these beads"),
        (range_beside_the_truth, "spacing, low and high"),
        (stock_beyond_all_floats, "palette, entries, item 1, on_hand"),
        (next_version, "newer than this program knows"),
    ],
)
def test_faults_just_beyond_what_is_right_are_named(change, message):
    with pytest.raises(PatternFileError, match=message):
        parse_pattern(edited(change), "test")


@pytest.mark.parametrize(("faults", "more"), [(1, ""), (3, ""), (4, "; and 1 more"), (6, "; and 3 more")])
def test_of_many_faults_three_are_named(faults, more):
    def change(value):
        entry = value["palette"]["entries"][0]
        value["palette"]["entries"] = [{**entry, "code": f"{number}", "hex": 5} for number in range(faults)]

    with pytest.raises(PatternFileError) as refused:
        parse_pattern(edited(change), "test")
    assert str(refused.value).count("palette, entries") == min(faults, 3)
    assert str(refused.value).endswith(more) or not more
    assert ("; and " in str(refused.value)) == bool(more)


def numbers_of(value, path=()):
    """Yield the way to each number with a decimal point, of long lists the first only."""
    if isinstance(value, float):
        yield path
    parts = (
        value.items() if isinstance(value, dict) else enumerate(value[:1]) if isinstance(value, list) else ()
    )
    for name, part in parts:
        yield from numbers_of(part, (*path, name))


def test_numbers_without_end_are_refused_as_such():
    text = pattern_json(make_pattern())
    paths = list(numbers_of(json.loads(text)))
    assert len(paths) > 15
    for path in paths:
        value = json.loads(text)
        part = value
        for name in path[:-1]:
            part = part[name]
        part[path[-1]] = "@"
        with pytest.raises(PatternFileError, match="finite number"):
            parse_pattern(json.dumps(value).replace('"@"', "1e999"), "test")


OLD = sorted((Path(__file__).parent / "old").glob("*.json"))


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.stem)
def test_files_of_old_versions_open_and_are_written_anew(path):
    pattern, notes = parse_with_notes(path.read_bytes(), path.name)
    (note,) = notes
    assert note.startswith(f"{path.name} is a pattern file of version 1, ")
    assert (pattern.imprint, pattern.outlook, pattern.figures) == (NOBODY, USUAL, None)
    again = parse_with_notes(pattern_json(pattern), "test")
    assert again[1] == ()
    old, new = json.loads(path.read_text(encoding="utf-8")), json.loads(pattern_json(pattern))
    assert new["version"] == 2
    # What stood there stands there still.
    assert {key: new[key] for key in old if key not in ("version", "thread", "palette")} == {
        key: value for key, value in old.items() if key not in ("version", "thread", "palette")
    }
    assert new["thread"]["threads"] == old["thread"]["threads"]
    for entry, before in zip(new["palette"]["entries"], old["palette"]["entries"], strict=True):
        assert entry.items() >= before.items()


def test_there_are_files_of_old_versions():
    assert len(OLD) >= 2


@pytest.mark.parametrize("odd", [0, -1, "2", True, None, 1.5, 2.5])
def test_what_is_no_version_is_refused(odd):
    value = json.loads(pattern_json(make_pattern())) | {"version": odd}
    with pytest.raises(PatternFileError, match="test: version"):
        parse_pattern(json.dumps(value), "test")


def test_all_that_a_summary_needs_is_kept():
    looks = Looks(1.25, 0.75, 12, 340)
    pattern = replace(
        asked(make_pattern()),
        imprint=Imprint("Alder workshop", "CC BY 4.0", 2026),
        outlook=Outlook("#102030", 2.5),
        figures=Figures(4.5, looks, replace(looks, seen=1.0), 0.01, "12 colours: because"),
        path="thrifty",
        start="middle",
    )
    again = parse_pattern(pattern_json(pattern), "test")
    for name in ("imprint", "outlook", "figures", "path", "start"):
        assert getattr(again, name) == getattr(pattern, name)
    jsonschema.validate(json.loads(pattern_json(pattern)), pattern_schema())
    bare = replace(pattern, figures=Figures(4.5, looks))
    assert parse_pattern(pattern_json(bare), "test").figures == bare.figures


@pytest.mark.parametrize(
    ("field", "odd"),
    [
        ("year", 0),
        ("year", 10_000),
        ("maker", "a\u202eb"),
        ("licence", "a\nb"),
        ("view", {"backing": "white"}),
        ("view", {"distance_m": 0.0}),
        ("figures", {"colour_difference": -1.0}),
    ],
)
def test_impossible_imprints_views_and_figures_are_refused(field, odd):
    value = json.loads(pattern_json(make_pattern())) | {field: odd}
    with pytest.raises(PatternFileError, match=f"test: {field}"):
        parse_pattern(json.dumps(value), "test")
