"""Options are declared once: what a library takes the command line offers, with the same name and default."""

import dataclasses
from pathlib import Path
from typing import Literal, get_args, get_origin

import pytest
import typer
from PIL import Image

from convert.cli.app import app_of
from convert.cli.groups import takes_groups
from convert.errors import ConvertError
from convert.making.options import MotifOptions, PanelOptions, SizesOptions
from convert.making.shapes import SHAPES
from convert.making.sources import SOURCES
from convert.settings.changes import ChangeOptions
from convert.settings.declaring import HEADINGS, SIZE, Settings, declared, option

OLD_PATTERN = Path(__file__).parents[1] / "piece" / "old" / "version-1.json"
COMMANDS = typer.main.get_command(app_of()).commands
GROUPS = {"panel": PanelOptions, "motif": MotifOptions, "sizes": SizesOptions}
MAKERS = {
    "panel": "front_door.make_panel",
    "motif": "front_door.make_motif",
    "sizes": "comparisons.compare_sizes",
}
FIELDS = [(command, field) for command, group in GROUPS.items() for field in declared(group)]
# Some values only make sense beside another.
BESIDE = {
    "keep": ("--colours", "3"),
    "dither_kind": ("--dither", "0.5"),
    "seed": ("--rule", "random A"),
    "mirror_from": ("--mirror", "both"),
    "mirror_pair": ("--copies", "2"),
}
# What the options of a source of colours take, where it is not a bead.
SAID = {"rule": ("rows A", "rows A"), "seed": ("5", 5)}


class SeenError(ConvertError):
    """Stops a command where its options have come together."""


@pytest.mark.parametrize("command", GROUPS)
def test_every_field_of_the_options_is_declared(command):
    assert set(declared(GROUPS[command])) == {field.name for field in dataclasses.fields(GROUPS[command])}


@pytest.mark.parametrize(("command", "field"), FIELDS)
def test_an_option_has_one_name_one_help_and_one_default(command, field):
    known, hint, default = declared(GROUPS[command])[field]
    (shown,) = [one for one in COMMANDS[command].params if known.flag in one.opts]
    assert (shown.name, shown.help) == (known.name, known.help)
    assert known.heading in HEADINGS
    if get_origin(hint) is tuple:
        assert (shown.multiple, shown.default, default) == (True, None, ())
    else:
        assert (shown.multiple, shown.default) == (False, default)


def other_value(hint, default):
    """A value that is not the default, on the command line and as the library has it."""
    kinds = [hint, *get_args(hint)]
    for kind in kinds:
        if get_origin(kind) is Literal:
            word = next(word for word in get_args(kind) if word != default)
            return [word], word
    if bool in kinds:
        return [], True
    if get_origin(hint) is tuple:
        return ["11/0", "8/0"], ("11/0", "8/0")
    if int in kinds:
        return ["7"], 7
    if float in kinds:
        return ["0.75"], 0.75
    return ["AB"], "AB"


@pytest.mark.parametrize(("command", "field"), FIELDS)
def test_what_the_command_line_says_reaches_the_library(
    combweave, small_picture, monkeypatch, command, field
):
    known, hint, default = declared(GROUPS[command])[field]
    words, value = other_value(hint, default)
    said = [part for word in words for part in (known.flag, word)] or [known.flag]
    told = []

    def seen(*arguments, **named):
        told.extend(one for one in (*arguments, *named.values()) if isinstance(one, GROUPS[command]))
        raise SeenError("seen")

    monkeypatch.setattr(f"convert.{MAKERS[command]}", seen)
    run = combweave(command, small_picture, *said, *BESIDE.get(field, ()))
    assert run.err.startswith("Error: seen\nHint: ")
    (options,) = told
    assert getattr(options, field) == value


@pytest.mark.parametrize("field", declared(ChangeOptions))
def test_what_redraw_is_told_reaches_the_library(combweave, monkeypatch, field):
    known, hint, default = declared(ChangeOptions)[field]
    words, value = other_value(hint, default)
    said = [part for word in words for part in (known.flag, word)] or [known.flag]
    told = []

    def seen(made, options, *arguments, **named):
        told.append(options)
        raise SeenError("seen")

    monkeypatch.setattr("convert.front_door.change_pattern", seen)
    run = combweave("redraw", OLD_PATTERN, *said)
    assert run.err.startswith("Error: seen\nHint: ")
    assert told == [ChangeOptions(**{field: value})]


def test_options_of_a_shape_reach_it(combweave, monkeypatch):
    told = []

    def seen(shape, *arguments, **named):
        told.append((shape, named["colours"]))
        raise SeenError("seen")

    monkeypatch.setattr("convert.front_door.make_motif", seen)
    for name, shape in SHAPES.items():
        for field, (known, hint, default) in declared(shape).items():
            words, value = other_value(hint, default)
            combweave("motif", "--shape", name, known.flag, *words, *BESIDE.get(field, ()))
            assert type(told[-1][0]) is shape
            assert getattr(told[-1][0], field) == value
    for source in SOURCES:
        for field, (known, _, _) in declared(source).items():
            word, value = SAID.get(field, ("RU3", "RU3"))
            combweave("motif", known.flag, word, *BESIDE.get(field, ()))
            assert type(told[-1][1]) is source
            assert getattr(told[-1][1], field) == value


@pytest.mark.parametrize("command", COMMANDS)
def test_no_flag_says_two_things(command):
    flags = [flag for one in COMMANDS[command].params for flag in one.opts]
    assert len(flags) == len(set(flags))
    assert {"verbose", "config"} <= {one.name for one in COMMANDS[command].params}


@pytest.mark.parametrize("command", COMMANDS)
def test_options_stand_under_their_headings_in_one_order(command):
    headings = [
        one.rich_help_panel for one in COMMANDS[command].params if getattr(one, "rich_help_panel", None)
    ]
    assert headings == sorted(headings, key=HEADINGS.index)


def test_a_group_is_put_together_though_its_name_is_that_of_an_option():
    @dataclasses.dataclass(frozen=True, kw_only=True)
    class Reeds(Settings):
        reeds: int = option(3, "--reeds", "How many.", SIZE)
        lengths: tuple[str, ...] = option((), "--length", "Each.", SIZE)

    found = []

    def cut(reeds: Reeds) -> None:
        found.append(reeds)

    takes_groups(cut)(reeds=5, length=None, verbose=False, config=None)
    takes_groups(cut)(reeds=3, length=["a"], verbose=False, config=None)
    assert found == [Reeds(reeds=5), Reeds(lengths=("a",))]


def test_a_config_file_and_the_environment_set_the_same_options(combweave, tmp_path, monkeypatch):
    Image.new("RGB", (40, 30), "#2060A0").save(tmp_path / "p.png")
    told = []

    def seen(picture, palette, options, **named):
        told.append(options)
        raise SeenError("seen")

    monkeypatch.setattr("convert.front_door.make_panel", seen)
    (tmp_path / "c.toml").write_text('width = 50\nkeep = ["GE3"]\ncolours = 9\nneedleful = 1.5\n')
    monkeypatch.setenv("COMBWEAVE_PANEL_COLOURS", "8")
    monkeypatch.setenv("COMBWEAVE_PANEL_MAX_BEADS", "4000")
    combweave("panel", "p.png", "--config", "c.toml", "--needleful", "1.2")
    expected = PanelOptions(width_mm=50.0, keep=("GE3",), colours=8, needleful_m=1.2, max_beads=4000)
    assert told == [expected]
