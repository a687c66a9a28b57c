"""Keeps off standard error what libraries print by themselves: it would drown the one line that matters."""

import os
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

_STANDARD_ERROR = 2
_changing = threading.Lock()
_redirection = ExitStack()
_inside = 0
_kept = _STANDARD_ERROR


@contextmanager
def noise_kept_off() -> Iterator[None]:
    """Let nothing reach standard error while the block runs.

    Decoders in C write to the descriptor itself, of a damaged TIFF some hundred lines. Blocks may lie within
    each other and run beside each other in threads: the first opens, the last closes. It is for a program
    that owns its process; what else is written meanwhile is lost, but to `standard_error`.
    """
    global _inside
    with _changing:
        if _inside == 0:
            _redirection.enter_context(_redirected())
        _inside += 1
    try:
        yield
    finally:
        with _changing:
            _inside -= 1
            if _inside == 0:
                _redirection.close()


def standard_error() -> int:
    """Return the descriptor of standard error, also while noise is kept off it."""
    return _kept


@contextmanager
def _redirected() -> Iterator[None]:
    global _kept
    try:
        _kept = os.dup(_STANDARD_ERROR)
    except OSError:  # it is closed, and nothing can be written to it
        yield
        return
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, _STANDARD_ERROR)
    os.close(silent)
    try:
        yield
    finally:
        os.dup2(_kept, _STANDARD_ERROR)
        os.close(_kept)
        _kept = _STANDARD_ERROR
