"""A picture made ready to be sampled, as settings say.

A mask belongs to the picture as it is in its file. Turning and a crop that is given come next, then the
ground is looked for, since the border is that of the crop. Margins of ground are cut before the picture is
cropped to a shape, and brightness, contrast and saturation change last.
"""

from dataclasses import replace

from convert.errors import PictureError
from convert.picture.adjusting import AUTO, Adjustment, adjusted, crop_named
from convert.picture.ground import KEEP, check_ground, ground_note, masked, without_ground
from convert.picture.margins import trimmed
from convert.picture.model import Picture
from convert.picture.reading import LIMIT_MEGAPIXELS, read_picture
from convert.settings.picture import PictureSettings


def made_ready(
    picture: Picture, settings: PictureSettings, aspect: float | None = None, *, woven_whole: bool = False
) -> Picture:
    """Return a picture masked, turned, cropped, freed of its ground and toned.

    Parameters
    ----------
    picture : Picture
        The picture.
    settings : PictureSettings
        What to do, those of any command.
    aspect : float, optional
        Width divided by height of the wanted shape, for an automatic crop.
    woven_whole : bool
        Whether the piece is woven where the picture shows nothing, too: margins are then part of it, and
        plain ground needs no word.

    Raises
    ------
    PictureError, SizeError
        A setting is impossible, or leaves nothing to weave.
    """
    check_ground(settings.ground, settings.ground_holes)
    adjustment = Adjustment(
        crop_named(settings.crop),
        settings.rotate,
        settings.flip,
        settings.brightness,
        settings.contrast,
        settings.saturation,
    )
    if settings.mask is not None:
        limit = max(LIMIT_MEGAPIXELS, picture.pixels.size / 3e6)
        picture = masked(picture, read_picture(settings.mask, limit_megapixels=limit))
    placed, rest = _parted(adjustment)
    picture = adjusted(picture, placed)
    if settings.ground not in (None, KEEP):
        picture = without_ground(picture, str(settings.ground), holes=settings.ground_holes)
    elif settings.ground is None and not woven_whole and (note := ground_note(picture)):
        picture = replace(picture, notes=(*picture.notes, note))
    if woven_whole:
        return adjusted(picture, rest, aspect)
    return trimmed(adjusted(trimmed(picture), rest, aspect))


def check_no_picture(settings: PictureSettings) -> None:
    """Raise PictureError where there is no picture, and something of one is to be left out."""
    asked = {
        "--ground": settings.ground,
        "--ground-holes": settings.ground_holes,
        "--mask": settings.mask,
    }
    for flag, given in asked.items():
        if given:
            raise PictureError(
                f"{flag} says what of a picture is not woven, and there is no picture",
                f"give one, or leave {flag} out",
            )


def _parted(adjustment: Adjustment) -> tuple[Adjustment, Adjustment]:
    """Return what is done before the ground is looked for, and after."""
    automatic = adjustment.crop == AUTO
    placed = Adjustment(
        None if automatic else adjustment.crop, rotate=adjustment.rotate, flip=adjustment.flip
    )
    return placed, replace(adjustment, crop=adjustment.crop if automatic else None, rotate=0.0, flip=None)
