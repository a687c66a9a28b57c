"""A folder of outputs that is written whole or not at all."""

import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from convert.errors import OutputError, printable


@contextmanager
def output_folder(target: Path, *, force: bool) -> Iterator[Path]:
    """Give a temporary folder beside `target` to write into, and put it in place at the end.

    Nothing appears at `target` until the block has ended without an error. Files of other origin in a folder
    that is replaced are kept.

    Parameters
    ----------
    target : Path
        Where the outputs are to be.
    force : bool
        Whether a folder that is there may be replaced.

    Yields
    ------
    Path
        The temporary folder.

    Raises
    ------
    OutputError
        The target is there already, or cannot be written.
    """
    check_target(target, force=force)
    # The name is made first, so that an interrupt at any moment finds the folder and removes it.
    work = target.parent / f".combweave-{secrets.token_hex(8)}"
    try:
        work.mkdir()
        yield work
        _put_in_place(work, target, force=force)
    except OSError as error:
        if isinstance(error, OutputError):
            raise
        raise _cannot_write(target, error) from error
    finally:
        shutil.rmtree(work, ignore_errors=True)


def write_file(target: Path, data: bytes, *, force: bool) -> None:
    """Write one file whole or not at all.

    Raises
    ------
    OutputError
        It is there already and `force` is off or it is no file, or it cannot be written.
    """
    write_files({target: data}, force=force)


def write_files(files: Mapping[Path, bytes], *, force: bool) -> None:
    """Write files that belong together; none is put in place before all are written.

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
    works = {target: target.parent / f".combweave-{secrets.token_hex(8)}" for target in files}
    target = next(iter(files))
    try:
        for target, work in works.items():
            work.write_bytes(files[target])
        for target, work in works.items():
            work.replace(target)
    except OSError as error:
        raise _cannot_write(target, error) from error
    finally:
        for work in works.values():
            work.unlink(missing_ok=True)


def check_files(targets: Iterable[Path], *, force: bool) -> None:
    """Check that files may be written, before any work is done.

    Raises
    ------
    OutputError
        One is there already and `force` is off or it is no file, or its folder is not there.
    """
    for target in targets:
        if os.path.lexists(target):
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


def check_target(target: Path, *, force: bool) -> None:
    """Check that outputs may go to a folder, before any work is done.

    Raises
    ------
    OutputError
        It is there already and `force` is off, it is a file, or its parent is not a folder.
    """
    try:
        is_folder = target.is_dir() and not target.is_symlink()
    except OSError as error:  # no name a folder can have
        raise _cannot_write(target, error) from error
    if is_folder:
        if not force:
            raise OutputError(
                f"the folder {printable(target)} is there already",
                "name another with --out, or replace it with --force",
            )
    elif os.path.lexists(target):
        raise OutputError(f"{printable(target)} is a file, not a folder", "name another folder with --out")
    if not target.parent.is_dir():
        raise OutputError(
            f"the folder {printable(target.parent)}, which is to hold the outputs, is not there",
            "create it first, or name another with --out",
        )


def _put_in_place(work: Path, target: Path, *, force: bool) -> None:
    if force and target.is_dir():
        for other in target.iterdir():
            if not (work / other.name).exists():
                _keep(other, work / other.name)
        former = work.with_name(work.name + "-former")
        target.rename(former)
        try:
            work.rename(target)
        except BaseException:
            former.rename(target)
            raise
        shutil.rmtree(former, ignore_errors=True)
        return
    try:
        work.rename(target)
    except OSError as error:
        if os.path.lexists(target):
            raise OutputError(
                f"the folder {printable(target)} has appeared meanwhile",
                "another run writes there; name another folder with --out",
            ) from error
        raise


def _keep(source: Path, copy: Path) -> None:
    """Take a file or folder of other origin along, by hard link where the file system can."""
    if source.is_dir() and not source.is_symlink():
        copy.mkdir()
        for child in source.iterdir():
            _keep(child, copy / child.name)
        return
    with suppress(OSError):
        os.link(source, copy, follow_symlinks=False)
        return
    shutil.copy2(source, copy, follow_symlinks=False)


def _cannot_write(target: Path, error: OSError) -> OutputError:
    return OutputError(
        f"cannot write {printable(target)}: {error.strerror or error}",
        "check that the disk has room and that you may write there",
    )
