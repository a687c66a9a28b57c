"""Sources of colours besides a picture, each a group of options that paints a piece; one line each."""

from convert.making.sources.plain import Plain
from convert.making.sources.rule import ByRule
from convert.making.sources.source import Source

SOURCES: tuple[type[Source], ...] = (Plain, ByRule)
