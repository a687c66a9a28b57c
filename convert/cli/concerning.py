"""Which files the work is about, so that a refusal names them where it is noticed far from any file."""

from contextvars import ContextVar
from pathlib import PurePath

from convert.errors import ConvertError, PictureError, SizeError, StockError

# Those that were read last, as messages call them; empty where none was.
PICTURE: ContextVar[str] = ContextVar("picture", default="")
PALETTE: ContextVar[str] = ContextVar("palette", default="")


def forget() -> None:
    """Begin anew: nothing has been read."""
    PICTURE.set("")
    PALETTE.set("")


def named(error: ConvertError) -> str:
    """Return what an error says, and before it the file whose content or size it is about.

    Parameters
    ----------
    error : ConvertError
        What was refused.
    """
    message = str(error)
    file = PALETTE.get() if isinstance(error, StockError) else PICTURE.get()
    if not (file and isinstance(error, PictureError | SizeError | StockError)) or file in message:
        return message
    # Where it is told by its name only.
    return f"{file}: {message.removeprefix(f'{PurePath(file).stem}: ')}"
