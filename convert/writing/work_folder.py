"""A temporary folder for what is being written, and the moment when all of it takes its place.

It lies in the folder that gets the files, so that they only have to be renamed, and has in it:

- ``lock``, which the system frees when the process that holds it dies, whatever it dies of;
- ``new``, with the files that are being written;
- ``ready``, which ``new`` becomes when all are whole: from then on they are to be put in place;
- ``former``, the files they replace, until the last is in place.

What a killed run has left behind the next run clears, and puts in place what was ready.
"""

import os
import re
import secrets
import shutil
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from convert.unfinished import tell_written, undisturbed, unfinished

try:
    import fcntl
except ImportError:  # a system without such locks; nothing of other runs is cleared there
    fcntl = None  # type: ignore[assignment]

LOCK, NEW, READY, FORMER = "lock", "new", "ready", "former"
_BEING_LOCKED = "lock-new"
_NAME = re.compile(r"\.combweave-[0-9a-f]{16}")
_MARK = b"combweave\n"
# A run that is just making its folder has no lock yet.
_YOUNG_SECONDS = 60


@contextmanager
def work_folder(place: Path) -> Iterator[Path]:
    """Give a folder whose `NEW` is there to write into, and which is gone in the end.

    Parameters
    ----------
    place : Path
        The folder it is made in.

    Raises
    ------
    OSError
        It cannot be made.
    """
    work = place.absolute() / f".combweave-{secrets.token_hex(8)}"
    lock = -1
    with unfinished(work):
        try:
            work.mkdir()
            lock = os.open(work / _BEING_LOCKED, os.O_CREAT | os.O_RDWR, 0o600)
            os.write(lock, _MARK)
            _locks(lock)
            (work / _BEING_LOCKED).rename(work / LOCK)
            (work / NEW).mkdir()
            yield work
        finally:
            if lock >= 0:
                os.close(lock)


def put_in_place(work: Path, place: Path) -> None:
    """Move all files of a work folder into the folder it lies in: all or none, without anything between.

    Files that are replaced hand on their mode and owner.

    Raises
    ------
    OSError
        One cannot take its place; all is as it was then.
    """
    names = files_in(work / NEW)
    for name in names:
        (work / FORMER / name).parent.mkdir(parents=True, exist_ok=True)
        _hand_on(place / name, work / NEW / name)
    made: list[Path] = []
    with undisturbed():
        (work / NEW).rename(work / READY)
        try:
            for name in names:
                made += _with_parents(place, name)
                _keep(place / name, work / FORMER / name)
                (work / READY / name).replace(place / name)
        except BaseException:
            (work / READY).rename(work / NEW)
            for name in names:
                if os.path.lexists(work / FORMER / name):
                    (work / FORMER / name).replace(place / name)
                elif not os.path.lexists(work / NEW / name):
                    (place / name).unlink(missing_ok=True)
            for folder in reversed(made):
                folder.rmdir()
            raise
        tell_written(place)


def files_in(folder: Path) -> list[Path]:
    """Return the files in a folder and the folders in it, by their paths from there, in order."""
    return sorted(path.relative_to(folder) for path in folder.rglob("*") if not path.is_dir())


def become(work: Path, target: Path) -> None:
    """Make the new files of a work folder the folder `target`, which is not there.

    Raises
    ------
    OSError
        It cannot be made, or is there.
    """
    with undisturbed():
        (work / NEW).rename(target)
        tell_written(target)


def clear_dead(place: Path) -> None:
    """Remove the work folders that runs which were killed have left in a folder, and nothing else."""
    with suppress(OSError), os.scandir(place) as entries:
        for entry in entries:
            if _NAME.fullmatch(entry.name) and entry.is_dir(follow_symlinks=False):
                with suppress(OSError):
                    _clear_if_dead(Path(entry.path), place)


def _clear_if_dead(work: Path, place: Path) -> None:
    status = work.lstat()
    inside = {path.name for path in work.iterdir()}
    if hasattr(os, "geteuid") and status.st_uid != os.geteuid():
        return
    if LOCK not in inside:
        if inside <= {_BEING_LOCKED} and time.time() - status.st_mtime > _YOUNG_SECONDS:
            shutil.rmtree(work)
        return
    lock = os.open(work / LOCK, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    try:
        if os.read(lock, len(_MARK) + 1) != _MARK or inside - {LOCK, NEW, READY, FORMER} or not _locks(lock):
            return
        if READY in inside:
            for name in files_in(work / READY):
                _with_parents(place, name)
                if not (place / name).is_dir():
                    (work / READY / name).replace(place / name)
        shutil.rmtree(work)
    finally:
        os.close(lock)


def _with_parents(place: Path, name: Path) -> list[Path]:
    """Make the folders that a file lies in, and return those that were not there, outermost first."""
    missing = [place / parent for parent in reversed(name.parents) if not (place / parent).is_dir()]
    for folder in missing:
        folder.mkdir()
    return missing


def _locks(lock: int) -> bool:
    """Lock an open file for as long as it is open; False where another process has done so, or none can."""
    if fcntl is None:
        return False
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _keep(file: Path, copy: Path) -> None:
    """Keep a file that is about to be replaced, without a moment in which it is not there."""
    if not os.path.lexists(file):
        return
    try:
        os.link(file, copy, follow_symlinks=False)
    except OSError:  # a file system without such links
        shutil.copy2(file, copy, follow_symlinks=False)


def _hand_on(old: Path, new: Path) -> None:
    """Give a file the mode and the owner of the one it replaces, as far as that is allowed."""
    with suppress(OSError):
        status = old.lstat()
        if stat.S_ISREG(status.st_mode):
            if hasattr(os, "chown"):
                with suppress(OSError):
                    os.chown(new, status.st_uid, status.st_gid)
            new.chmod(stat.S_IMODE(status.st_mode))
