"""How beads are chosen, and how the choice is judged."""

from dataclasses import dataclass
from typing import Literal

from convert.errors import ConvertError, PaletteError
from convert.settings.declaring import COLOUR, Settings, option

# CIE 142-2001 has its factor for lightness from 1 to 2; this leaves room on both sides.
LEAST_LIGHTNESS, MOST_LIGHTNESS = 0.2, 5.0
# As many colours as pay, see `convert.judging.colour_ladder`; and all that the palette has.
AUTO, ALL = "auto", "all"


@dataclass(frozen=True, kw_only=True)
class ColourSettings(Settings):
    """How the bead of each place is chosen, see `convert.choice.choosing`.

    Raises
    ------
    ConvertError
        The settings contradict each other or are out of range.
    """

    distance: Literal["ciede2000", "cie94", "cmc", "cie76"] = option(
        "ciede2000", "--distance", "How colours are compared.", COLOUR
    )
    lightness: float = option(
        1.0,
        "--lightness",
        "How much a difference in lightness weighs: 1 as usual, more keeps outlines, less keeps hues.",
        COLOUR,
        metavar="K",
    )
    dither: float = option(
        0.0,
        "--dither",
        "Spread colour error over neighbouring beads: softer shades, more lone beads.",
        COLOUR,
        metavar="0..1",
    )
    dither_kind: Literal["spread", "threshold", "search"] = option(
        "spread",
        "--dither-kind",
        "Spread the error, mix by a fixed pattern, or search for what looks closest from afar.",
        COLOUR,
    )
    smoothing: float = option(
        0.0,
        "--smooth",
        "Fewer lone beads and colour changes: easier to weave, less exact.",
        COLOUR,
        metavar="0..1",
    )
    colours: int | str = option(
        AUTO,
        "--colours",
        "At most N colours, the best N for the picture; auto: as many as pay; all: no limit.",
        COLOUR,
        metavar="N|auto|all",
    )
    keep: tuple[str, ...] = option(
        (),
        "--keep",
        "A colour that stays for sure when the palette is reduced. May be given again.",
        COLOUR,
        metavar="CODE",
    )
    avoid: tuple[str, ...] = option(
        (), "--avoid", "A colour not to use. May be given again.", COLOUR, metavar="CODE"
    )
    stock: bool = option(False, "--stock", "Never use more beads of a colour than are on hand.", COLOUR)

    def __post_init__(self) -> None:
        super().__post_init__()
        check_lightness(self.distance, self.lightness)
        for flag, strength in (("--dither", self.dither), ("--smooth", self.smoothing)):
            if not 0 <= strength <= 1:
                raise ConvertError(f"{flag} is from 0 to 1, not {strength:g}")
        if self.dither_kind != "spread" and not self.dither:
            raise ConvertError(
                f"--dither-kind {self.dither_kind} says how to dither, and nothing is dithered",
                "give --dither 0.5 with it, or leave it out",
            )
        if self.dither and self.smoothing:
            raise ConvertError(
                "dithering mixes beads and smoothing parts them again", "give one of --dither and --smooth"
            )
        # The command line has words only.
        object.__setattr__(self, "colours", _count_named(self.colours))
        kept = set(self.keep)
        if kept and self.colours == ALL:
            raise PaletteError(
                "--keep names colours that stay when the palette is reduced",
                "leave out --colours all, with which every colour stays",
            )
        if self.most_colours is not None and len(kept) > self.most_colours:
            raise PaletteError(
                f"{len(kept)} colours to keep are more than the {self.most_colours} to use",
                f"give --colours {len(kept)} or more",
            )
        if both := sorted(kept.intersection(self.avoid)):
            raise PaletteError(f"{', '.join(both)}: both to keep and to avoid")
        if self.stock and (self.smoothing or (self.dither and self.dither_kind != "search")):
            raise ConvertError(
                "spreading, thresholds and smoothing do not heed what is on hand",
                "give --stock without --dither and --smooth, or with --dither-kind search",
            )

    @property
    def plain(self) -> bool:
        """Whether each bead is simply the nearest of the palette, but for colours that do not pay."""
        return not (self.limits or self.dither or self.smoothing)

    @property
    def limits(self) -> bool:
        """Whether the user has bound what beads there may be."""
        return self.most_colours is not None or bool(self.avoid) or self.stock

    @property
    def most_colours(self) -> int | None:
        """The number of colours that the user has asked for; None where it is `AUTO` or `ALL`."""
        return self.colours if isinstance(self.colours, int) else None


def _count_named(colours: int | str) -> int | str:
    """Return a number of colours, or one of the words that may stand for it.

    Raises
    ------
    PaletteError
        It is neither.
    """
    if colours in (AUTO, ALL):
        return colours
    try:
        count = int(colours)
    except ValueError:
        raise PaletteError(
            f"--colours is how many there may be, a number, {AUTO} or {ALL}, not '{colours}'",
            "a colour by its code or name is --core-colour, --connector-colour, or --keep",
        ) from None
    if count < 1:
        raise PaletteError(f"--colours is 1 or more, not {count}", f"{ALL} sets no limit")
    return count


def check_lightness(distance: str, lightness: float) -> None:
    """Refuse a weight of lightness that a colour difference cannot take.

    Raises
    ------
    ConvertError
        It is out of range, or the difference has no such weight.
    """
    if not LEAST_LIGHTNESS <= lightness <= MOST_LIGHTNESS:
        raise ConvertError(
            f"--lightness is from {LEAST_LIGHTNESS:g} to {MOST_LIGHTNESS:g}, not {lightness:g}",
            "1 weighs lightness as usual, 2 twice as much",
        )
    if distance == "cie76" and lightness != 1:
        raise ConvertError(
            "the distance cie76 weighs lightness in one way only",
            "leave out --lightness, or choose ciede2000, cie94 or cmc",
        )


@dataclass(frozen=True, kw_only=True)
class ViewSettings(Settings):
    """From where a piece is judged."""

    view_distance_m: float = option(
        1.0,
        "--view-distance",
        "From how far the piece is seen, for the judgement from afar and the search for what looks closest.",
        COLOUR,
        metavar="M",
    )


@dataclass(frozen=True, kw_only=True)
class BackingSettings(Settings):
    """What a piece lies on."""

    backing: str = option(
        "#FFFFFF",
        "--backing",
        "Colour of what lies behind the beads, for the judgement from afar.",
        COLOUR,
        metavar="HEX",
    )
