"""Which beads of a palette come nearest to the colours someone asks for."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from convert.colour.css_names import colour_called, named_colour
from convert.colour.lab import lab_to_linear, srgb_to_lab
from convert.colour.main_colours import main_colours
from convert.colour.srgb import decode, encode_to_bytes, parse_hex, to_hex
from convert.errors import PaletteError, PictureError
from convert.palette.model import BeadColour, Palette
from convert.palette.offers import OUT_OF_REACH, Mixture, Offer, mixture, offers
from convert.weave.beads import BeadSize

if TYPE_CHECKING:
    from convert.picture.model import Picture

# Enough to tell the main colours by, few enough to be quick.
_MOST_PIXELS = 60_000


@dataclass(frozen=True, slots=True)
class Asked:
    """A colour someone asks for.

    Parameters
    ----------
    name : str
        As they call it.
    hex : str
        ``#RRGGBB``.
    share : float or None
        Share of the picture it stands for, where it comes from one.
    """

    name: str
    hex: str
    share: float | None = None

    @property
    def rgb(self) -> NDArray[np.uint8]:
        """Red, green and blue, shape (3,), encoded sRGB."""
        return np.array(parse_hex(self.hex), np.uint8)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a palette has for a colour.

    Parameters
    ----------
    asked : Asked
        The colour.
    offers : tuple of Offer
        Nearest beads first, with those that are missing but nearer.
    mixture : Mixture or None
        Two beads between which the colour lies; None where the nearest one is best by itself.
    """

    asked: Asked
    offers: tuple[Offer, ...]
    mixture: Mixture | None

    @property
    def out_of_reach(self) -> bool:
        """Whether even the nearest bead is seen as another colour."""
        return self.offers[0].difference > OUT_OF_REACH


def is_colour(text: str) -> bool:
    """Tell whether a text is a colour that `asked_by_name` can read."""
    return named_colour(text) is not None


def asked_by_name(text: str) -> Asked:
    """Return the colour of hexadecimal digits or of a CSS name.

    Raises
    ------
    ConvertError
        It is no colour.
    """
    return Asked(text.strip(), to_hex(colour_called(text)))


def asked_of_picture(picture: "Picture", count: int) -> list[Asked]:
    """Return the main colours of a picture, the largest share first.

    Parameters
    ----------
    picture : Picture
        The picture; what is transparent does not count.
    count : int
        How many at most.

    Raises
    ------
    PictureError
        All of it is transparent.
    """
    height, width = picture.pixels.shape[:2]
    step = max(1, int(np.ceil(np.sqrt(height * width / _MOST_PIXELS))))
    pixels = picture.pixels[::step, ::step].reshape(-1, 3)
    if picture.alpha is not None:
        pixels = pixels[picture.alpha[::step, ::step].ravel() >= 128]
    if not len(pixels):
        raise PictureError("the picture is transparent all over", "give a picture that shows something")
    colours, shares = main_colours(decode(pixels), count)
    return [
        Asked(f"{picture.name} {number}", to_hex(rgb), share)
        for number, (rgb, share) in enumerate(
            zip(encode_to_bytes(colours), shares.tolist(), strict=True), start=1
        )
    ]


def answers(
    asked: Sequence[Asked], palette: Palette, size: BeadSize, count: int, distance: str = "ciede2000"
) -> list[Answer]:
    """Return what a palette has for each colour.

    Parameters
    ----------
    asked : sequence of Asked
        The colours.
    palette : Palette
        Bead colours to choose from.
    size : BeadSize
        Size of bead wanted.
    count : int
        How many beads to name for each colour, of those not known to be missing.
    distance : str
        A name of `convert.colour.distances.DISTANCES`.

    Raises
    ------
    PaletteError
        The palette has no bead of the size.
    """
    entries = palette.for_size(size.name)
    if not len(entries):
        known = sorted({entry.size for entry in palette.entries if entry.size is not None})
        raise PaletteError(
            f"palette {palette.name} has no bead of size {size.name}", f"it has {', '.join(known)}"
        )
    labs = palette.labs()
    light = np.clip(lab_to_linear(labs), 0, 1)
    on_hand = [entry.beads_on_hand(size.beads_per_gram) for entry in palette.entries]
    # What is advised to be mixed should be there, if anything is.
    there = np.array([entry for entry in entries if on_hand[entry] != 0], np.int32)
    to_mix = there if len(there) else entries
    return [
        Answer(
            one,
            offers(srgb_to_lab(one.rgb), labs, entries, on_hand, count, distance),
            mixture(decode(one.rgb), light, to_mix, distance),
        )
        for one in asked
    ]


def nearness(difference: float) -> str:
    """Say a colour difference in CIEDE2000 units in words."""
    if difference < 1:
        return "the same to the eye"
    if difference < 2:
        return "hard to tell apart"
    return "near" if difference <= OUT_OF_REACH else "another colour"


def advice(answer: Answer, palette: Palette) -> str:
    """Say what lies on each side of a colour that is out of reach."""
    far = f"{answer.asked.name}: no bead within {OUT_OF_REACH:g} units"
    mixed = answer.mixture
    if mixed is None:
        return f"{far}; it lies beyond the palette, with nothing on its far side"
    first, second = (palette.entries[entry] for entry in (mixed.first, mixed.second))
    share = max(1, round(mixed.share * 100))
    plain = next((offer for offer in answer.offers if not offer.missing), answer.offers[0])
    return (
        f"{far}; it lies between {_called(first)} and {_called(second)}: with {share}% of the latter woven"
        f" in, it is {mixed.difference:.1f} off from afar instead of {plain.difference:.1f}"
    )


def _called(bead: BeadColour) -> str:
    return f"{bead.code} {bead.name}".strip()


def answers_json(found: Sequence[Answer], palette: Palette, size: BeadSize) -> dict[str, Any]:
    """Return the answers as plain values."""
    return {
        "palette": palette.name,
        "size": size.name,
        "out_of_reach_above": OUT_OF_REACH,
        "colours": [_answer_json(answer, palette) for answer in found],
    }


def _answer_json(answer: Answer, palette: Palette) -> dict[str, Any]:
    mixed = answer.mixture
    return {
        "asked": answer.asked.name,
        "hex": answer.asked.hex,
        "share": None if answer.asked.share is None else round(answer.asked.share, 4),
        "out_of_reach": answer.out_of_reach,
        "beads": [
            {
                "code": palette.entries[offer.entry].code,
                "name": palette.entries[offer.entry].name,
                "hex": palette.entries[offer.entry].hex,
                "difference": round(offer.difference, 3),
                "on_hand": offer.on_hand,
            }
            for offer in answer.offers
        ],
        "between": None
        if mixed is None
        else {
            "codes": [palette.entries[mixed.first].code, palette.entries[mixed.second].code],
            "share_of_second": round(mixed.share, 4),
            "difference": round(mixed.difference, 3),
        },
    }
