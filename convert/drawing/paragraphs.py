"""Paragraphs broken into lines of a width."""

import re

from convert.drawing.labels import plain, text_width_mm
from convert.instructions.phrases import GLUE

# A count stays with what it counts, and a size such as 11/0 with the code before it.
_BREAK = re.compile(r"(?<! x) (?!x |\d+/\d)")
_SPACE = re.compile(rf"[^\S{GLUE}]+")


def broken(text: str, size_pt: float, width_mm: float) -> list[str]:
    """Return a text as lines no wider than a width; a word that is wider is cut.

    Parameters
    ----------
    text : str
        One paragraph. It is not broken at `convert.instructions.phrases.GLUE`.
    size_pt : float
        Size of type.
    width_mm : float
        Width of the lines.
    """
    space = text_width_mm(" ", size_pt)
    lines: list[str] = []
    words: list[str] = []
    used = 0.0
    for whole in _BREAK.split(_SPACE.sub(" ", text).strip()):
        for word, wide in _pieces(plain(whole), size_pt, width_mm):
            if words and used + space + wide > width_mm:
                lines.append(" ".join(words))
                words, used = [], 0.0
            used += wide + (space if words else 0.0)
            words.append(word)
    return [*lines, " ".join(words)]


def _pieces(word: str, size_pt: float, width_mm: float) -> list[tuple[str, float]]:
    """Return a word cut into pieces that fit into a width, each with its own width."""
    wide = text_width_mm(word, size_pt)
    if wide <= width_mm:
        return [(word, wide)]
    pieces = [""]
    for letter in word:
        if pieces[-1] and text_width_mm(pieces[-1] + letter, size_pt) > width_mm:
            pieces.append("")
        pieces[-1] += letter
    return [(piece, text_width_mm(piece, size_pt)) for piece in pieces]
