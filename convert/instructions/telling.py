"""The stitch order as a text file, for following with a needle in hand."""

import textwrap

from convert.instructions.finishing import finishing_lines
from convert.instructions.introduction import introduction
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import Kind, paragraphs
from convert.piece.finishing import finishing
from convert.thread.verifier import ThreadReport

_WIDTH = 100
_INDENT = " " * 6


def stitch_text(order: OrderOfWork, report: ThreadReport) -> str:
    """Return the stitch order of a piece as text.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    report : ThreadReport
        The proof of its thread path.
    """
    finish = finishing(order.pattern)
    last = [] if finish is None else finishing_lines(finish, order.names)
    lines = [*introduction(order, report), *stitch_lines(order), *last, ""]
    return "\n".join(line if len(line) <= _WIDTH else _wrapped(line) for line in lines)


def stitch_lines(order: OrderOfWork) -> list[str]:
    """Return the work alone, a line for each of a paragraph however long.

    Parameters
    ----------
    order : OrderOfWork
        The work.
    """
    lines: list[str] = []
    for kind, words, number in paragraphs(order):
        first, *steps = words
        match kind:
            case Kind.HEADING:
                lines += ["", first, "-" * len(first)]
            case Kind.STITCH:
                lines.append(f"{number:4}. {first}")
                lines += [_INDENT + step for step in steps]
            case Kind.NEW_THREAD | Kind.REPEAT:
                lines.append(_INDENT + first)
            case Kind.ENDING:
                lines += ["", first]
    return lines


def _wrapped(line: str) -> str:
    """Return a line broken to the width of a page, later lines indented a little more."""
    indent = " " * (len(line) - len(line.lstrip()) + 2)
    return textwrap.fill(
        line, _WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
