"""Versions of the pattern file: older ones are brought to the present one, newer ones refused."""

from typing import Any

from convert.errors import PatternFileError
from convert.piece.pattern_schema import VERSION


def brought_up(value: dict[str, Any], source: str) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return what stands in a pattern file as the present version has it, and a note where that is news.

    Version 1 said nothing of maker and licence, of what a piece lies on and how far off it is seen, of how
    well it shows its picture, of the way its thread was planned, and of wishes. All may be left out still.

    Parameters
    ----------
    value : dict
        The file, which is a pattern file.
    source : str
        Its name, for messages.

    Raises
    ------
    PatternFileError
        It is of a newer version.
    """
    version = value.get("version")
    if not isinstance(version, int) or isinstance(version, bool):
        return value, ()  # for the schema to refuse
    if version > VERSION:
        raise PatternFileError(
            f"{source}: version {version} of the pattern file is newer than this program knows ({VERSION})",
            "update combweave",
        )
    if version != 1:
        return value, ()
    news = (
        f"{source} is a pattern file of version 1, which says nothing of backing and view distance: the usual"
        f" ones are taken, and what is written from it is of version {VERSION}"
    )
    return value | {"version": VERSION}, (news,)
