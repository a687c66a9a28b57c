"""What is misspelt is told with the words that may have been meant; what is of the wrong kind is refused."""

import pytest

from convert.cli.usage import unknown_variables
from convert.cli.values import fits


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ("panel", "p.png", "--widht", "3"),
            "Error: there is no option --widht\nHint: did you mean --width?\n",
        ),
        (("panle",), "Error: there is no command 'panle'\nHint: did you mean panel or palette?\n"),
        (("swan",), "Error: there is no command 'swan'\nHint: see combweave --help\n"),
        (
            ("panel", "p.png", "--flip", "dwon"),
            "Error: --flip is 'dwon': it takes across or down\nHint: did you mean down?\n",
        ),
        (
            ("panel", "p.png", "--width", "wide"),
            "Error: --width is 'wide': it takes a number\nHint: --help tells of each option what it takes\n",
        ),
        (
            ("panel", "--width"),
            "Error: option '--width' requires an argument\nHint: see combweave panel --help\n",
        ),
        (("match", "teel"), "Error: 'teel' is no colour\nHint: did you mean teal"),
        (
            ("motif", "--outline", "hart", "--width", "50"),
            "Hint: did you mean heart?",
        ),
    ],
)
def test_a_slip_on_the_command_line_is_told_with_what_may_be_meant(combweave, arguments, told):
    run = combweave(*arguments)
    assert run.code in (1, 2)
    assert told in run.err


def test_no_word_at_all_is_answered_by_the_help(combweave):
    run = combweave()
    assert run.code == 2
    assert "Usage" in run.out + run.err


@pytest.mark.parametrize(
    ("setting", "told"),
    [
        ("widht = 3", "there is no option 'widht'\nHint: did you mean width?\n"),
        ("view_distanse = 3", "Hint: did you mean view-distance or distance?\n"),
        ("swan = 3", "there is no option 'swan'\nHint: see combweave panel --help for those there are\n"),
        (
            "[defaults]\nwidth = 3",
            "[defaults] is a heading\nHint: write options without headings in brackets\n",
        ),
        ("width = true", "'width' is true: it takes a number\n"),
        ("across = 3.5", "'across' is 3.5: it takes a whole number\n"),
        ("width = [100]", "'width' is [100]: it takes a number\n"),
        ("width = 1979-05-27", "'width' is datetime.date(1979, 5, 27): it takes a number\n"),
        ("title = 3", "'title' is 3: it takes words in quotes\n"),
        ("title = false", "'title' is false: it takes words in quotes\n"),
        ("keep = [310]", '\'keep\' is [310]: it takes words in quotes, as in ["A", "B"]\n'),
        ("stock = 1", "'stock' is 1: it takes true or false\n"),
        ('flip = "dwon"', "'flip' is 'dwon': it takes across or down\nHint: did you mean down?\n"),
    ],
)
def test_a_setting_of_the_wrong_kind_is_refused(combweave, tmp_path, setting, told):
    (tmp_path / "c.toml").write_text(setting)
    run = combweave("panel", "p.png", "--config", "c.toml")
    assert run.code == 2
    assert run.err.startswith("Error: c.toml: ")
    assert told in run.err


@pytest.mark.parametrize(
    ("value", "kind", "right"),
    [
        (3, float | None, True),
        (3.5, float, True),
        (3.5, int, False),
        (3, int | str, True),
        ("auto", int | str, True),
        (True, int, False),
        (True, bool, True),
        ("3", float, True),
        (["A"], tuple[str, ...], True),
        ("A", tuple[str, ...], True),
        (["A"], str, False),
        ([["A"]], tuple[str, ...], False),
        ({}, str, False),
    ],
)
def test_values_are_of_the_kind_that_an_option_takes(value, kind, right):
    assert fits(value, kind) == right


NAMES, COMMANDS = ["width", "view_distance"], ["panel", "sizes"]


@pytest.mark.parametrize(
    ("variable", "meant"),
    [
        ("COMBWEAVE_PANEL_WITH", "; did you mean COMBWEAVE_PANEL_WIDTH?"),
        ("COMBWEAVE_WIDTH", "; did you mean COMBWEAVE_PANEL_WIDTH?"),
        ("COMBWEAVE_PANLE_WIDTH", "; did you mean COMBWEAVE_PANEL_WIDTH?"),
        ("COMBWEAVE_SWAN", ""),
    ],
)
def test_a_misspelt_variable_is_told(variable, meant):
    notes = unknown_variables({variable: "3", "HOME": "/"}, "panel", NAMES, COMMANDS)
    assert notes == [f"{variable} in the environment sets no option{meant}"]


def test_variables_of_options_and_of_other_commands_are_no_slip():
    given = {"COMBWEAVE_PANEL_WIDTH": "3", "COMBWEAVE_SIZES_X": "3", "_COMBWEAVE_COMPLETE": "bash"}
    assert unknown_variables(given, "panel", NAMES, COMMANDS) == []


def test_a_misspelt_variable_is_told_once_and_hinders_nothing(combweave, monkeypatch):
    monkeypatch.setenv("COMBWEAVE_GAUGE_LOPS", "9")
    run = combweave("gauge", "--measured", "38")
    assert run.code == 0
    assert run.err == (
        "Note: COMBWEAVE_GAUGE_LOPS in the environment sets no option; did you mean COMBWEAVE_GAUGE_LOOPS?\n"
    )


def test_options_of_every_command_have_a_kind():
    import typer

    from convert.cli import app
    from convert.cli.values import KINDS

    commands = typer.main.get_command(app.app_of()).commands
    for name in app.COMMANDS:
        options = {one.name for one in commands[name].params if one.param_type_name == "option"}
        assert options - {"config", "help"} <= KINDS[name].keys()
