"""Work that is done in processes of its own, side by side."""

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any

from convert.errors import OutputError


def processes_for(work: Sequence[int], least: int, bytes_each: int) -> int:
    """Return how many processes pay and fit.

    Parameters
    ----------
    work : sequence of int
        How much there is of each piece of work.
    least : int
        Below so much in all a process takes longer to start than it saves.
    bytes_each : int
        Memory that the largest takes.
    """
    if sum(work) < least:
        return 1
    fit = _memory_bytes() // 2 // bytes_each
    return max(1, min(len(work), os.cpu_count() or 1, fit))


def _memory_bytes() -> int:
    """Return the memory of the machine, or little where it does not say."""
    try:
        return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):
        return 4 << 30


@contextmanager
def in_processes(
    task: Callable[..., Any], work: Sequence[tuple[Any, ...]], processes: int
) -> Iterator[Iterator[int]]:
    """Do a task for each of several arguments, in so many processes; whatever happens, none is left over.

    Parameters
    ----------
    task : callable
        A function of a module.
    work : sequence of tuple
        Arguments of each call.
    processes : int
        How many; with one all is done in this process, as its turn comes.

    Yields
    ------
    iterator of int
        Gives the number of each call that is done, and has to be run through to the end.

    Raises
    ------
    OutputError
        A process has died.
    """
    if processes == 1:
        yield _one_by_one(task, work)
        return
    others = set(multiprocessing.active_children())
    # Started anew and not forked: threads of libraries do not survive a fork.
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(processes, context, initializer=_ignore_interrupts)
    try:
        yield _as_done({pool.submit(task, *given): number for number, given in enumerate(work)})
    except BrokenProcessPool as error:
        raise OutputError(
            "a process that wrote a piece has died, probably for lack of memory",
            "make the pieces smaller, or fewer in one set",
        ) from error
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        for child in set(multiprocessing.active_children()) - others:
            child.terminate()
            child.join()


def _one_by_one(task: Callable[..., Any], work: Sequence[tuple[Any, ...]]) -> Iterator[int]:
    for number, given in enumerate(work):
        task(*given)
        yield number


def _as_done(numbers: dict[Future[Any], int]) -> Iterator[int]:
    for future in as_completed(numbers):
        future.result()
        yield numbers[future]


def _ignore_interrupts() -> None:
    """Leave it to the first process to end the others."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
