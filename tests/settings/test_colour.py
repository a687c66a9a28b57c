import pytest

from convert.errors import ConvertError
from convert.settings.colour import ColourSettings


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"dither": 1.5}, "--dither is from 0 to 1, not 1.5"),
        ({"dither": float("nan")}, "--dither is from 0 to 1"),
        ({"smoothing": -0.1}, "--smooth is from 0 to 1"),
        ({"smoothing": 1.01}, "--smooth is from 0 to 1"),
        ({"dither_kind": "rain"}, "--dither-kind is spread or threshold or search, not 'rain'"),
        ({"distance": "far"}, "--distance is ciede2000 or cie94 or cmc or cie76, not 'far'"),
        ({"lightness": 0.0}, "--lightness is from 0.2 to 5, not 0"),
        ({"lightness": 5.1}, "--lightness is from 0.2 to 5, not 5.1"),
        ({"distance": "cie76", "lightness": 1.5}, "cie76 weighs lightness in one way only"),
        ({"dither": 0.5, "smoothing": 0.5}, "parts them again"),
        ({"colours": 0}, "1 or more"),
        ({"colours": "-3"}, "1 or more"),
        ({"colours": "many"}, "a number, auto or all"),
        ({"colours": "1.5"}, "a number, auto or all"),
        ({"colours": 1, "keep": ("C1", "C2")}, "2 colours to keep are more than the 1"),
        ({"keep": ("C1",), "colours": "all"}, "--keep"),
        ({"colours": 3, "keep": ("C1",), "avoid": ("C1",)}, "both to keep and to avoid"),
        ({"stock": True, "dither": 0.5}, "on hand"),
        ({"stock": True, "smoothing": 0.5}, "on hand"),
    ],
    ids=str,
)
def test_settings_that_cannot_be_are_refused_in_one_line(options, message):
    with pytest.raises(ConvertError, match=message) as refused:
        ColourSettings(**options)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "options",
    [
        {"dither": 1.0},
        {"keep": ("C1",)},
        {"smoothing": 1.0, "colours": 1},
        {"colours": 2, "keep": ("C1", "C2")},
        {"stock": True, "avoid": ("C1",)},
    ],
    ids=str,
)
def test_settings_at_their_limits_are_taken(options):
    assert vars(ColourSettings(**options)).items() >= options.items()


def test_beads_are_plainly_the_nearest_only_where_nothing_else_is_asked():
    assert ColourSettings(distance="cie94").plain
    for other in ({"dither": 0.1}, {"smoothing": 0.1}, {"colours": 9}, {"avoid": ("A",)}, {"stock": True}):
        assert not ColourSettings(**other).plain


def test_some_settings_bind_what_beads_there_are():
    assert not ColourSettings(dither=0.5).limits
    for other in ({"colours": 9}, {"avoid": ("A",)}, {"stock": True}):
        assert ColourSettings(**other).limits


def test_a_number_of_colours_may_be_a_word_and_is_a_limit_only_as_a_number():
    assert ColourSettings().colours == "auto"
    assert ColourSettings(colours="12").colours == 12
    for words in ("auto", "all"):
        assert ColourSettings(colours=words).most_colours is None
        assert ColourSettings(colours=words).plain
        assert not ColourSettings(colours=words).limits
