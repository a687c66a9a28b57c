"""What a piece is called, whose it is, and what others may do with it."""

import unicodedata
from dataclasses import dataclass

from convert.errors import OutputError
from convert.settings.declaring import OUTPUT, Settings, option

# What the head of a chart has room for, and a name of a folder; our choice.
LONGEST_TITLE, LONGEST_MAKER, LONGEST_LICENCE = 120, 120, 240
YEARS = 1, 9_999


def one_line(flag: str, text: str, most: int) -> str:
    """Return a text as one line without blanks about it, any kind of blank being a plain one.

    Raises
    ------
    OutputError
        It is too long, or has a character that cannot be seen, such as one that turns the order of letters.
    """
    blanks = "".join(" " if unicodedata.category(letter) == "Zs" else letter for letter in text)
    line = " ".join(part for part in blanks.split(" ") if part)
    if odd := next((letter for letter in line if not letter.isprintable()), ""):
        raise OutputError(
            f"{flag} has a character that cannot be printed (U+{ord(odd):04X})",
            "type it anew in one line of letters, digits and signs",
        )
    if len(line) > most:
        raise OutputError(f"{flag} is at most {most} letters long, not {len(line)}", "shorten it")
    return line


@dataclass(frozen=True, kw_only=True)
class ImprintSettings(Settings):
    """Title, maker, licence and year; of a piece that has them already, None leaves them as they are.

    Raises
    ------
    OutputError
        One cannot be printed in its place.
    """

    title: str | None = option(
        None,
        "--title",
        "What the piece is called; names its folder, too. Without it the name it has, or its picture's.",
        OUTPUT,
        metavar="TEXT",
    )
    maker: str | None = option(
        None,
        "--maker",
        "Who designed it: on chart, cover and page, and in every file.",
        OUTPUT,
        metavar="TEXT",
    )
    licence: str | None = option(
        None,
        "--licence",
        "What others may do with the pattern, such as 'CC BY-NC 4.0'.",
        OUTPUT,
        metavar="TEXT",
    )
    year: int | None = option(
        None, "--year", "Year of the design, beside its maker; none unless you say.", OUTPUT, metavar="YEAR"
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        for name, flag, most in (
            ("title", "--title", LONGEST_TITLE),
            ("maker", "--maker", LONGEST_MAKER),
            ("licence", "--licence", LONGEST_LICENCE),
        ):
            text = getattr(self, name)
            if text is not None:
                object.__setattr__(self, name, one_line(flag, text, most))
        if self.title == "":
            raise OutputError("--title is blank", "give it a name, or leave it out")
        if self.year is not None and not YEARS[0] <= self.year <= YEARS[1]:
            raise OutputError(f"--year is from {YEARS[0]} to {YEARS[1]}, not {self.year}")
