"""Symbols that pieces of a set share, so that a bead has the same one on every chart."""

from collections.abc import Sequence

import numpy as np

from convert.drawing.piece import first_entries, merged_colours, touching_colours
from convert.drawing.symbols import choose_symbols
from convert.piece.pattern import Pattern


def agreed_symbols(patterns: Sequence[Pattern]) -> tuple[tuple[str, int], ...]:
    """Return a symbol for each code that suits the neighbours of its beads in several pieces.

    Parameters
    ----------
    patterns : sequence of Pattern
        The pieces.

    Returns
    -------
    tuple of (str, int)
        Codes with numbers of symbols, see `convert.piece.pattern.Pattern`; empty where a piece has one code
        in two colours, which need a symbol each.
    """
    merged = [merged_colours(pattern) for pattern in patterns]
    codes = [
        [entry.code for entry in first_entries(pattern, of_entry, len(counts))]
        for pattern, (of_entry, counts) in zip(patterns, merged, strict=True)
    ]
    if any(len(set(own)) < len(own) for own in codes):
        return ()
    every = list(dict.fromkeys(code for own in codes for code in own))
    touching, beads = np.zeros((len(every), len(every)), np.int64), np.zeros(len(every), np.int64)
    for pattern, own, (of_entry, counts) in zip(patterns, codes, merged, strict=True):
        at = np.array([every.index(code) for code in own])
        touching[np.ix_(at, at)] += touching_colours(pattern, of_entry, len(own))
        beads[at] += counts.sum(axis=1)
    return tuple(zip(every, choose_symbols(touching, beads.tolist()), strict=True))
