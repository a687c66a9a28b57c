"""Reading TOML, whose faults all become one kind."""

import tomllib
from tomllib import TOMLDecodeError
from typing import Any

__all__ = ["TOMLDecodeError", "parsed"]


def parsed(text: str) -> dict[str, Any]:
    """Return what a TOML text says.

    Raises
    ------
    TOMLDecodeError
        It is none, or has a number or brackets that the parser cannot take.
    """
    try:
        return tomllib.loads(text)
    except TOMLDecodeError:
        raise
    except ValueError as error:
        raise TOMLDecodeError("A number has far too many digits") from error
    except RecursionError as error:
        raise TOMLDecodeError("Brackets lie too deep in each other") from error
