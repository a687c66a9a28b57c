"""Which files the program has written itself, and may therefore replace."""

import os
from collections.abc import Iterable
from pathlib import Path

from convert.errors import OutputError, printable

_SIGN = b"combweave"
# Where formats have their words: PNG, JSON and pages at the beginning, PDF at the end.
_LOOKED_AT = 65_536
# These have no place for a sign; where one of the others lies beside them, they belong to it. But people
# carry pattern files about, which therefore do not say whose the files beside them are.
_UNSIGNED = (".csv", ".txt", ".svg")
_CARRIED = "pattern.json"


def check_own(folder: Path, names: Iterable[Path | str]) -> None:
    """Check that what lies in a folder under the names of outputs was written by the program.

    Parameters
    ----------
    folder : Path
        An existing folder.
    names : iterable of Path or str
        Files that are to be written into it, by their paths from there.

    Raises
    ------
    OutputError
        Something there is somebody else's, or no file.
    OSError
        It cannot be looked at.
    """
    paths = [folder / name for name in sorted(map(Path, names))]
    for inner in {parent for path in paths for parent in path.parents if folder in parent.parents}:
        if os.path.lexists(inner) and (inner.is_symlink() or not inner.is_dir()):
            raise _not_own(inner, "is no folder of its own")
    there = [path for path in paths if os.path.lexists(path)]
    signed = {path for path in there if _is_signed(path)}
    ours = {path.parent for path in signed if path.name != _CARRIED}
    for path in there:
        if path in signed:
            continue
        if path.is_symlink() or not path.is_file():
            is_folder = path.is_dir() and not path.is_symlink()
            raise _not_own(path, "is a folder" if is_folder else "is no file of its own")
        if path.suffix not in _UNSIGNED or path.parent not in ours:
            raise _not_own(path, "was not written by combweave")


def _not_own(path: Path, what: str) -> OutputError:
    return OutputError(
        f"{printable(path)} {what}, and is not replaced",
        "move it elsewhere, or name another folder with --out",
    )


def check_apart(targets: Iterable[Path], inputs: Iterable[Path | str | None]) -> None:
    """Check that no file that is read would be overwritten, by whatever name or link it is called.

    Parameters
    ----------
    targets : iterable of Path
        Files to be written.
    inputs : iterable of Path, str or None
        Files that are read; those that are not there, or not given, count for nothing.

    Raises
    ------
    OutputError
        A file is both.
    """
    read = {status: path for path in inputs if path is not None and (status := _identity(path))}
    for target in targets:
        source = read.get(_identity(target) or (-1, -1))
        if source is not None:
            raise OutputError(
                f"{printable(source)} is read, and would be overwritten by {printable(target)}",
                "name another place with --out",
            )


def _is_signed(path: Path) -> bool:
    if path.is_symlink() or not path.is_file():
        return False
    with path.open("rb") as file:
        if _SIGN in file.read(_LOOKED_AT):
            return True
        file.seek(max(0, path.stat().st_size - _LOOKED_AT))
        return _SIGN in file.read(_LOOKED_AT)


def _identity(path: Path | str) -> tuple[int, int] | None:
    """Return what tells a file from all others, links followed; None where there is none."""
    try:
        status = Path(path).stat()
    except (OSError, ValueError):
        return None
    return status.st_dev, status.st_ino
