import pytest

from convert.instructions import phrases
from convert.sentences import listed


def test_sentence_has_a_capital_and_a_stop_and_keeps_the_rest():
    assert phrases.sentence("pick up WH") == "Pick up WH."
    assert phrases.capitalised("tip of 1.1") == "Tip of 1.1"


@pytest.mark.parametrize(
    ("names", "words"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_listed(names, words):
    assert listed(names) == words


def test_plural():
    assert [phrases.plural("loop", count) for count in (1, 2, 7)] == ["loop", "loops", "loops"]


def test_runs_of_equal_names_are_folded_and_counted():
    told = phrases.folded_names(["WH", "WH", "RG", "WH"])
    assert told == ["2 x WH", "RG", "WH"]
    assert phrases.counted(told, 4) == "4: 2 x WH, RG, WH"
    assert phrases.counted(["2 x WH"], 2) == "2 x WH"


def test_numbers_in_words_up_to_twelve():
    assert [phrases.number_word(count) for count in (2, 3, 11, 12, 13)] == [
        "two",
        "three",
        "eleven",
        "twelve",
        "13",
    ]


def test_ordinals():
    told = "1st 2nd 3rd 4th 10th 11th 12th 13th 14th 21st 22nd 23rd 24th 101st 111th 113th"
    counts = (1, 2, 3, 4, 10, 11, 12, 13, 14, 21, 22, 23, 24, 101, 111, 113)
    assert " ".join(map(phrases.ordinal, counts)) == told


def test_spans():
    assert [phrases.span(*ends) for ends in ((3, 3), (3, 4), (3, 5))] == ["3", "3 and 4", "3 to 5"]
    assert phrases.spans([1, 2, 3]) == "1 to 3"
    assert phrases.spans([1, 2, 4, 6, 7]) == "1 to 2, 4 and 6 to 7"
    assert phrases.spans([5]) == "5"
