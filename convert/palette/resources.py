"""Data that ships with the program: palettes."""

from importlib.resources import files
from pathlib import Path

from convert.errors import OutputError

DEFAULT_PALETTE = "lakeside-range"


def palette_path(name: str) -> Path:
    """Return the file of a palette that ships, such as ``workshop-shelf``.

    It lies inside an installed package, or beside the package in a checkout.

    Raises
    ------
    OutputError
        There are no palettes.
    """
    package = Path(str(files("convert")))
    for folder in (package / "_data" / "palettes", package.parent / "palettes"):
        if folder.is_dir():
            return folder / f"{name}.csv"
    raise OutputError("the palettes that ship with combweave are missing", "install combweave again")
