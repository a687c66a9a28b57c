"""Light and shade on a bead by its finish, in linear light.

A bead is a solid of revolution about its hole, so its surface is known exactly at every point of its outline.
The light comes from the upper left, softly, as from a window. How each finish takes it is made up for a
pleasant picture; the mean over a bead stays near the colour of its palette entry.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from convert.weave.beads import BeadSize

Field = NDArray[np.float32]
_EYE = np.array([0.0, 0.0, 1.0])
_LIGHT = np.array([-0.45, -0.60, 0.66]) / np.linalg.norm([-0.45, -0.60, 0.66])
_HALF = (_LIGHT + _EYE) / np.linalg.norm(_LIGHT + _EYE)
# Cylinder beads have an edge rounded over this share of half their length.
_BEVEL = 0.16
# Light above this is pressed together, as film does, so that white beads keep their form.
_KNEE = 0.55


@dataclass(frozen=True, slots=True)
class Finish:
    """How a bead takes the light.

    Parameters
    ----------
    gloss : float
        Strength of the highlight.
    sharpness : float
        How small the highlight is.
    clear : float
        How much light goes through the glass, from 0 to 1.
    metal : float
        How much the surface mirrors, from 0 to 1.
    lining : float
        How much a bright lining of the hole shines through.
    rainbow : float
        How much the colour turns with the angle, as of a thin film.
    """

    gloss: float
    sharpness: float
    clear: float = 0.0
    metal: float = 0.0
    lining: float = 0.0
    rainbow: float = 0.0


OPAQUE = Finish(gloss=0.55, sharpness=55.0)
# The words are those of the trade; several may stand together, as in "matte transparent rainbow".
_WORDS: tuple[tuple[tuple[str, ...], dict[str, float]], ...] = (
    (("transparent", "clear", "translucent"), {"clear": 0.8, "gloss": 0.7, "sharpness": 80.0}),
    (("metallic", "galvanised", "galvanized", "plated"), {"metal": 0.85, "gloss": 0.8, "sharpness": 40.0}),
    (("lined",), {"clear": 0.6, "lining": 0.8, "gloss": 0.7, "sharpness": 80.0}),
    (("pearl", "lustre", "luster", "satin"), {"gloss": 0.5, "sharpness": 9.0}),
    (("rainbow", "iridescent", "iris"), {"rainbow": 0.5}),
    (("matte", "matt", "frosted"), {"gloss": 0.10, "sharpness": 5.0}),
)


def finish_of(words: str) -> Finish:
    """Return the finish that the words of a palette mean; anything unknown is opaque and glossy.

    Parameters
    ----------
    words : str
        Such as "matte", "transparent rainbow" or "silver-lined"; may be empty.
    """
    finish = OPAQUE
    for names, values in _WORDS:
        if any(name in words.lower() for name in names):
            finish = replace(finish, **values)
    return finish


@dataclass(frozen=True, eq=False, slots=True)
class Surface:
    """The visible surface of a bead at some points.

    Parameters
    ----------
    normal : ndarray of shape (P, 3), float32
        Unit vectors: x right, y down, z towards the eye.
    along, across : ndarray of shape (P,), float32
        Place along the hole and across it, from -1 at one end of the bead to 1 at the other.
    hole : float
        Diameter of the hole as a share of the bead's.
    """

    normal: Field
    along: Field
    across: Field
    hole: float


def surface(size: BeadSize, direction: tuple[float, float], x_mm: Field, y_mm: Field) -> Surface:
    """Return the surface of a bead at points of the page.

    The outline (see `convert.weave.beads.BeadSize.reach_mm`) turned about the hole: at a distance s along the
    hole the bead has the radius r(s), and the normal is that of y^2 + z^2 = r(s)^2.

    Parameters
    ----------
    size : BeadSize
        Size of the bead.
    direction : tuple of float
        Unit vector along the hole.
    x_mm, y_mm : ndarray of shape (P,)
        Points from the bead's centre; those outside the bead count as on its edge.
    """
    cosine, sine = direction
    half, radius = size.length_mm / 2, size.diameter_mm / 2
    s = np.clip(x_mm * cosine + y_mm * sine, -0.995 * half, 0.995 * half)
    t = y_mm * cosine - x_mm * sine
    curve = half if size.rounded else _BEVEL * half
    inward = np.maximum(np.abs(s) - (half - curve), 0)
    drop = np.sqrt(curve**2 - np.minimum(inward, 0.995 * curve) ** 2)
    at = radius - curve + drop
    slope = -np.sign(s) * inward / drop
    t = np.clip(t, -0.995 * at, 0.995 * at)
    height = np.sqrt(at**2 - t**2)
    normal = np.stack([-at * slope * cosine - t * sine, -at * slope * sine + t * cosine, height], axis=1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    share = size.hole_mm / size.diameter_mm
    return Surface(
        normal.astype(np.float32), (s / half).astype(np.float32), (t / radius).astype(np.float32), share
    )


def lit(
    surface: Surface, colours: NDArray[np.float64], finish: Finish, turns: ArrayLike | float = 0.0
) -> Field:
    """Return the light from a surface, shape (..., P, 3), linear sRGB, which may exceed 1 in highlights.

    Parameters
    ----------
    surface : Surface
        The points.
    colours : ndarray of shape (..., 3)
        Linear sRGB of the beads.
    finish : Finish
        How they take the light.
    turns : float or array of shape (...)
        Shifts the colours of a thin film, so that beads differ.
    """
    normal, facing = surface.normal, surface.normal[:, 2]
    paint = colours.astype(np.float32)[..., None, :]
    towards = normal @ _LIGHT.astype(np.float32)
    soft = 0.35 + 0.25 * (finish.gloss < 0.2)
    shade = 0.30 + 0.85 * np.clip((towards + soft) / (1 + soft), 0, None)
    # What enters at the upper left leaves at the lower right, except where the hole is in its way.
    core = np.exp(-((surface.across / surface.hole) ** 4) - surface.along**8)
    shade += finish.clear * (0.62 + 0.75 * np.clip(0.35 - towards, 0, None) - 0.22 * core - shade)
    if finish.metal:
        shade += finish.metal * (_mirror(-2 * facing * normal[:, 1]) - shade)
    shade *= 0.62 + 0.38 * np.sqrt(facing)
    shade /= shade.mean()
    light = shade[:, None] * paint

    if finish.lining:
        brightest = paint.max(axis=-1, keepdims=True)
        foil = (0.6 * paint + 0.4 * brightest) * (1.35 + 0.12 * np.sin(5 * surface.along))[:, None]
        light += (0.7 * finish.lining * core)[:, None] * (foil - light)
    if finish.rainbow:
        angle = 1.1 * (1 - facing) + 0.3 * surface.along + np.asarray(turns, np.float32)[..., None]
        film = 0.5 + 0.5 * np.cos(2 * np.pi * (angle[..., None] - np.array([0, 0.33, 0.67], np.float32)))
        veil = film * (0.2 + 0.8 * shade[:, None] * np.sqrt(paint.mean(axis=-1, keepdims=True)))
        light += (finish.rainbow * (0.3 + 0.5 * (1 - facing)))[:, None] * (veil - light)
    bright = light > _KNEE
    light[bright] = 1 - (1 - _KNEE) * np.exp(-(light[bright] - _KNEE) / (1 - _KNEE))
    highlight = finish.gloss * np.clip(normal @ _HALF.astype(np.float32), 0, 1) ** finish.sharpness
    tint = 1 + 0.6 * finish.metal * (paint / np.maximum(paint.max(axis=-1, keepdims=True), 1e-3) - 1)
    light += highlight[:, None] * tint
    light += (0.10 * min(1.0, 2 * finish.gloss) * (1 - facing) ** 3)[:, None]
    return np.asarray(light, np.float32)


def _mirror(upward: Field) -> Field:
    """Return what a mirror shows of a room: a bright sky above, a dark horizon, and a table below."""
    sky = 0.40 + 0.75 * (0.5 + 0.5 * np.tanh(3.0 * (upward - 0.05)))
    horizon = 0.22 * np.exp(-(((upward + 0.30) / 0.30) ** 2))
    return np.asarray(sky - horizon + 0.25 * np.clip(-upward - 0.5, 0, None), np.float32)
