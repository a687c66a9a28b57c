"""Reading what a user names, of which nothing is known before: only files and pipes, and only so much.

A device has no end, a pipe may never begin or never end, and a file may be larger than memory. All are told
from what is meant before they do harm; whoever calls turns the refusal into an error of its own kind.
"""

import os
import select
import stat
import time
from pathlib import Path
from typing import BinaryIO

# How long a pipe may say nothing, and how long it may take altogether.
IDLE_SECONDS = 20.0
MOST_SECONDS = 600.0
_AT_ONCE = 1 << 20


class UnboundedError(ValueError):
    """Something has no end, or is larger than it may be; the text completes "NAME ..."."""


def read_path(path: Path | str, most_bytes: int) -> bytes:
    """Return what a file holds, or what comes out of a pipe.

    Parameters
    ----------
    path : Path or str
        The file, or a link to it.
    most_bytes : int
        How much it may hold.

    Raises
    ------
    UnboundedError
        It is no file or pipe, is larger, or is a pipe that does not end.
    OSError, ValueError
        It cannot be opened or read.
    """
    # A pipe that nobody writes to would keep a program that opens it otherwise.
    number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        return _read(number, most_bytes)
    finally:
        os.close(number)


def read_stream(stream: BinaryIO, most_bytes: int) -> bytes:
    """Return what comes on a stream, such as standard input; the rest as `read_path`."""
    try:
        number = stream.fileno()
    except (OSError, AttributeError):  # one in memory
        data = stream.read(most_bytes + 1)
        if len(data) > most_bytes:
            raise _too_large(most_bytes) from None
        return data
    return _read(number, most_bytes)


def _read(number: int, most_bytes: int) -> bytes:
    status = os.fstat(number)
    is_pipe = stat.S_ISFIFO(status.st_mode) or stat.S_ISSOCK(status.st_mode)
    if stat.S_ISDIR(status.st_mode):
        raise UnboundedError("is a folder")
    if not is_pipe and not stat.S_ISREG(status.st_mode):
        # The one device that ends is empty.
        if os.isatty(number) or os.read(number, 1):
            raise UnboundedError("is a device, not a file or a pipe")
        return b""
    if not is_pipe and status.st_size > most_bytes:
        raise _too_large(most_bytes)
    waits = is_pipe and hasattr(select, "poll")
    end = time.monotonic() + MOST_SECONDS
    parts: list[bytes] = []
    left = most_bytes
    while True:
        if waits:
            _wait(number, end)
        part = os.read(number, _AT_ONCE)
        if not part:
            return b"".join(parts)
        parts.append(part)
        left -= len(part)
        if left < 0:
            raise _too_large(most_bytes)


def _wait(number: int, end: float) -> None:
    """Wait until there is something to read, or the end."""
    poll = select.poll()
    poll.register(number, select.POLLIN)
    if not poll.poll(IDLE_SECONDS * 1_000) or time.monotonic() > end:
        raise UnboundedError("is a pipe that does not end")


def _too_large(most_bytes: int) -> UnboundedError:
    return UnboundedError(f"is larger than {most_bytes / 1e6:g} MB")
