"""Outputs that are written whole or not at all, and never in place of what is not the program's own."""

import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from convert.errors import OutputError, printable
from convert.writing.own_files import check_apart, check_own
from convert.writing.work_folder import NEW, become, clear_dead, files_in, put_in_place, work_folder

Inputs = Iterable[Path | str | None]
_NO_ROOM = "check that the disk has room and that you may write there"


@contextmanager
def output_folder(target: Path, *, force: bool, size: int = 0) -> Iterator[Path]:
    """Give a temporary folder to write into, whose files are in place at the end.

    Nothing changes at `target` until the block has ended without an error. A folder that is there stays the
    same folder, with its mode, its owner and all else that lies in it; only files that the program wrote give
    way to those of the same name.

    Parameters
    ----------
    target : Path
        Where the outputs are to be.
    force : bool
        Whether outputs that are there may be replaced.
    size : int
        How many bytes they will about have.

    Yields
    ------
    Path
        The temporary folder.

    Raises
    ------
    OutputError
        The target is there already, holds a file of other origin under the name of an output, or cannot be
        written.
    """
    check_target(target, force=force, size=size)
    try:
        with work_folder(_place(target)) as work:
            new = work / NEW
            yield new
            if target.is_dir() and force:
                check_own(target, files_in(new))
                put_in_place(work, target)
            else:
                _become(work, target)
    except OSError as error:
        if isinstance(error, OutputError):
            raise
        raise _cannot_write(target, error) from error


def write_file(target: Path, data: bytes, *, force: bool) -> None:
    """Write one file whole or not at all.

    Raises
    ------
    OutputError
        It is there already and `force` is off or it is no file, or it cannot be written.
    """
    write_files({target: data}, force=force)


def write_files(files: Mapping[Path, bytes], *, force: bool) -> None:
    """Write files of one folder that belong together: all or none.

    Parameters
    ----------
    files : mapping of Path to bytes
        What goes where.
    force : bool
        Whether files that are there may be replaced.

    Raises
    ------
    OutputError
        One is there already and `force` is off or it is no file, or it cannot be written.
    """
    check_files(files, force=force)
    target = next(iter(files))
    try:
        with work_folder(target.parent) as work:
            for target, data in files.items():
                (work / NEW / target.name).write_bytes(data)
            put_in_place(work, target.parent)
    except OSError as error:
        raise _cannot_write(target, error) from error


def check_files(targets: Iterable[Path], *, force: bool, inputs: Inputs = ()) -> None:
    """Check that files may be written, before any work is done.

    Parameters
    ----------
    targets : iterable of Path
        The files.
    force : bool
        Whether files that are there may be replaced.
    inputs : iterable of Path, str or None
        Files that are read, which are never replaced.

    Raises
    ------
    OutputError
        One is there already and `force` is off or it is no file or is read, or it cannot be written.
    """
    targets = list(targets)
    check_apart(targets, inputs)
    for target in targets:
        if _is_there(target):
            if not force:
                raise OutputError(
                    f"{printable(target)} is there already", "name another file, or replace it with --force"
                )
            if not target.is_file():
                raise OutputError(
                    f"{printable(target)} is not a file that can be replaced", "name another file"
                )
        if not target.parent.is_dir():
            raise OutputError(
                f"the folder {printable(target.parent)} of {printable(target)} is not there",
                "create it first",
            )
    for place in {target.parent for target in targets}:
        _check_place(place, place, [target.name for target in targets])


def check_target(
    target: Path, names: Iterable[str] = (), *, force: bool, inputs: Inputs = (), size: int = 0
) -> None:
    """Check that outputs may go to a folder, before any work is done.

    Parameters
    ----------
    target : Path
        The folder.
    names : iterable of str
        Names of the outputs.
    force : bool
        Whether outputs that are there may be replaced.
    inputs : iterable of Path, str or None
        Files that are read, which are never replaced.
    size : int
        How many bytes the outputs will about have.

    Raises
    ------
    OutputError
        It is there already and `force` is off, it is a file, has files of other origin under these names, or
        cannot be written.
    """
    names = list(names)
    if _is_there(target):
        if not target.is_dir():
            raise OutputError(
                f"{printable(target)} is a file, not a folder", "name another folder with --out"
            )
        if not force:
            raise OutputError(
                f"the folder {printable(target)} is there already",
                "name another with --out, or replace it with --force",
            )
    elif not target.parent.is_dir():
        raise OutputError(
            f"the folder {printable(target.parent)}, which is to hold the outputs, is not there",
            "create it first, or name another with --out",
        )
    _check_place(_place(target), target, names, size)
    if target.is_dir():
        check_apart([target / name for name in names], inputs)
        try:
            check_own(target, names)
        except OSError as error:
            if isinstance(error, OutputError):
                raise
            raise _cannot_write(target, error) from error


def _place(target: Path) -> Path:
    """Return where the work is done: in the folder itself if it is there, or where it is to be."""
    return target if target.is_dir() else target.parent


def _check_place(place: Path, target: Path, names: list[str], size: int = 0) -> None:
    """Clear what killed runs have left, and try whether these files can be written."""
    clear_dead(place)
    try:
        with work_folder(place) as work:
            for name in names:
                # That a name is too long is told even of files that are not there.
                _is_there(target / name)
                _is_there(work / NEW / name)
            free = shutil.disk_usage(place).free
    except OSError as error:
        if isinstance(error, OutputError):
            raise
        raise _cannot_write(target, error) from error
    if free < size:
        raise OutputError(
            f"the disk of {printable(target)} has {free / 1e6:,.0f} MB free, and the outputs take about"
            f" {size / 1e6:,.0f} MB",
            "make room, or name a folder on another disk with --out",
        )


def _is_there(target: Path) -> bool:
    """Return whether there is anything of that name, even a link to nothing."""
    try:
        target.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValueError) as error:  # no name a file can have
        raise _cannot_write(target, error) from error
    return True


def _become(work: Path, target: Path) -> None:
    try:
        if os.path.lexists(target):
            raise FileExistsError
        become(work, target)
    except OSError as error:
        if os.path.lexists(target):
            raise OutputError(
                f"the folder {printable(target)} has appeared meanwhile",
                "another run writes there; name another folder with --out",
            ) from error
        raise


def _cannot_write(target: Path, error: OSError | ValueError) -> OutputError:
    reason = getattr(error, "strerror", None) or error
    return OutputError(f"cannot write {printable(target)}: {reason}", _NO_ROOM)
