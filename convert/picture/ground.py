"""The ground of a picture, which is not woven: found by its colour, or given by a mask."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from convert.colour.css_names import colour_called
from convert.colour.lab import srgb_to_lab
from convert.colour.words import plain_words
from convert.errors import ConvertError, PictureError
from convert.picture.model import Picture
from convert.picture.paper import SIDE_PX, Border, border_of, coarser_by, ground_of

AUTO, KEEP = "auto", "keep"
# So much of the border has to be of the ground's colour: of the most frequent one, and of one that is named.
_LEAST_AUTO, _LEAST_NAMED = 0.35, 0.005
# Ground that leaves less than the first share of a picture takes all of it; less than the second is none.
_NOTHING_LEFT, _NOTHING_FOUND = 0.001, 0.001
# Shares of the picture of which it is worth speaking.
_WORTH_SAYING = (0.1, 0.95)


def check_ground(wanted: str | None, holes: bool = False) -> None:
    """Raise PictureError if ground is wanted that is no colour, ``auto`` or ``keep``."""
    if holes and wanted in (None, KEEP):
        raise PictureError("--ground-holes needs a ground", "give --ground auto, or its colour")
    if wanted not in (None, AUTO, KEEP):
        _colour(str(wanted))


def _colour(wanted: str) -> tuple[int, int, int]:
    try:
        return colour_called(wanted)
    except ConvertError as error:
        raise PictureError(f"--ground is {AUTO}, {KEEP} or a colour, not '{wanted}'", error.hint) from error


def without_ground(picture: Picture, wanted: str, *, holes: bool = False) -> Picture:
    """Return a picture whose ground is transparent, with a soft edge.

    Parameters
    ----------
    picture : Picture
        The picture; what is transparent stays so.
    wanted : str
        ``auto`` for the colour of most of the border, or a colour, written or named as in CSS.
    holes : bool
        Whether places of that colour that the drawing encloses are ground, too.

    Raises
    ------
    PictureError
        There is no such ground, or it takes everything.
    """
    if wanted == AUTO and _is_cut_out(picture):
        return replace(picture, notes=(*picture.notes, "the ground of the picture is transparent already"))
    border = border_of(picture, None if wanted == AUTO else _lab(_colour(wanted)))
    if not border.ring.any():
        # It shows nothing, of which those tell who look for loops in it.
        return picture
    if border.share < (_LEAST_AUTO if wanted == AUTO else _LEAST_NAMED):
        raise _no_ground(border, wanted, picture)
    drawn = ground_of(border, holes=holes)
    left, name = _share(drawn, border), _word(border)
    if left < _NOTHING_LEFT:
        raise PictureError(
            f"the ground ({name}) takes the whole picture: nothing in it is unlike its border",
            "give the ground's colour with --ground COLOUR, a mask with --mask, or --ground keep",
        )
    if left > 1 - _NOTHING_FOUND:
        raise _no_ground(border, wanted, picture)
    inside = ", holes too" if holes else ""
    note = f"the ground ({name}, {_percent(1 - left)} of the picture{inside}) is left out"
    if wanted == AUTO and not border.is_plain:
        note += "; the border is not plain, so look whether it is all of it, or give a mask with --mask"
    return _with_opacity(picture, drawn, note, f"ground ({name}{inside}) left out")


def ground_note(picture: Picture) -> str | None:
    """Return what to say of a picture that lies on plain ground; None where it does not."""
    if picture.alpha is not None:
        return None
    # In a coarser copy: it is looked at in every run, and only the share is wanted.
    border = border_of(picture, side_px=SIDE_PX // 2)
    if not border.is_plain:
        return None
    ground = 1 - _share(ground_of(border), border)
    if not _WORTH_SAYING[0] <= ground <= _WORTH_SAYING[1]:
        return None
    return (
        f"the border is one colour ({_word(border)}, {_percent(ground)} of the picture):"
        " --ground auto would leave it out"
    )


def masked(picture: Picture, mask: Picture) -> Picture:
    """Return a picture of which only what is white in a mask is shown.

    Parameters
    ----------
    picture : Picture
        The picture as it is in its file.
    mask : Picture
        Of the same shape, or it is scaled; grey is shown in part. What is transparent in it is black.

    Raises
    ------
    PictureError
        It leaves nothing.
    """
    image = Image.fromarray(mask.pixels).convert("L")
    if mask.alpha is not None:
        black = Image.new("L", image.size)
        image = Image.composite(image, black, Image.fromarray(mask.alpha))
    size = picture.pixels.shape[1], picture.pixels.shape[0]
    notes = []
    if image.size != size:
        notes.append(
            f"the mask {mask.name} is {image.width} x {image.height}, the picture {size[0]} x {size[1]}:"
            " the mask is scaled to it"
        )
        finer = image.width < size[0]
        image = image.resize(size, Image.Resampling.BILINEAR if finer else Image.Resampling.BOX)
    shown = np.asarray(image)
    if shown.max() < 128:
        raise PictureError(
            f"the mask {mask.name} leaves nothing to weave: nothing in it is white",
            "white is woven, black is not; if it is the other way round, invert it",
        )
    if shown.min() >= 128:
        notes.append(f"the mask {mask.name} is white all over and leaves nothing out")
    alpha = shown if picture.alpha is None else np.minimum(shown, picture.alpha)
    said = f"masked by {mask.name}"
    return _cut(picture, alpha, notes, said)


def _with_opacity(picture: Picture, drawn: NDArray[np.float64], note: str, said: str) -> Picture:
    """Return a picture with the opacity of a coarse copy, its edges free of the ground's colour."""
    coarse = Image.fromarray(np.rint(drawn * 255).astype(np.uint8))
    rows, columns = picture.pixels.shape[:2]
    factor = coarser_by(picture)
    # The last pixels of the copy may reach out of the picture.
    box = (0.0, 0.0, columns / factor, rows / factor)
    alpha = np.asarray(coarse.resize((columns, rows), Image.Resampling.BILINEAR, box=box))
    pixels = _without_fringe(picture.pixels, alpha, drawn, factor)
    if picture.alpha is not None:
        alpha = np.minimum(alpha, picture.alpha)
    return _cut(replace(picture, pixels=pixels), alpha, [note], said)


def _without_fringe(
    pixels: NDArray[np.uint8], alpha: NDArray[np.uint8], drawn: NDArray[np.float64], factor: int
) -> NDArray[np.uint8]:
    """Return pixels of which those at a soft edge, mixed with ground, have the drawing's colour nearby.

    A bead at the rim may show nothing but such an edge.
    """
    from scipy.ndimage import distance_transform_edt, maximum_filter, minimum_filter

    inside = distance_transform_edt(drawn < 1, return_distances=False, return_indices=True)
    # Pixels of the copy about which opacity is mixed, and of these the pixels of the picture.
    mixed = np.argwhere(maximum_filter(drawn, 3) > minimum_filter(drawn, 3))
    last_row, last_column = np.array(alpha.shape) - 1
    offset = np.arange(factor)
    row = np.minimum(mixed[:, 0, None, None] * factor + offset[:, None], last_row)
    column = np.minimum(mixed[:, 1, None, None] * factor + offset, last_column)
    near_row, near_column = np.minimum(
        inside[:, *mixed.T] * factor + factor // 2, [[last_row], [last_column]]
    )
    place = (row * alpha.shape[1] + column).reshape(len(mixed), -1)
    # Neither 0 nor 255.
    cell, pixel = np.nonzero(alpha.ravel()[place] + np.uint8(1) > 1)
    cleaned = pixels.copy()
    cleaned.reshape(-1, 3)[place[cell, pixel]] = pixels[near_row, near_column][cell]
    return cleaned


def _cut(picture: Picture, alpha: NDArray[np.uint8], notes: list[str], said: str) -> Picture:
    return replace(
        picture,
        alpha=alpha,
        notes=(*picture.notes, *notes),
        adjustments=(*picture.adjustments, said),
        coloured_throughout=picture.alpha is None or picture.coloured_throughout,
    )


def _is_cut_out(picture: Picture) -> bool:
    """Return whether most of a picture's border is transparent."""
    if picture.alpha is None:
        return False
    alpha = picture.alpha
    ring = np.concatenate([alpha[0], alpha[-1], alpha[:, 0], alpha[:, -1]])
    return float((ring < 128).mean()) > 0.5


def _lab(rgb: tuple[int, int, int]) -> NDArray[np.float64]:
    return srgb_to_lab(np.array(rgb, np.uint8))


def _share(drawn: NDArray[np.float64], border: Border) -> float:
    """Return the share of what is shown of a picture that is drawing."""
    return float(drawn[border.shown].mean())


def _word(border: Border) -> str:
    return plain_words(border.mean[None])[0]


def _no_ground(border: Border, wanted: str, picture: Picture) -> PictureError:
    if wanted == AUTO:
        return PictureError(
            "the ground cannot be told from the drawing: no colour has enough of the picture's border",
            "give the ground's colour with --ground COLOUR, or a mask with --mask",
        )
    most = _word(border_of(picture))
    return PictureError(
        f"nothing at the picture's border is {wanted}, so there is no ground to leave out",
        f"most of it is {most}; name a colour that the border has, or give a mask with --mask",
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %" if share >= 0.01 else "under 1 %"
