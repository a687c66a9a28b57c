"""The options of each kind of work, put together from groups; light, since they are read at start-up.

A dataclass takes the fields of its last base first, and so does the help.
"""

from dataclasses import dataclass, fields

from convert.making.shapes.silhouette import DirectionSettings, HoldingSettings, SheetMeasures
from convert.settings.colour import BackingSettings, ColourSettings, ViewSettings
from convert.settings.declaring import SIZE, Settings, option
from convert.settings.finish import FinishSettings
from convert.settings.imprint import ImprintSettings
from convert.settings.kits import ClassSettings
from convert.settings.money import MoneySettings
from convert.settings.picture import PictureSettings
from convert.settings.thread import PathSettings, ThreadSettings
from convert.settings.weave import (
    BeadLimit,
    BeadSettings,
    CopySettings,
    EdgeSettings,
    GaugeSettings,
    PaceSettings,
)


@dataclass(frozen=True, kw_only=True)
class PieceOptions(
    BeadLimit,
    ClassSettings,
    FinishSettings,
    ThreadSettings,
    MoneySettings,
    ColourSettings,
    EdgeSettings,
    GaugeSettings,
    BeadSettings,
):
    """What may be chosen for every piece, whatever its shape."""


@dataclass(frozen=True, kw_only=True)
class PanelOptions(
    ImprintSettings, BackingSettings, ViewSettings, PictureSettings, SheetMeasures, PieceOptions
):
    """What may be chosen for a panel; see ``combweave panel --help`` for each."""


@dataclass(frozen=True, kw_only=True)
class MotifOptions(
    ImprintSettings, BackingSettings, ViewSettings, PictureSettings, CopySettings, PieceOptions
):
    """What may be chosen for a shape of its own, besides its measures; see ``combweave motif --help``."""


@dataclass(frozen=True, kw_only=True)
class ComparedSizes(Settings):
    """Which sizes of bead are compared, how large the pieces are, and what is to survive in them."""

    beads: tuple[str, ...] = option(
        (),
        "--beads",
        "A size to compare, or core and connector: 11/0+8/0. May be given again; without it every"
        " size of the palette.",
        SIZE,
        metavar="SIZE",
    )
    width_mm: float | None = option(
        None,
        "--width",
        "Finished width for the comparison at one width; 100 if no size is given.",
        SIZE,
        metavar="MM",
    )
    across: int | None = option(
        None,
        "--across",
        "Loops for the comparison at one number; without it what the width takes in 11/0.",
        SIZE,
        metavar="LOOPS",
    )
    height_mm: float | None = option(
        None,
        "--height",
        "Finished height instead of a width; with --width and --crop auto the shape to crop to.",
        SIZE,
        metavar="MM",
    )
    detail: str | None = option(
        None,
        "--detail",
        "Part of the picture that has to survive, in fractions of it: left, top, width, height.",
        SIZE,
        metavar="X,Y,W,H",
    )


@dataclass(frozen=True, kw_only=True)
class SizesOptions(
    BeadLimit,
    PathSettings,
    ViewSettings,
    MoneySettings,
    ColourSettings,
    PictureSettings,
    HoldingSettings,
    DirectionSettings,
    PaceSettings,
    ComparedSizes,
):
    """What may be chosen for a comparison of bead sizes; see ``combweave sizes --help`` for each."""

    @property
    def panel(self) -> PanelOptions:
        """The options of each piece that is compared, but for its beads.

        Of a width and a height, which together are the shape to crop to, the piece takes the width.
        """
        own = {field.name for field in fields(ComparedSizes)}
        shared = {field.name for field in fields(PanelOptions)} - own
        common = {field.name: getattr(self, field.name) for field in fields(self) if field.name in shared}
        height_mm = self.height_mm if self.width_mm is None else None
        return PanelOptions(**common, width_mm=self.width_mm, height_mm=height_mm, across=self.across)
