"""How a design fills a piece: repeated, mirrored, or all round."""

from dataclasses import dataclass
from typing import Literal

from convert.errors import SizeError
from convert.settings.declaring import SIZE, Settings, option

AUTO = "auto"
_HALVES = {"across": ("left", "right"), "down": ("top", "bottom")}


@dataclass(frozen=True, kw_only=True)
class MirrorSettings(Settings):
    """Mirror lines of a piece.

    Raises
    ------
    SizeError
        The half that decides is none of those there are.
    """

    mirror: Literal["across", "down", "both"] | None = option(
        None,
        "--mirror",
        "Make left and right, top and bottom, or both exact mirror images of each other.",
        SIZE,
    )
    mirror_from: Literal["left", "right", "top", "bottom"] | None = option(
        None,
        "--mirror-from",
        "Which half of the picture decides; left and top if not given.",
        SIZE,
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.mirror_from is None:
            return
        if self.mirror is None:
            raise SizeError(
                "--mirror-from says which half of a mirrored picture decides", "give --mirror, too"
            )
        halves = [half for line in mirror_lines(self.mirror) for half in _HALVES[line]]
        if self.mirror_from not in halves:
            raise SizeError(
                f"mirrored {self.mirror} it has no {self.mirror_from} half that decides",
                f"--mirror-from is {' or '.join(halves)}",
            )


@dataclass(frozen=True, kw_only=True)
class DesignSettings(MirrorSettings):
    """How a picture, or whatever colours a sheet, fills it.

    Raises
    ------
    SizeError
        A number of repeats is none.
    """

    repeat: int | str | None = option(
        None,
        "--repeat",
        "Repeat the picture so many times from left to right, bead for bead; auto: as often as keeps its"
        " proportions.",
        SIZE,
        metavar="N|auto",
    )
    repeat_down: int | None = option(
        None, "--repeat-down", "Repeat it so many times from top to bottom.", SIZE, metavar="N"
    )
    join: Literal["ends"] | None = option(
        None, "--join", "Weave the end of each row into its beginning, so that it closes.", SIZE
    )

    def __post_init__(self) -> None:
        super().__post_init__()
        # The command line has words only.
        if self.repeat is not None and self.repeat != AUTO:
            object.__setattr__(self, "repeat", _whole("--repeat", self.repeat, f" or {AUTO}"))
        if self.repeat_down is not None:
            object.__setattr__(self, "repeat_down", _whole("--repeat-down", self.repeat_down))


def mirror_lines(mirror: str | None) -> tuple[str, ...]:
    """Return what is swapped, ``across`` and ``down``, for a word of `MirrorSettings`."""
    if mirror is None:
        return ()
    return tuple(_HALVES) if mirror == "both" else (mirror,)


def _whole(flag: str, number: float | str, more: str = "") -> int:
    """Return a number of repeats.

    Raises
    ------
    SizeError
        It is not whole, or below one.
    """
    try:
        whole = int(number)
        fits = whole == float(number) and whole >= 1
    except (ValueError, OverflowError):
        fits = False
    if not fits:
        raise SizeError(
            f"{flag} is a whole number, 1 or more{more}, not {number}", "such as 5 for five equal repeats"
        )
    return whole
