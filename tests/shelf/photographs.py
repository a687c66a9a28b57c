"""Photographs of beads on white paper, rendered from known colours; shares no code with `convert.shelf`.

A scene is light reflected by paper, card and beads, in linear sRGB under D65. It is lit unevenly and by
another illuminant (Bradford's transform to its chromaticity as colour-science tables it: CIE 015:2018,
illuminant A and the D series), seen by a camera that takes part of the cast away, blurred, noisy, and stored
as JPEG.
"""

import io
from dataclasses import dataclass, field

import numpy as np
from PIL import Image
from scipy import ndimage

ILLUMINANTS = ("A", "D50", "D55", "D65", "D75")
OBSERVER = "CIE 1931 2 Degree Standard Observer"
# Reflectance of office paper, from memory: about 0.82 to 0.90.
PAPER = (0.83, 0.90)
BEAD_MM = 2.2
TABLE = (0.28, 0.16, 0.08)


@dataclass
class Scene:
    """What lies in front of the camera, in mm from the upper left corner of the photograph."""

    labs: np.ndarray
    """True colours in reading order, CIELAB under D65, shape (N, 3)."""
    centres_mm: np.ndarray
    radii_mm: np.ndarray
    size_mm: tuple[float, float]
    dots: float = 4.6
    """Pixels in a millimetre."""
    page: np.ndarray | None = None
    """A printed page at this resolution, encoded sRGB, its upper left corner at that of the photograph."""
    tilt: float = 0.0
    """Degrees, about the middle of the photograph."""
    illuminant: str = "D65"
    balanced: float = 0.7
    """Share of the cast that the camera takes away."""
    exposure: float = 0.85
    """Linear light that white paper gives in the brightest place."""
    gradient: tuple[float, float] = (0.0, 0.0)
    fall_off: float = 0.1
    blur_px: float = 0.7
    noise: float = 0.004
    quality: int = 90
    table_mm: float = 0.0
    """How much of a wooden table shows round the paper."""
    lids: bool = False
    """Whether each heap lies in a round lid with a grey rim."""
    paper: tuple[float, float, float] = (0.87, 0.87, 0.87)
    print_error: np.ndarray | None = None
    """Powers to which a bad printer raises the linear light of each channel, shape (3,)."""
    grey_card_mm: tuple[float, float, float, float] | None = None


@dataclass
class Photograph:
    """A photograph with the truth about it."""

    pixels: np.ndarray
    labs: np.ndarray
    centres_px: np.ndarray
    radii_px: np.ndarray
    jpeg: bytes = field(repr=False)


def linear_of_lab(colour_science, lab):
    xyz = colour_science.Lab_to_XYZ(lab, colour_science.CCS_ILLUMINANTS[OBSERVER]["D65"])
    return xyz @ np.linalg.inv(colour_science.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ).T


def decoded(encoded):
    encoded = np.asarray(encoded, np.float32)
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)


def encoded(linear):
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 0) ** (1 / 2.4) - 0.055)


BYTES = np.rint(encoded(np.linspace(0, 1, 1 << 16)) * 255).astype(np.uint8)


def render(colour_science, scene, generator):
    """Return the photograph of a scene."""
    wide, high = (round(length * scene.dots) for length in scene.size_mm)
    middle = np.array([wide, high]) / 2
    angle = np.radians(scene.tilt)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    light = _ground(scene, (high, wide))
    if scene.tilt:
        light = _turned(light, turn, middle, np.float32(TABLE) if scene.table_mm else np.float32(scene.paper))
    centres = (scene.centres_mm * scene.dots - middle) @ turn.T + middle
    radii = scene.radii_mm * scene.dots
    albedos = linear_of_lab(colour_science, scene.labs)
    if scene.lids:
        for centre, radius in zip(centres, radii, strict=True):
            _rim(light, centre, radius * 1.3, scene.dots)
    _shadows(light, centres, radii, scene.dots)
    for centre, radius, albedo in zip(centres, radii, albedos, strict=True):
        _heap(light, centre, radius, albedo, scene.dots, generator)
    light *= _unevenness(scene, (high, wide))[..., None]
    light = light.reshape(-1, 3) @ _camera(colour_science, scene).T.astype(np.float32)
    light = np.maximum(light.reshape(high, wide, 3), 0)
    light = ndimage.gaussian_filter(light, (scene.blur_px, scene.blur_px, 0))
    noise = generator.standard_normal(light.shape, np.float32) * np.float32(scene.noise)
    light += noise * np.sqrt(np.maximum(light, 0.01))
    pixels = BYTES[np.rint(np.clip(light, 0, 1) * (len(BYTES) - 1)).astype(np.uint16)]
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=scene.quality)
    with Image.open(io.BytesIO(file.getvalue())) as image:
        stored = np.asarray(image.convert("RGB")).copy()
    return Photograph(stored, scene.labs, centres, radii, file.getvalue())


def _ground(scene, shape):
    light = np.empty((*shape, 3), np.float32)
    light[:] = TABLE if scene.table_mm else scene.paper
    if scene.table_mm:
        edge = round(scene.table_mm * scene.dots)
        # The grain of the wood.
        light *= (
            1 + 0.25 * np.sin(np.arange(shape[0]) / 7.0 + np.sin(np.arange(shape[0]) / 31.0))[:, None, None]
        )
        light[edge:-edge, edge:-edge] = scene.paper
    if scene.page is not None:
        printed = decoded(scene.page / np.float32(255))
        if scene.print_error is not None:
            printed = printed ** np.float32(scene.print_error)
        bare = (scene.page > 252).all(axis=2)[..., None]
        height, width = printed.shape[:2]
        edge = round(scene.table_mm * scene.dots)
        light[edge : edge + height, edge : edge + width] = np.where(bare, np.float32(scene.paper), printed)
    if scene.grey_card_mm is not None:
        left, top, right, bottom = (round(place * scene.dots) for place in scene.grey_card_mm)
        light[top:bottom, left:right] = 0.18
    return light


def _turned(light, turn, middle, outside):
    """Return the ground turned about the middle of the photograph."""
    inverse = turn.T[::-1, ::-1]
    offset = middle[::-1] - inverse @ middle[::-1]
    return np.stack(
        [
            ndimage.affine_transform(light[..., channel], inverse, offset, order=1, cval=outside[channel])
            for channel in range(3)
        ],
        axis=-1,
    )


def _window(shape, centre, reach):
    left, top = np.maximum(np.floor(centre - reach).astype(int), 0)
    right, bottom = np.minimum(np.ceil(centre + reach).astype(int) + 1, (shape[1], shape[0]))
    y, x = np.mgrid[top:bottom, left:right]
    return (slice(top, bottom), slice(left, right)), x - centre[0], y - centre[1]


def _rim(light, centre, radius, dots):
    places, x, y = _window(light.shape, centre, radius + dots)
    cover = np.clip(0.5 * dots + 0.5 - np.abs(np.hypot(x, y) - radius), 0, 1)[..., None]
    light[places] = light[places] * (1 - 0.35 * cover)


def _shadows(light, centres, radii, dots):
    """Darken the paper beside heaps, on the side away from the light."""
    shade = np.zeros(light.shape[:2], np.float32)
    for centre, radius in zip(centres, radii, strict=True):
        places, x, y = _window(light.shape, centre + 1.2 * dots, radius)
        shade[places] = np.maximum(shade[places], np.hypot(x, y) < radius)
    light *= 1 - 0.3 * ndimage.gaussian_filter(shade, 0.9 * dots)[..., None]


def _heap(light, centre, radius, albedo, dots, generator):
    """Draw a heap of round beads: each shaded, most with a glint, some with the hole to be seen."""
    bead = BEAD_MM / 2 * dots
    places, x, y = _window(light.shape, centre, radius * 1.1)
    waves = generator.uniform(-0.05, 0.05, 2)
    around = np.arctan2(y, x)
    outline = radius * (1 + waves[0] * np.sin(2 * around) + waves[1] * np.cos(3 * around))
    inside = np.hypot(x, y) < outline - 0.6 * bead
    # Between the beads one looks into the heap, where light has been reflected several times.
    light[places] = np.where(inside[..., None], albedo * (0.15 + 0.25 * albedo), light[places])
    steps = np.arange(-radius, radius + bead, 1.7 * bead)
    across, down = np.meshgrid(steps, steps)
    spots = np.stack([across.ravel(), down.ravel()], axis=1)
    spots += generator.uniform(-0.45, 0.45, spots.shape) * bead
    spots = spots[np.hypot(*spots.T) < radius - bead * 0.8]
    generator.shuffle(spots)
    sun = np.array([-0.35, -0.45, 0.82])
    for spot in spots:
        at, x, y = _window(light.shape, centre + spot, bead)
        far = np.hypot(x, y) / bead
        up = np.sqrt(np.maximum(1 - far**2, 0))
        facing = np.maximum((x * sun[0] + y * sun[1]) / bead + up * sun[2], 0)
        shade = generator.normal(1, 0.03) * (0.62 + 0.38 * facing)
        seen = albedo * shade[..., None]
        if generator.random() < 0.3:
            seen = np.where((far < 0.3)[..., None], seen * 0.35, seen)
        if generator.random() < 0.85:
            glint = np.exp(-((x / bead + 0.3) ** 2 + (y / bead + 0.38) ** 2) / 0.02)
            seen = seen + 0.7 * glint[..., None]
        cover = np.clip((1 - far) * bead + 0.5, 0, 1)[..., None]
        light[at] += cover * (seen - light[at])


def _unevenness(scene, shape):
    y, x = np.mgrid[-1 : 1 : shape[0] * 1j, -1 : 1 : shape[1] * 1j].astype(np.float32)
    across, down = scene.gradient
    light = 1 + across * x + down * y - scene.fall_off * (x * x + y * y) / 2
    return light / light.max()


def _camera(colour_science, scene):
    """Return the matrix from light under D65 to what the camera records."""
    to_xyz = colour_science.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    whites = [
        colour_science.xy_to_XYZ(colour_science.CCS_ILLUMINANTS[OBSERVER][name])
        for name in ("D65", scene.illuminant)
    ]
    cast = colour_science.adaptation.matrix_chromatic_adaptation_VonKries(*whites, transform="Bradford")
    matrix = np.linalg.inv(to_xyz) @ cast @ to_xyz
    white = matrix @ np.array(scene.paper)
    matrix = np.diag((white.mean() / white) ** scene.balanced) @ matrix
    return matrix * (scene.exposure / (matrix @ np.array(scene.paper)).max())


def random_labs(colour_science, count, generator):
    """Return colours of beads: half from all of sRGB, half muted; none lighter than a white bead is."""
    labs = np.empty((0, 3))
    while len(labs) < count:
        rgb = decoded(generator.random(3))
        if generator.random() < 0.5:
            rgb = rgb.mean() + (rgb - rgb.mean()) * generator.uniform(0.1, 0.6)
        xyz = rgb @ colour_science.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T
        lab = colour_science.XYZ_to_Lab(xyz, colour_science.CCS_ILLUMINANTS[OBSERVER]["D65"])
        if 12 < lab[0] < 91:
            labs = np.concatenate([labs, lab[None]])
    return labs


def random_scene(colour_science, generator, dots, page=None, page_box_mm=None):
    """Return a scene as people lay them out: rows of heaps, not quite regular, tilted up to five degrees.

    A page is given in pixels, `dots` of them in a millimetre.
    """
    rows, columns = int(generator.integers(3, 6)), int(generator.integers(4, 8))
    table = float(generator.choice([0.0, 12.0])) if page is None else 8.0
    if page is None:
        size = (230.0, 180.0)
        box = (table + 12, table + 10, size[0] - table - 12, size[1] - table - 10)
    else:
        size = (page.shape[1] / dots + 2 * table, page.shape[0] / dots + 2 * table)
        left, top, right, bottom = page_box_mm
        box = (left + table + 2, top + table + 2, right + table - 2, bottom + table - 2)
    pitch = np.array([(box[2] - box[0]) / columns, (box[3] - box[1]) / rows])
    places = np.array([(column + 0.5, row + 0.5) for row in range(rows) for column in range(columns)])
    radius = 0.36 * min(pitch.min(), 30.0)
    centres = np.array(box[:2]) + places * pitch + generator.uniform(-0.05, 0.05, places.shape) * pitch
    return Scene(
        labs=random_labs(colour_science, rows * columns, generator),
        centres_mm=centres,
        radii_mm=radius * generator.uniform(0.85, 1.1, len(centres)),
        size_mm=size,
        dots=dots,
        page=page,
        tilt=float(generator.uniform(-5, 5)),
        illuminant=str(generator.choice(ILLUMINANTS)),
        balanced=float(generator.uniform(0.3, 1.0)),
        exposure=float(generator.uniform(0.55, 0.9)),
        gradient=tuple(generator.uniform(-0.12, 0.12, 2)),
        fall_off=float(generator.uniform(0.0, 0.2)),
        blur_px=float(generator.uniform(0.4, 1.2)),
        noise=float(generator.uniform(0.002, 0.01)),
        quality=int(generator.integers(75, 96)),
        table_mm=table,
        lids=bool(page is None and generator.random() < 0.25),
        paper=tuple(np.array(generator.uniform(*PAPER)) * (1 + generator.uniform(-0.015, 0.015, 3))),
    )
