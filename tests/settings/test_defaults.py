"""What is so if nothing is said; the README and the help tell of these."""

from dataclasses import dataclass
from typing import Literal

import pytest

from convert.errors import SizeError
from convert.settings.changes import ChangeSettings
from convert.settings.colour import BackingSettings, ColourSettings, ViewSettings
from convert.settings.declaring import SIZE, Settings, declared, option
from convert.settings.imprint import ImprintSettings
from convert.settings.kits import ClassSettings
from convert.settings.money import MoneySettings
from convert.settings.output import BookletSettings
from convert.settings.picture import PictureLimit, PictureSettings
from convert.settings.thread import ThreadSettings
from convert.settings.weave import BeadLimit, BeadSettings, CopySettings, EdgeSettings, GaugeSettings

DEFAULTS = {
    ImprintSettings: {"title": None, "maker": None, "licence": None, "year": None},
    ChangeSettings: {"colours": (), "swap": (), "drop": (), "add": (), "leave_marked": False},
    PictureSettings: {
        "ground": None,
        "ground_holes": False,
        "mask": None,
        "crop": None,
        "rotate": 0.0,
        "flip": None,
        "brightness": 1.0,
        "contrast": 1.0,
        "saturation": 1.0,
    },
    PictureLimit: {"max_megapixels": None},
    BeadSettings: {"beads": "11/0", "connectors": None},
    GaugeSettings: {"gauge_mm": None},
    EdgeSettings: {"edge": "plain"},
    BeadLimit: {"max_beads": 1_000_000},
    CopySettings: {"copies": 1, "mirror_pair": False},
    ColourSettings: {
        "distance": "ciede2000",
        "lightness": 1.0,
        "dither": 0.0,
        "dither_kind": "spread",
        "smoothing": 0.0,
        "colours": "auto",
        "keep": (),
        "avoid": (),
        "stock": False,
    },
    MoneySettings: {"spare": None, "currency": ""},
    ViewSettings: {"view_distance_m": 1.0},
    BackingSettings: {"backing": "#FFFFFF"},
    ThreadSettings: {
        "path": "steady",
        "start": "corner",
        "thread_mm": 0.2,
        "needle_mm": 0.38,
        "needleful_m": 1.8,
    },
    ClassSettings: {"students": None},
    BookletSettings: {
        "paper": "a4",
        "ink": "colour",
        "edition": None,
        "beads_per_hour": 100.0,
        "labour": 0.0,
        "margin": 0.0,
    },
}


@pytest.mark.parametrize("group", DEFAULTS, ids=lambda group: group.__name__)
def test_what_is_so_if_nothing_is_said(group):
    assert vars(group()) == DEFAULTS[group]


@pytest.mark.parametrize("colours", ["9", 9])
def test_a_number_of_colours_may_come_as_a_word(colours):
    assert ColourSettings(colours=colours).colours == 9
    assert ColourSettings(colours=colours) == ColourSettings(colours=9)


@pytest.mark.parametrize(("distance", "lightness"), [("ciede2000", 0.2), ("cmc", 5.0), ("cie76", 1.0)])
def test_lightness_may_weigh_so_much(distance, lightness):
    assert ColourSettings(distance=distance, lightness=lightness).lightness == lightness


@pytest.mark.parametrize("spare", [0.0, 0.1, 1.0])
def test_spare_is_a_share(spare):
    assert MoneySettings(spare=spare).spare == spare


@pytest.mark.parametrize("spare", [-0.01, 1.01, float("nan")])
def test_spare_that_is_none_is_refused(spare):
    with pytest.raises(SizeError, match="to spare are from 0 to 1"):
        MoneySettings(spare=spare)


@dataclass(frozen=True, kw_only=True)
class Reeds(Settings):
    kind: Literal["tall", "short"] = option("tall", "--reed-kind", "Which.", SIZE)
    bank: Literal["north", "south"] | None = option(None, "--bank", "Where.", SIZE, metavar="BANK")
    count: int = option(3, "--count", "How many.", SIZE, least=1, most=9)


def test_words_are_those_to_choose_from():
    assert Reeds(kind="short", bank="south") == Reeds(kind="short", bank="south", count=3)
    assert Reeds().bank is None
    with pytest.raises(SizeError, match="--reed-kind is tall or short, not 'wide'"):
        Reeds(kind="wide")
    with pytest.raises(SizeError, match="--bank is north or south, not 'east'"):
        Reeds(bank="east")
    with pytest.raises(SizeError, match="--reed-kind is tall or short, not 'None'"):
        Reeds(kind=None)


def test_a_declaration_says_what_the_command_line_shows():
    shown, hint, default = declared(Reeds)["count"]
    assert (shown.flag, shown.name, shown.help, shown.heading) == ("--count", "count", "How many.", SIZE)
    assert (shown.least, shown.most, shown.metavar, hint, default) == (1, 9, None, int, 3)
    assert declared(Reeds)["kind"][0].name == "reed_kind"
    assert declared(Reeds)["bank"][0].metavar == "BANK"


def test_a_group_is_taken_out_of_options_that_have_its_fields():
    @dataclass(frozen=True, kw_only=True)
    class More(Reeds):
        other: int = option(1, "--other", "Else.", SIZE)

    assert Reeds.of(More(kind="short", count=5, other=9)) == Reeds(kind="short", count=5)
