"""Reading a pattern file from where the user keeps it."""

from pathlib import Path

from convert.errors import PatternFileError, printable
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import parse_with_notes
from convert.piece.pattern_schema import MOST_BYTES
from convert.settings.weave import MOST_BEADS


def read_pattern_file(source: Path | bytes, max_beads: int = MOST_BEADS) -> tuple[Pattern, tuple[str, ...]]:
    """Return the pattern of a file, and notes on how it was understood.

    Parameters
    ----------
    source : Path or bytes
        The file, or what came on standard input.
    max_beads : int
        Most beads of the piece.

    Raises
    ------
    PatternFileError
        It cannot be read, or contradicts itself.
    """
    if isinstance(source, bytes):
        return parse_with_notes(source, "standard input", max_beads)
    name = printable(source)
    try:
        if not source.is_file():
            what = (
                "is a folder"
                if source.is_dir()
                else "is not there"
                if not source.exists()
                else "is not a regular file"
            )
            raise PatternFileError(f"the pattern file {name} {what}", "give the pattern.json of a piece")
        if source.stat().st_size > MOST_BYTES:
            raise PatternFileError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB")
        return parse_with_notes(source.read_bytes(), name, max_beads)
    except OSError as error:
        raise PatternFileError(f"cannot read {name}: {error.strerror}") from error
