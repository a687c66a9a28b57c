"""The stitch order as a text file, for following with a needle in hand."""

import re
import textwrap

from convert.instructions.finishing import finishing_lines
from convert.instructions.introduction import introduction
from convert.instructions.order import OrderOfWork
from convert.instructions.phrases import GLUE, glued
from convert.instructions.short import SHORT, told_in
from convert.instructions.wording import Kind
from convert.piece.finishing import finishing
from convert.thread.verifier import ThreadReport

_WIDTH = 100
_INDENT = " " * 6
_OF_WORK = re.compile(r" *\d+\. ")


def stitch_text(order: OrderOfWork, report: ThreadReport, words: str = SHORT) -> str:
    """Return the stitch order of a piece as text.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    report : ThreadReport
        The proof of its thread path.
    words : str
        ``short`` or ``full``, see `convert.instructions.short.told_in`.
    """
    finish = finishing(order.pattern)
    last = [] if finish is None else finishing_lines(finish, order.names)
    lines = [*introduction(order, report, words), *stitch_lines(order, words), *last, ""]
    return "\n".join(line if len(line) <= _WIDTH else _wrapped(line) for line in lines)


def stitch_lines(order: OrderOfWork, words: str = SHORT) -> list[str]:
    """Return the work alone, a line for each of a paragraph however long.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    words : str
        As of `stitch_text`.
    """
    lines: list[str] = []
    for kind, told, number in told_in(order, words):
        first, *steps = told
        match kind:
            case Kind.HEADING:
                lines += ["", f"[ ] {first}", "-" * (len(first) + 4)]
            case Kind.STITCH | Kind.SHORT:
                lines.append(f"{number:4}. {first}")
                lines += [_INDENT + step for step in steps]
            case Kind.NEW_THREAD | Kind.REPEAT:
                lines += [_INDENT + words for words in told]
            case Kind.ENDING:
                lines += ["", first]
    return lines


def _wrapped(line: str) -> str:
    """Return a line broken to the width of a page, later lines indented more than a stitch's own."""
    of_work = _OF_WORK.match(line) is not None
    indent = " " * (len(_INDENT) + 2 if of_work else len(line) - len(line.lstrip()) + 2)
    filled = textwrap.fill(
        glued(line), _WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
    return filled.replace(GLUE, " ")
