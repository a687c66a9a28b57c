"""Drawings as scanners and cameras see them: on paper, in falling light, with grain and compression."""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw, ImageFilter
from scipy.ndimage import binary_fill_holes

# White, cream, grey, pale blue, packing paper, and dark card.
PAPERS = ((255, 255, 255), (246, 242, 232), (250, 250, 246), (214, 226, 236), (232, 214, 188), (70, 84, 112))
# Drawn so many times as large and made smaller, for soft edges.
_FINER = 2


@dataclass(frozen=True)
class Scan:
    """How a drawing is seen."""

    paper: tuple[int, int, int] = PAPERS[0]
    # By how much less light there is in a corner than in the middle, and towards one side.
    fall: float = 0.0
    tilt: float = 0.0
    # How much of the light a soft shadow over a corner takes.
    shadow: float = 0.0
    noise: float = 0.0
    quality: int | None = None


def drawing(seed, size=(640, 520)):
    """A bird of odd shapes, RGBA, with a white belly and thin legs, and a reed that may leave the page."""
    draw = np.random.default_rng(seed)
    width, height = size[0] * _FINER, size[1] * _FINER
    image = Image.new("RGBA", (width, height), (0, 0, 0, 0))
    pen = ImageDraw.Draw(image)
    short = min(width, height)
    middle = np.array([width, height]) / 2
    for _ in range(int(draw.integers(3, 6))):
        place = middle + draw.uniform(-0.18, 0.18, 2) * short
        angles = np.sort(draw.uniform(0, 2 * np.pi, int(draw.integers(6, 12))))
        reach = draw.uniform(0.12, 0.26, len(angles)) * short
        corners = place + reach[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        colour = (*draw.integers(10, 170, 2).tolist(), int(draw.integers(10, 90)), 255)
        pen.polygon([tuple(corner) for corner in corners.tolist()], fill=colour)
    for side in (-0.06, 0.05):
        x = middle[0] + side * width
        pen.line([x, middle[1], x + 0.02 * width, middle[1] + 0.38 * height], (150, 80, 20, 255), short // 40)
    reed = middle[0] + 0.36 * width
    bottom = height if seed % 2 else 0.9 * height
    pen.polygon([(reed, 0.3 * height), (reed - 40, bottom), (reed + 60, bottom)], fill=(60, 110, 40, 255))
    for reach, colour in ((0.11, (25, 25, 30, 255)), (0.085, (255, 255, 255, 255))):
        pen.ellipse([*(middle - reach * short), *(middle + reach * short)], fill=colour)
    return np.asarray(image.resize(size, Image.Resampling.BOX))


def seen(rgba, scan, seed=0):
    """The picture that a scan of a drawing is, (H, W, 3), uint8."""
    draw = np.random.default_rng(seed)
    height, width = rgba.shape[:2]
    share = rgba[..., 3:] / 255
    # Light mixes, not bytes; a gamma of 2.2 is near enough to sRGB for a rendering.
    light = (rgba[..., :3] / 255) ** 2.2 * share + (np.array(scan.paper) / 255) ** 2.2 * (1 - share)
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    off = draw.uniform(-0.3, 0.3, 2)
    turn = draw.uniform(0, 2 * np.pi)
    lamp = 1 / (1 + scan.fall * ((x - off[0]) ** 2 + (y - off[1]) ** 2) / 2) ** 2
    lamp *= 1 + scan.tilt * (np.cos(turn) * x + np.sin(turn) * y)
    edge = np.clip((np.cos(turn + 1) * x + np.sin(turn + 1) * y - 0.55) / 0.25, 0, 1)
    lamp *= 1 - scan.shadow * edge**2 * (3 - 2 * edge)
    encoded = (light * (lamp / lamp.max())[..., None]) ** (1 / 2.2) * 255
    blurred = Image.fromarray(np.rint(encoded).astype(np.uint8)).filter(ImageFilter.GaussianBlur(0.7))
    grained = np.asarray(blurred) + draw.normal(0, scan.noise, encoded.shape)
    image = Image.fromarray(np.clip(np.rint(grained), 0, 255).astype(np.uint8))
    if scan.quality is not None:
        file = io.BytesIO()
        image.save(file, "JPEG", quality=scan.quality)
        image = Image.open(file)
    return np.array(image.convert("RGB"))


def drawn(rgba):
    """The mask of what is drawn, uint8: what the drawing encloses is part of it."""
    alpha = rgba[..., 3]
    return np.where(binary_fill_holes(alpha > 0) & (alpha == 0), 255, alpha).astype(np.uint8)
