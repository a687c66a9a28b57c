"""What must not stay behind when the process is ended, and the signals that end it.

A signal may come at any moment, several times, and in the middle of code that catches everything. So the
program is ended where it stands: what is unfinished is removed, one line is told, and that is all.
"""

import os
import shutil
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType

from convert.noise import standard_error

SIGNALS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
# Shells tell the end by a signal so: POSIX.1-2017, Shell Command Language, 2.8.2 (more than 128).
_BY_SIGNAL = 128
# Whoever is shown a bar has no cursor meanwhile; ECMA-48: erase the line (EL), show the cursor (DECTCEM).
_END_BAR = "\r\x1b[2K\x1b[?25h"

_folders: set[Path] = set()
_written: set[Path] = set()


def end_on_signals() -> None:
    """From now on end the program by one line and exit code 130, 143 or 129 when it is interrupted."""
    for number in SIGNALS:
        # Started by nohup, it is to outlive the terminal.
        if number in (signal.SIGINT, signal.SIGTERM) or signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _end)


def _end(number: int, frame: FrameType | None) -> None:
    for other in SIGNALS:
        signal.signal(other, signal.SIG_IGN)
    # Processes that write beside this one would write on.
    if (started := sys.modules.get("multiprocessing")) is not None:
        for child in started.active_children():
            child.kill()
            child.join()
    for folder in tuple(_folders):
        shutil.rmtree(folder, ignore_errors=True)
    with suppress(OSError, ValueError, AttributeError):
        told = "the outputs are written" if _written else "nothing was written"
        # While a picture is read, noise is kept off standard error, which must not hide this line.
        seen = sys.stderr.fileno() if sys.stderr.fileno() != 2 else standard_error()
        bar = _END_BAR if os.isatty(seen) else ""
        os.write(seen, f"{bar}Interrupted; {told}.\n".encode())
    os._exit(_BY_SIGNAL + number)


@contextmanager
def unfinished(folder: Path) -> Iterator[None]:
    """Have a folder, which may be made within, removed at the end, however that comes about.

    Parameters
    ----------
    folder : Path
        Its absolute path.
    """
    _folders.add(folder)
    try:
        yield
    finally:
        with undisturbed():
            shutil.rmtree(folder, ignore_errors=True)
            _folders.discard(folder)


def tell_written(target: Path) -> None:
    """Keep in mind that something has been written, for whoever interrupts the program now."""
    _written.add(target)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Have signals wait until what must not be left half done is done."""
    if threading.current_thread() is not threading.main_thread():
        # Signals are handled in the main thread only.
        yield
        return
    waiting: list[int] = []
    former = {}
    try:
        for number in SIGNALS:
            handler = signal.getsignal(number)
            # None is a handler that is not Python's.
            if handler is not None and handler is not signal.SIG_IGN:
                former[number] = handler
                signal.signal(number, lambda number, frame: waiting.append(number))
        yield
    finally:
        for number, handler in former.items():
            signal.signal(number, handler)
        if waiting:
            signal.raise_signal(waiting[0])
