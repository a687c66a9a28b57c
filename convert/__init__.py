"""combweave: from a picture to a hexagon angle weave that can be strung and sewn.

This is the front door for programs; all else of the package may move. What it offers is loaded when it is
first asked for, so that the command line starts quickly.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from convert.comparisons import (
        ColourComparison,
        SizeComparison,
        compare_colours,
        compare_sizes,
        write_colours,
        write_sizes,
    )
    from convert.front_door import (
        BookletSettings,
        ByRule,
        ChangeOptions,
        ConvertError,
        Cutout,
        Flower,
        Made,
        MotifOptions,
        Palette,
        PanelOptions,
        Picture,
        Plain,
        Rectangle,
        SizesOptions,
        Strip,
        change_pattern,
        make_motif,
        make_panel,
        read_changes,
        read_palette,
        read_pattern,
        read_picture,
        summary,
        write_outputs,
    )
    from convert.sets import MadeSet, SetPiece, make_set, set_summary, write_set

__version__ = "0.1.0"
__all__ = [
    "BookletSettings",
    "ByRule",
    "ChangeOptions",
    "ColourComparison",
    "ConvertError",
    "Cutout",
    "Flower",
    "Made",
    "MadeSet",
    "MotifOptions",
    "Palette",
    "PanelOptions",
    "Picture",
    "Plain",
    "Rectangle",
    "SetPiece",
    "SizeComparison",
    "SizesOptions",
    "Strip",
    "change_pattern",
    "compare_colours",
    "compare_sizes",
    "make_motif",
    "make_panel",
    "make_set",
    "read_changes",
    "read_palette",
    "read_pattern",
    "read_picture",
    "set_summary",
    "summary",
    "write_colours",
    "write_outputs",
    "write_set",
    "write_sizes",
]

_OF_COMPARISONS = {
    "ColourComparison",
    "SizeComparison",
    "compare_colours",
    "compare_sizes",
    "write_colours",
    "write_sizes",
}


_OF_SETS = {"MadeSet", "SetPiece", "make_set", "set_summary", "write_set"}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    homes = {"convert.comparisons": _OF_COMPARISONS, "convert.sets": _OF_SETS}
    home = next((module for module, names in homes.items() if name in names), "convert.front_door")
    return getattr(import_module(home), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
