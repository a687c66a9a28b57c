"""One shape out of several and one source of colours out of several, each with options of its own.

The options of all of them stand on the command line together. Those of another shape than the chosen one are
refused rather than left unheard.
"""

import dataclasses
from dataclasses import dataclass
from typing import Any, Literal

from convert.errors import PaletteError, SizeError
from convert.making.shapes import SHAPES
from convert.making.shapes.shape import Shape
from convert.making.sources import SOURCES
from convert.making.sources.rule import ByRule
from convert.making.sources.source import Source
from convert.settings.declaring import SIZE, Settings, declared, option


def _optional(groups: dict[str, type[Settings]], *, named: bool) -> list[tuple[str, Any, Any]]:
    """Return fields, not given by default, for the options of several groups; one that is shared only once.

    Parameters
    ----------
    groups : dict of str to type
        The groups by name.
    named : bool
        Whether the help says which groups an option belongs to.
    """
    owners: dict[str, list[str]] = {}
    found: dict[str, tuple[Any, Any]] = {}
    for name, group in groups.items():
        for field, (known, hint, _) in declared(group).items():
            owners.setdefault(field, []).append(name)
            found.setdefault(field, (known, hint))
    fields = []
    for field, (known, hint) in found.items():
        whose = f"{', '.join(owners[field]).capitalize()}: " if named else ""
        more = {name: getattr(known, name) for name in ("metavar", "least", "most")}
        told = whose + known.help[0].lower() + known.help[1:] if named else known.help
        shown = option(None, known.flag, told, known.heading, **more)
        fields.append((field, hint | None, shown))
    return fields


@dataclass(frozen=True, kw_only=True)
class _ShapeKind(Settings):
    kind: Literal[tuple(SHAPES)] | None = option(  # type: ignore[valid-type]
        None,
        "--shape",
        "What to weave; without it the first of these that has the measures given. A flower with another"
        " --centre is a cup or a ruffle.",
        SIZE,
    )

    def chosen(self) -> Shape:
        """Return the shape of this kind with the measures given.

        Raises
        ------
        SizeError
            A measure is of another shape.
        """
        given = _given(self, "kind")
        fitting = (kind for kind, shape in SHAPES.items() if given.keys() <= declared(shape).keys())
        kind = self.kind or next(fitting, next(iter(SHAPES)))
        shape = SHAPES[kind]
        own = declared(shape)
        for name in given:
            if name not in own:
                takes = ", ".join(known.flag for known, _, _ in own.values())
                what = declared(type(self))[name][0].name
                others = " or ".join(
                    f"--shape {other}" for other, shape in SHAPES.items() if name in declared(shape)
                )
                raise SizeError(
                    f"{'an' if kind[0] in 'aeiou' else 'a'} {kind} has no {what}",
                    f"it takes {takes}; {what} goes with {others}",
                )
        return shape(**given)


def kind_of(shape: Shape) -> str:
    """Return the word for a shape on the command line."""
    return next(kind for kind, known in SHAPES.items() if known is type(shape))


@dataclass(frozen=True, kw_only=True)
class _SourceKind(Settings):
    def chosen(self) -> Source | None:
        """Return the source whose options are given; None if there are none.

        Raises
        ------
        PaletteError
            Options of several are given.
        """
        given = _given(self)
        asked = [source for source in SOURCES if given.keys() & declared(source).keys()]
        if not asked:
            return None
        if len(asked) > 1:
            flags = " and ".join(declared(type(self))[name][0].flag for name in given)
            raise PaletteError(f"{flags} each say how all beads are coloured", "give one of them")
        return asked[0](**given)


def _given(group: Settings, *but: str) -> dict[str, Any]:
    """Return the fields of a group that are given."""
    values = {field.name: getattr(group, field.name) for field in dataclasses.fields(group)}
    return {name: value for name, value in values.items() if value is not None and name not in but}


ShapeChoice: Any = dataclasses.make_dataclass(
    "ShapeChoice", _optional(dict(SHAPES), named=True), bases=(_ShapeKind,), frozen=True, kw_only=True
)


def _choice_of(*sources: type[Source]) -> Any:
    """Return the group of the options of some sources of colours."""
    options = _optional({source.__name__: source for source in sources}, named=False)
    return dataclasses.make_dataclass(
        "SourceChoice", options, bases=(_SourceKind,), frozen=True, kw_only=True
    )


SourceChoice: Any = _choice_of(*SOURCES)
# A panel has a picture or a rule; plain ones are motifs.
RuleChoice: Any = _choice_of(ByRule)
