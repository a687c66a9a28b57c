"""Margins of a picture that show nothing: cut, so that its width and height are those of what is drawn."""

from dataclasses import replace

import numpy as np

from convert.picture.model import Picture

# Less than half opaque is no drawing, as with loops.
_OPAQUE = 128
# Cutting to a shape lays new margins bare, which are cut, too, and so on.
_ROUNDS = 12
# More of the drawing lost than this is worth a word to the user.
_WORTH_SAYING = 0.05


def trimmed(picture: Picture) -> Picture:
    """Return a picture without margins that show nothing; the same one where there are none."""
    if picture.alpha is None:
        return picture
    rows = np.flatnonzero(picture.alpha.max(axis=1) >= _OPAQUE).tolist()
    columns = np.flatnonzero(picture.alpha.max(axis=0) >= _OPAQUE).tolist()
    if not rows:
        return picture
    return _part(picture, slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1))


def shaped(picture: Picture, aspect: float) -> Picture:
    """Return the middle of a picture of a shape, all four sides of which the drawing touches.

    Parameters
    ----------
    picture : Picture
        The picture; one without transparent places is returned as it is.
    aspect : float
        Width divided by height.
    """
    if picture.alpha is None:
        return picture
    before = float(picture.alpha.sum(dtype=np.int64))
    part = trimmed(picture)
    for _ in range(_ROUNDS):
        height, width = part.pixels.shape[:2]
        wide, high = max(1, min(width, round(height * aspect))), max(1, min(height, round(width / aspect)))
        if (wide, high) == (width, height):
            break
        left, top = (width - wide) // 2, (height - high) // 2
        part = trimmed(_part(part, slice(top, top + high), slice(left, left + wide)))
    assert part.alpha is not None
    lost = 1 - float(part.alpha.sum(dtype=np.int64)) / max(before, 1.0)
    if lost <= _WORTH_SAYING:
        return part
    note = f"{lost:.0%} of the drawing lies outside the piece and is cropped"
    return replace(part, notes=(*part.notes, note))


def _part(picture: Picture, rows: slice, columns: slice) -> Picture:
    """Return a part of a picture that looks at the same pixels."""
    assert picture.alpha is not None
    height, width = picture.alpha.shape
    if (rows.stop - rows.start, columns.stop - columns.start) == (height, width):
        return picture
    left, top, wide, high = picture.kept
    kept = (
        left + wide * columns.start / width,
        top + high * rows.start / height,
        wide * (columns.stop - columns.start) / width,
        high * (rows.stop - rows.start) / height,
    )
    return replace(
        picture, pixels=picture.pixels[rows, columns], alpha=picture.alpha[rows, columns], kept=kept
    )
