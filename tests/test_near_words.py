import pytest

from convert.near_words import as_compared, did_you_mean, near_words
from convert.sentences import listed


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("widht", ["width"]),
        ("WIDTH", ["width"]),
        ("view_distanse", ["view-distance"]),
        ("view", ["view-distance"]),
        ("mast", []),
        ("", []),
        ("w", []),
        ("x" * 100_000, []),
    ],
)
def test_a_slip_finds_the_word_that_was_meant(word, meant):
    assert near_words(word, ["height", "width", "view-distance", "rotate"]) == meant


def test_no_more_than_three_are_told_the_nearest_first():
    told = near_words("reed", ["reed green", "reed", "reef", "weed", "heron", "reel"])
    assert (told[:2], len(told)) == (["reed", "reed green"], 3)


def test_a_hint_ends_in_a_question_or_is_the_other_one():
    assert did_you_mean("heigth", ["height", "width"]) == "did you mean height?"
    assert did_you_mean("swan", ["height", "width"], "it is height") == "it is height"
    assert did_you_mean("swan", ["height", "width"]) == ""


@pytest.mark.parametrize(
    ("words", "told"), [(["a"], "a"), (["a", "b"], "a or b"), (["a", "b", "c"], "a, b or c")]
)
def test_words_stand_in_a_list_as_in_a_sentence(words, told):
    assert listed(words, "or") == told


def test_hyphens_and_blanks_are_alike():
    assert as_compared(" On-Hand_g ") == as_compared("on  hand g")
