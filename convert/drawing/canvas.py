"""A white page of pixels onto which small pictures are stamped by the thousand."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import ImageFont

from convert.drawing.style import RGB, WHITE

# Pixels moved at a time: few enough to stay in the cache of the processor.
_BLOCK = 1 << 16


class Canvas:
    """Pixels of a page, packed four bytes a pixel so that a pixel moves as one number.

    Parameters
    ----------
    height, width : int
        Size in pixels.
    ground : tuple of int
        Colour of the page, sRGB bytes.
    """

    def __init__(self, height: int, width: int, ground: RGB = WHITE) -> None:
        packed = np.array([*ground, 255], np.uint8).view(np.uint32)
        self._packed = np.full((height, width), packed[0], np.uint32)

    @property
    def pixels(self) -> NDArray[np.uint8]:
        """The page, shape (H, W, 4); the fourth channel is always 255."""
        height, width = self._packed.shape
        return self._packed.view(np.uint8).reshape(height, width, 4)

    def stamp(
        self,
        top: NDArray[np.int64],
        left: NDArray[np.int64],
        which: NDArray[np.int64],
        inside: tuple[NDArray[np.intp], NDArray[np.intp]],
        sprites: NDArray[np.uint8],
    ) -> None:
        """Darken the page by sprites: each pixel keeps the darker of what was there and the sprite.

        Thus the soft edges of neighbours that touch do not wipe each other out. Sprites of one call must not
        share pixels.

        Parameters
        ----------
        top, left : ndarray of shape (N,)
            Pixel of the upper left corner of each stamp, which must lie on the page with all of it.
        which : ndarray of shape (N,)
            Sprite of each stamp.
        inside : tuple of two ndarray of shape (P,)
            Row and column, from the corner, of the pixels a sprite covers.
        sprites : ndarray of shape (S, P, 4), uint8
            Colours of those pixels; the fourth channel is 255.
        """
        for page, places, part in self._blocks(top, left, inside):
            below = page[places].view(np.uint8).reshape(*places.shape, 4)
            darker = np.minimum(below, sprites[which[part]])
            page[places] = darker.view(np.uint32)[..., 0]

    def lay(
        self,
        top: NDArray[np.int64],
        left: NDArray[np.int64],
        which: NDArray[np.int64],
        inside: tuple[NDArray[np.intp], NDArray[np.intp]],
        sprites: NDArray[np.uint8],
    ) -> None:
        """Lay sprites over the page, as `stamp`; their fourth channel says how much of a pixel they cover."""
        shares = sprites[..., 3:].astype(np.uint16)
        covering = sprites[..., :3] * shares
        for page, places, part in self._blocks(top, left, inside):
            pixels = page[places].view(np.uint8).reshape(*places.shape, 4)
            sprite = which[part]
            mixed = pixels[..., :3] * (255 - shares[sprite]) + covering[sprite]
            pixels[..., :3] = (mixed + 127) // 255
            page[places] = pixels.view(np.uint32)[..., 0]

    def _blocks(
        self,
        top: NDArray[np.int64],
        left: NDArray[np.int64],
        inside: tuple[NDArray[np.intp], NDArray[np.intp]],
    ) -> Iterator[tuple[NDArray[np.uint32], NDArray[np.int64], slice]]:
        """Yield the page, the places in it of some stamps at a time, shape (n, P), and which they are."""
        width = self._packed.shape[1]
        offsets = inside[0] * width + inside[1]
        block = max(1, _BLOCK // len(offsets))
        for start in range(0, len(top), block):
            part = slice(start, start + block)
            yield self._packed.reshape(-1), (top[part] * width + left[part])[:, None] + offsets, part

    def paint(self, top: int, left: int, cover: NDArray[np.float32], colour: RGB) -> None:
        """Lay a colour over the page.

        Parameters
        ----------
        top, left : int
            Pixel of the upper left corner; what lies off the page is cut.
        cover : ndarray of shape (h, w)
            How much of each pixel is covered, from 0 to 1.
        colour : tuple of int
            sRGB bytes.
        """
        height, width = self._packed.shape
        cut_top, cut_left = max(0, -top), max(0, -left)
        cover = cover[cut_top : max(0, height - top), cut_left : max(0, width - left)]
        if not cover.size:
            return
        top, left = top + cut_top, left + cut_left
        rows, columns = cover.shape
        # All four channels, of which the last stays 255: bytes that lie together are mixed fastest.
        area = self._packed.view(np.uint8)[top : top + rows, 4 * left : 4 * (left + columns)]
        mixed = np.tile(np.array([*colour, 255], np.float32), columns) - area
        mixed *= np.repeat(cover, 4, axis=1)
        mixed += area
        mixed += 0.5
        area[...] = mixed


def text_cover(text: str, face: ImageFont.FreeTypeFont, anchor: str) -> tuple[NDArray[np.float32], int, int]:
    """Return the coverage of a line of text and the place of its upper left corner from its anchor.

    Parameters
    ----------
    text : str
        The text.
    face : ImageFont.FreeTypeFont
        Typeface at its size in pixels.
    anchor : str
        Pillow's anchor, such as ``ls`` for the left end of the base line.
    """
    mask, (left, top) = face.getmask2(text, "L", anchor=anchor)
    width, height = mask.size
    cover = np.frombuffer(bytes(mask), np.uint8).astype(np.float32).reshape(height, width) / np.float32(255)
    return cover, top, left
