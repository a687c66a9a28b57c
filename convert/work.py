"""A piece that is still to be made, and one that is made, whichever command asks for it."""

from dataclasses import dataclass, replace

from convert.errors import PictureError
from convert.judging.afar import Comparison, check_view, figures_of, judge
from convert.judging.colour_ladder import PayingColours
from convert.judging.size_needed import lost_detail
from convert.making.from_picture import FromPicture
from convert.making.options import MotifOptions, PanelOptions
from convert.making.pipeline import Progress, Result, make, unheard
from convert.making.shapes.shape import Shape
from convert.making.shapes.silhouette import Silhouette
from convert.making.sources.plain import Plain
from convert.making.sources.rule import ByRule
from convert.making.sources.source import Paints
from convert.palette.model import Palette
from convert.picture.margins import shaped
from convert.picture.mirroring import mirrored
from convert.picture.model import Picture
from convert.picture.readying import check_no_picture, made_ready
from convert.piece.about import Figures, Imprint, Outlook
from convert.piece.mirror_image import MIRRORED
from convert.piece.pattern import Pattern
from convert.settings.design import MirrorSettings
from convert.thread.verifier import ThreadReport

_PAIR_TOLD = (
    f"the mirror image has its own chart, order and pattern file in the folder {MIRRORED}; the list of beads"
    " is for all"
)


@dataclass(frozen=True, eq=False, slots=True)
class Made:
    """A piece, ready to be written, and what is known of it.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    thread : ThreadReport
        The proof of its thread path.
    notes : tuple of str
        What the user should know.
    difference : float or None
        Mean CIEDE2000 difference to the picture; None where none was followed.
    comparison : Comparison or None
        How well the beads show the picture from a distance; None where none was followed.
    colours_gap : float or None
        By what share another choice of as many colours could be better at most; None without such a limit.
    colours_reason : str or None
        Why there are as many colours as there are; None where all were taken or the user has said how many.
    before : Figures or None
        How well the piece showed its picture before it was changed; None where it was not.
    """

    pattern: Pattern
    thread: ThreadReport
    notes: tuple[str, ...] = ()
    difference: float | None = None
    comparison: Comparison | None = None
    colours_gap: float | None = None
    colours_reason: str | None = None
    before: Figures | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """A piece that is still to be made.

    Parameters
    ----------
    title : str
        What it is called.
    shape : Shape
        What to weave.
    source : Paints
        What to colour it by.
    options : PanelOptions or MotifOptions
        The choices.
    copies : int
        How many each person makes.
    """

    title: str
    shape: Shape
    source: Paints
    options: PanelOptions | MotifOptions
    copies: int = 1

    def done(self, palette: Palette, progress: Progress = unheard) -> Made:
        """Return the piece.

        Raises
        ------
        ConvertError
            The palette or the options do not allow a pattern.
        """
        parts = self.title, self.shape, self.source
        result = make(*parts, palette, self.options, copies=self.copies, progress=progress)
        progress("Judging the colours")
        return self.judged(result, palette)

    def judged(self, result: Result, palette: Palette) -> Made:
        """Return the piece of a result, judged as its file will be."""
        options = self.options
        in_pairs = isinstance(options, MotifOptions) and options.mirror_pair
        notes = result.notes
        if isinstance(options, PanelOptions) and isinstance(self.source, FromPicture) and _once(options):
            notes += lost_detail(self.source.picture, palette, options, result)
        if in_pairs:
            notes += (_PAIR_TOLD,)
        pattern = replace(
            result.pattern,
            title=options.title or result.pattern.title,
            outlook=Outlook(options.backing, options.view_distance_m),
            imprint=Imprint(options.maker or "", options.licence or "", options.year),
            mirror_pair=in_pairs,
        )
        difference, comparison = judge(pattern, result.nearest)
        learnt = result.gap, result.reason
        if difference is not None and comparison is not None:
            pattern = replace(pattern, figures=figures_of(difference, comparison, *learnt))
        return Made(pattern, result.thread, notes, difference, comparison, *learnt)


def panel_work(picture: Picture | None, options: PanelOptions, colours: ByRule | None = None) -> Work:
    """Return a panel that is still to be made; parameters and errors as of `convert.make_panel`."""
    check_view(options.backing, options.view_distance_m)
    shape = Silhouette.of(options)
    if picture is None or colours is not None:
        check_no_picture(options)
        rule = _rule_alone(picture, colours)
        return Work(rule.title, shape, rule, options)
    shown = panel_picture(picture, options)
    source = FromPicture(shown, chooser=PayingColours(options, options.view_distance_m))
    return Work(shown.name, shape, source, options)


def _once(options: PanelOptions) -> bool:
    """Return whether the picture of a panel comes once: its edges are looked for in one place."""
    return options.repeat is None and options.repeat_down is None and options.join is None


def _rule_alone(picture: Picture | None, rule: ByRule | None) -> ByRule:
    """Return the rule of a panel that has no picture."""
    if rule is None:
        raise PictureError("a panel needs a picture, or a rule with a width and a height")
    if picture is not None:
        raise PictureError(
            "a picture and --rule each say how all beads of a panel are coloured",
            "give one of them; in a motif a rule colours what the picture leaves bare",
        )
    return rule


def motif_work(
    shape: Shape, options: MotifOptions, picture: Picture | None = None, colours: Paints | None = None
) -> Work:
    """Return a shape of its own that is still to be made; parameters and errors as of `make_motif`."""
    source: Paints = colours or Plain()
    check_view(options.backing, options.view_distance_m)
    title = shape.title
    if picture is None:
        check_no_picture(options)
    else:
        sides = getattr(shape, "width_mm", None), getattr(shape, "height_mm", None)
        shown = made_ready(picture, options, aspect_of(*sides), woven_whole=True)
        if isinstance(shape, MirrorSettings):
            shown = mirrored(shown, shape)
        title = f"{shown.name}, {title.lower()}"
        source = FromPicture(shown, source, chooser=PayingColours(options, options.view_distance_m))
    return Work(title, shape, source, options, options.copies)


def panel_picture(picture: Picture, options: PanelOptions) -> Picture:
    """Return a picture made ready for a panel."""
    aspect = aspect_of(options.width_mm, options.height_mm)
    shown = made_ready(picture, options, aspect)
    if aspect is not None and options.fit == "cover" and _once(options):
        # To a shape whose every side the drawing touches, so that this is the size of what is woven.
        shown = shaped(shown, aspect)
    return mirrored(shown, options)


def aspect_of(width_mm: float | None, height_mm: float | None) -> float | None:
    """Return width by height where both are given."""
    return width_mm / height_mm if width_mm and height_mm else None
