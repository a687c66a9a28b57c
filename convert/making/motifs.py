"""A shape of its own instead of a panel: plain in one or two colours, or coloured by a picture."""

from dataclasses import replace

import numpy as np

from convert.choice.choosing import choose
from convert.colour.ciede2000 import ciede2000
from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import encode_to_bytes
from convert.errors import PictureError, SizeError
from convert.making.layout import bead_means, crop_notes, loop_coverage, too_many_beads
from convert.making.pipeline import (
    NO_THREAD,
    ConvertOptions,
    Progress,
    Result,
    of_sizes,
    with_thread,
    with_tips,
)
from convert.palette.model import Palette
from convert.picture.model import Picture
from convert.picture.silhouette import LEAST_COVERAGE
from convert.piece.pattern import Pattern, Shape
from convert.weave.beads import BeadSize
from convert.weave.fit import sheet_beads, sheet_loops
from convert.weave.motif import FLAT, flower_beads
from convert.weave.shapes import Flower, Sheet
from convert.weave.strip import CLASP_MM, EASE_MM, Strip, fit_strip

MOST_COPIES = 1_000
ROUNDS = 3
STRIP_HEIGHT_MM = 20.0
RECTANGLE_WIDTH_MM = 60.0
# Which measures each kind of shape takes; the others are refused rather than left unheard.
KINDS = {
    "flower": ("rounds", "centre"),
    "strip": ("wrist", "ease", "clasp", "height"),
    "rectangle": ("width", "height"),
}


def motif_shape(
    kind: str, options: ConvertOptions, measures: dict[str, float | None], aspect: float = 1.0
) -> tuple[Shape, list[str]]:
    """Return a shape and what the user should know of its size.

    Parameters
    ----------
    kind : str
        A key of `KINDS`.
    options : ConvertOptions
        Sizes, spacing, direction and the limit of beads are followed.
    measures : dict of str to float or None
        Measures by name, lengths in mm; None where the user does not give one.
    aspect : float
        Width by height of a picture, for a rectangle of which one measure is given.

    Raises
    ------
    SizeError
        A measure is impossible, missing, or of another shape.
    """
    if kind not in KINDS:
        raise SizeError(f"a shape is {', '.join(KINDS)}, not '{kind}'")
    given = {name: measure for name, measure in measures.items() if measure is not None}
    for name in given:
        if name not in KINDS[kind]:
            takes = ", ".join(f"--{known}" for known in KINDS[kind])
            raise SizeError(f"a {kind} has no {name}", f"a {kind} takes {takes}")
    shape: Shape
    if kind == "flower":
        shape = Flower(int(given.get("rounds", ROUNDS)), int(given.get("centre", FLAT)))
        _check_beads(flower_beads(shape.rounds, shape.centre), options)
        return shape, []
    if kind == "strip":
        return _strip(options, given)
    if not given:
        given = {"width": RECTANGLE_WIDTH_MM}
    rows, places = sheet_loops(
        options.sizes,
        options.spacing,
        aspect,
        direction=options.direction,
        width_mm=given.get("width"),
        height_mm=given.get("height"),
    )
    _check_beads(sheet_beads(rows, places), options)
    return Sheet(np.ones((rows, places), bool), options.direction), []


def _strip(options: ConvertOptions, given: dict[str, float]) -> tuple[Shape, list[str]]:
    if "wrist" not in given:
        raise SizeError("a strip needs the measure of the wrist", "give --wrist MM, such as --wrist 170")
    strip = fit_strip(
        given["wrist"],
        given.get("height", STRIP_HEIGHT_MM),
        options.sizes,
        options.spacing,
        ease_mm=given.get("ease", EASE_MM),
        clasp_mm=given.get("clasp", CLASP_MM),
    )
    _check_beads(sheet_beads(strip.rows, strip.places), options)
    return Sheet(np.ones((strip.rows, strip.places), bool)), [f"length: {strip}", _ends(strip)]


def _ends(strip: Strip) -> str:
    """Return how a strip is closed. Common practice, no source."""
    if strip.clasp_mm:
        return (
            "the ends do not meet: sew half of a clasp to the rim beads at the middle of each end, passing"
            " through them three or four times with a thread of its own (common practice)"
        )
    return "with no clasp the ends fit into each other: sew them together bead to bead (common practice)"


def _check_beads(beads: int, options: ConvertOptions) -> None:
    if beads > options.most_beads:
        raise too_many_beads(beads, options.most_beads)


def make_motif(
    title: str,
    shape: Shape,
    palette: Palette,
    options: ConvertOptions,
    *,
    picture: Picture | None = None,
    colour: str | None = None,
    second_colour: str | None = None,
    copies: int = 1,
    progress: Progress = lambda stage: None,
) -> Result:
    """Return the pattern of a shape, which is always woven whole.

    Without a picture it has one colour for the cores and one for the connectors; in the one-size weave the
    second is that of the small beads at the tips. With a picture these are for beads that show none of it.

    Parameters
    ----------
    title : str
        What the piece is called.
    shape : Shape
        What to weave.
    palette : Palette
        Bead colours to choose from.
    options : ConvertOptions
        The user's choices; those of size are not followed.
    picture : Picture, optional
        What to colour it by, laid over the piece as the chart shows it.
    colour, second_colour : str, optional
        Codes or names of the palette, see `Palette.find`; without them the first bead of the core's size,
        and the one least like it.
    copies : int
        How many pieces of the kind are made.
    progress : callable, optional
        Is told the name of each stage as it begins.

    Raises
    ------
    SizeError, PictureError, PaletteError, ThreadPathError
        The choices do not allow a pattern.
    """
    if not 1 <= copies <= MOST_COPIES:
        raise SizeError(f"copies are 1 to {MOST_COPIES:,}, not {copies}")
    palette = of_sizes(palette, options.sizes)
    progress("Laying out loops")
    weave = shape.build(options.sizes, options.spacing)
    first, second = _plain_colours(palette, options.sizes, colour, second_colour)
    bead_colour = np.where(weave.bead_size == 0, first, second).astype(np.int32)
    of_tips = second if weave.one_size or weave.tip_size else first
    tip_colour = np.full(len(weave.tip_junctions), of_tips, np.int32)
    notes = shape_notes(shape)
    wanted = palette.rgb()[bead_colour]
    difference = nearest = gap = None
    if picture is None and options.limits:
        raise PictureError(
            "without a picture there are no colours to choose",
            "give a picture, or name the beads with --colour and --second-colour",
        )
    if picture is not None:
        progress("Sampling the picture")
        notes += [*picture.notes, *crop_notes(picture, weave)]
        if not (loop_coverage(picture, [weave])[0] >= LEAST_COVERAGE).any():
            raise PictureError(
                "the picture leaves no loop to colour: nowhere does it cover half a loop",
                "make less of the picture transparent, or leave it out for a plain piece",
            )
        (means,) = bead_means(picture, [(weave, weave)])
        shown = ~np.isnan(means[:, 0])
        wanted[shown] = encode_to_bytes(means[shown])
        progress("Choosing beads")
        choice = choose(with_tips(wanted, weave, options.edge), weave, palette, options, copies)
        nearest = np.where(shown, choice.nearest[: weave.beads], bead_colour).astype(np.int32)
        gap = choice.gap
        # Beads that show none of the picture have the plain colours, unless these are bound by a limit, too.
        keeps_plain = ~shown & (not options.limits)
        bead_colour = np.where(keeps_plain, bead_colour, choice.chosen[: weave.beads]).astype(np.int32)
        tip_colour = choice.chosen[weave.beads :]
        off = ciede2000(srgb_to_lab(wanted[shown]), palette.labs()[bead_colour[shown]])
        difference = float(off.mean())
    if options.edge == "points":
        bead_colour = np.append(bead_colour, tip_colour)
    pattern = Pattern(title, shape, weave, palette, bead_colour, NO_THREAD, options.supplies, copies)
    if picture is not None:
        pattern = replace(pattern, adjustments=picture.adjustments)
    pattern, report = with_thread(pattern, options, progress)
    return Result(pattern, report, weave, wanted, difference, tuple(notes), nearest, gap)


def shape_notes(shape: Shape) -> list[str]:
    """Return what the weaver should know of a shape that does not lie flat by itself."""
    if not isinstance(shape, Flower) or shape.centre == FLAT:
        return []
    if shape.centre < FLAT:
        return [
            f"a centre of {shape.centre} beads closes into a cup; the chart lays it flat, with the beads of"
            " each round further apart than they are"
        ]
    return [
        f"a centre of {shape.centre} beads ruffles; the chart lays it flat, with the rounds further apart"
        " than they are, and the finished size is that of a flat flower of as many rounds"
    ]


def _plain_colours(
    palette: Palette, sizes: tuple[BeadSize, BeadSize], colour: str | None, second: str | None
) -> tuple[int, int]:
    """Return the entries of the first colour, in the core's size, and of the second, in the connector's."""
    core, connector = (size.name for size in sizes)
    first = palette.find(colour, core) if colour else int(palette.for_size(core)[0])
    if second:
        return first, palette.find(second, connector)
    entries, labs = palette.for_size(connector), palette.labs()
    return first, int(entries[ciede2000(labs[entries], labs[first]).argmax()])
