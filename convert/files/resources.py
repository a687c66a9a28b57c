"""Data that ships with the program: palettes and sample pictures."""

from importlib.resources import files
from pathlib import Path

from convert.errors import OutputError


def _folder(kind: str) -> Path:
    """Return the folder of a kind of data: inside an installed package, or beside it in a checkout."""
    package = Path(str(files("convert")))
    for folder in (package / "_data" / kind, package.parent / kind):
        if folder.is_dir():
            return folder
    raise OutputError(f"the {kind} that ship with combweave are missing", "install combweave again")


def palette_path(name: str) -> Path:
    """Return the file of a palette that ships, such as ``workshop-shelf``."""
    return _folder("palettes") / f"{name}.csv"


def sample_path(name: str) -> Path:
    """Return a sample picture, such as ``heron.png``."""
    return _folder("sample_images") / name
