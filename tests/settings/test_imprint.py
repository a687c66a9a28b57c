import pytest

from convert.errors import OutputError
from convert.piece.about import Imprint
from convert.settings.imprint import ImprintSettings


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"title": "heron\x1b[31m"}, r"--title has a character that cannot be printed \(U\+001B\)"),
        ({"title": "turned \u202eround"}, r"U\+202E"),
        ({"title": "two\nlines"}, r"U\+000A"),
        ({"title": "lone \ud800"}, r"U\+D800"),
        ({"maker": "a\u2066b"}, r"--maker has a character that cannot be printed \(U\+2066\)"),
        ({"licence": "a\tb"}, r"--licence has"),
        ({"title": "x" * 500}, "--title is at most 120 letters long, not 500"),
        ({"maker": "x" * 121}, "--maker is at most 120 letters long, not 121"),
        ({"licence": "x" * 241}, "--licence is at most 240 letters long, not 241"),
        ({"title": ""}, "--title is blank"),
        ({"title": " \u00a0 "}, "--title is blank"),
        ({"year": 0}, "--year is from 1 to 9999, not 0"),
        ({"year": 20260}, "--year is from 1 to 9999, not 20260"),
    ],
    ids=str,
)
def test_what_cannot_be_printed_in_one_line_is_refused(options, message):
    with pytest.raises(OutputError, match=message) as refused:
        ImprintSettings(**options)
    assert str(refused.value).isprintable()


def test_blanks_of_any_kind_are_plain_ones():
    said = ImprintSettings(title=" Heron\u00a0at  dawn\u2003", maker="x" * 120, licence="", year=2026)
    assert (said.title, said.maker, said.licence, said.year) == ("Heron at dawn", "x" * 120, "", 2026)
    assert ImprintSettings() == ImprintSettings(title=None, maker=None, licence=None, year=None)


@pytest.mark.parametrize(
    ("imprint", "line", "rights"),
    [
        (Imprint(), "", ""),
        (Imprint("Alder workshop"), "Pattern by Alder workshop", "© Alder workshop"),
        (
            Imprint("Alder workshop", "CC BY 4.0", 2026),
            "Pattern by Alder workshop, 2026 · Licence: CC BY 4.0",
            "© 2026 Alder workshop. Licence: CC BY 4.0",
        ),
        (Imprint("", "for yourself", None), "Licence: for yourself", "Licence: for yourself"),
        (Imprint("", "", 2026), "2026", "2026"),
    ],
)
def test_an_imprint_says_no_more_than_is_given(imprint, line, rights):
    assert (imprint.line, imprint.rights) == (line, rights)
