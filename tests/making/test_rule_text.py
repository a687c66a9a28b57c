"""The grammar of rules for colours: what is meant, and what is said of a rule that cannot be read."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from convert.errors import RuleError
from convert.making.rule_text import LONGEST_RULE, RULES, parse_rule

STRIPED = ("rows", "columns", "rounds", "diagonal", "chevron")


def said(text):
    rule = parse_rule(text)
    return rule.kind, [(called.name, called.count) for called in rule.colours]


@pytest.mark.parametrize(
    ("text", "kind", "colours"),
    [
        ("rows 3A 1B 2C", "rows", [("A", 3), ("B", 1), ("C", 2)]),
        ("columns A", "columns", [("A", 1)]),
        ("rounds A B C", "rounds", [("A", 1), ("B", 1), ("C", 1)]),
        ("cores A connectors B", "cores", [("A", 1), ("B", 1)]),
        ("checks A B 2", "checks", [("A", 2), ("B", 2)]),
        ("chevron A B C 2", "chevron", [("A", 2), ("B", 2), ("C", 2)]),
        ("diagonal 3A B 2", "diagonal", [("A", 3), ("B", 2)]),
        ("random A 3 B 1", "random", [("A", 3), ("B", 1)]),
        ("random 3A B", "random", [("A", 3), ("B", 1)]),
        ("shade A B C", "shade", [("A", 1), ("B", 1), ("C", 1)]),
        # Names with blanks and codes that are numbers stand in quotes, of either kind, with a number before.
        ("rows 3'heron grey' \"101\"", "rows", [("heron grey", 3), ("101", 1)]),
        ("rows 3RU3 12HG1", "rows", [("RU3", 3), ("HG1", 12)]),
        ("ROWS  A,B , C", "rows", [("A", 1), ("B", 1), ("C", 1)]),
        ("shade 3A 2B", "shade", [("3A", 1), ("2B", 1)]),
    ],
)
def test_rules_are_read(text, kind, colours):
    assert said(text) == (kind, colours)


@pytest.mark.parametrize(
    ("text", "place", "message"),
    [
        ("zigzag A", 0, "there is no rule 'zigzag'"),
        ("chevrn A B", 0, "there is no rule 'chevrn'"),
        ("chevron", 7, "chevron has no colour"),
        ("chevron 2", 9, "chevron has no colour"),
        ("chevron A 2 B", 10, "a number stands right before its colour"),
        ("chevron 2A 2B 3", 14, "every colour has a number of its own already"),
        ("rows 0A", 5, "a number is 1 to 10,000 here, not 0"),
        ("rows A 99999", 7, "a number is 1 to 10,000 here"),
        ("rows A 'B", 7, "a quote is opened and not closed"),
        ("rows A ''", 7, "between these quotes stands no colour"),
        ("rows A'B'", 6, "a quote in the middle of a word"),
        ("checks A B", 10, "how wide a check is must stand at the end"),
        ("checks A 2", 10, "checks has 1 colour only"),
        ("checks 3'A' B 2", 7, "no number stands before a colour here"),
        ("cores A", 7, "here must stand the word connectors"),
        ("cores A conectors B", 8, "here must stand the word connectors"),
        ("cores A connectors", 18, "here must stand the colour of the connectors"),
        ("cores A connectors B C", 21, "nothing more goes with cores"),
        ("random A 3 4", 11, "a share stands after its colour"),
        ("random 3 A", 7, "a share stands after its colour"),
        ("random A --seed 7", 9, "--seed is no colour"),
        ("shade A", 7, "shade has 1 colour only"),
        ("shade A 3 B", 8, "a number where a colour must stand"),
        ("rows A\tB\nC", 6, "cannot be printed"),
    ],
)
def test_a_fault_is_shown_where_it_is(text, place, message):
    with pytest.raises(RuleError) as refused:
        parse_rule(text)
    error = refused.value
    assert message in str(error)
    assert error.place == place
    shown, caret = error.pointed.splitlines()
    assert caret.index("^") == 2 + place
    assert caret.strip() == "^"
    assert shown[2:] == text.replace("\t", "?").replace("\n", "?")
    assert error.hint
    assert "\n" not in str(error) + error.hint


def test_the_grammar_of_the_rule_is_told_and_a_like_word():
    with pytest.raises(RuleError) as refused:
        parse_rule("chevron A 2 B")
    assert "chevron takes colours, each after how many lines it has" in refused.value.hint
    with pytest.raises(RuleError) as refused:
        parse_rule("chevrn A B")
    assert refused.value.hint.startswith("did you mean chevron? A rule begins with rows, columns, ")
    assert all(kind in refused.value.hint for kind in RULES)


def test_a_long_rule_is_shown_about_the_place_only():
    text = "rows " + "A " * 200 + "0B " + "A " * 100
    with pytest.raises(RuleError) as refused:
        parse_rule(text)
    shown, caret = refused.value.pointed.splitlines()
    assert len(shown) <= 102
    assert shown[caret.index("^")] == "0"


@pytest.mark.parametrize("text", ["", "  , ", "rows " + "A" * LONGEST_RULE])
def test_rules_without_a_place(text):
    with pytest.raises(RuleError) as refused:
        parse_rule(text)
    assert refused.value.pointed == ""


NAMES = st.text(
    st.characters(codec="utf-8", categories=("L", "Nd", "Zs", "P")), min_size=1, max_size=12
).filter(lambda name: name.strip() and name.isprintable() and not ("'" in name and '"' in name))


def quoted(name):
    return f'"{name}"' if "'" in name else f"'{name}'"


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    kind=st.sampled_from(STRIPED),
    stripes=st.lists(st.tuples(NAMES, st.integers(1, 10_000)), min_size=1, max_size=9),
)
def test_what_is_written_is_what_is_understood(kind, stripes):
    text = " ".join([kind, *(f"{count}{quoted(name)}" for name, count in stripes)])
    assert said(text) == (kind, stripes)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    st.one_of(
        st.text(max_size=60),
        st.lists(
            st.sampled_from(
                [*RULES, "A", "3A", "'", '"', "2", "0", "connectors", "--seed", ",", "3'B c'", "²", "\x00"]
            ),
            max_size=9,
        ).map(" ".join),
    )
)
@example("rows ²")
@example("rows ٣A")
@example("random ²A 3")
def test_any_text_is_a_rule_or_a_fault_in_one_line(text):
    try:
        rule = parse_rule(text)
    except RuleError as error:
        assert "\n" not in str(error)
        assert 0 <= error.place <= len(text)
        if error.pointed:
            assert len(error.pointed.splitlines()) == 2
    else:
        assert rule.kind in RULES
        assert rule.colours
        for called in rule.colours:
            assert called.name
            assert called.count >= 1
            assert text[called.place :].lstrip("0123456789").lstrip("'\"").startswith(called.name) or (
                called.name in text
            )
