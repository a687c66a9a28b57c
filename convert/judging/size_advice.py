"""What to choose, in words that are computed from the pieces compared."""

import math

from convert.judging.detail import Detail
from convert.judging.size_candidates import SAME_WIDTH, Candidate, Sizes, sizes_name
from convert.judging.size_needed import MOST_LOOPS, finished_width_mm, of_loops, with_sizes
from convert.making.frame import Frame
from convert.making.options import PanelOptions


def advised(
    candidates: list[Candidate],
    here: Candidate | None,
    across: int | None,
    of_usual: PanelOptions,
    detail: Detail,
) -> tuple[float | None, str]:
    """Return how many beads wide the detail has to be, if that can be said, and what to choose in words.

    Parameters
    ----------
    candidates : list of Candidate
        All of them.
    here : Candidate or None
        The one of the same width in the usual size; None where it cannot be woven.
    across : int or None
        Loops across that keep the detail in the usual size; None where none do.
    of_usual : PanelOptions
        The options for the usual size.
    detail : Detail
        The detail.
    """
    what = "the picture" if detail.part.is_whole else "the detail"
    if here is None:
        return None, (
            f"At this width it cannot be woven in {sizes_name(Frame.of(of_usual).sizes)}, so that there is"
            " nothing to measure by: choose by eye."
        )
    if here.part is None or here.part.edges is None:
        why = "lies outside the piece" if here.part is None else "has no edges that could be lost"
        return None, f"{what[0].upper()}{what[1:]} {why}: choose by size, time and cost."
    picture = detail.picture
    wide = f"At {here.finished.width_mm:.0f} mm in {here.name} {what} is {here.beads_wide:.0f} beads wide"
    if across is None:
        return None, (
            f"{wide}, and even {MOST_LOOPS} loops across do not keep it: give it more contrast, or crop the"
            " picture closer."
        )

    def width_needed(sizes: Sizes) -> float:
        wanted = of_loops(with_sizes(of_usual, sizes), across)
        return math.ceil(finished_width_mm(picture, wanted) / 5) * 5

    of_width = [candidate for candidate in candidates if candidate.reading == SAME_WIDTH]
    full_width = finished_width_mm(picture, of_loops(of_usual, across))
    needs = detail.part.width * full_width / Frame.of(of_usual).bead_spacing_mm(of_usual.direction)
    here_needed = f"{width_needed(here.sizes):.0f} mm"
    kept = [candidate for candidate in of_width if candidate.survives]
    if here.survives:
        smallest = min((candidate.sizes for candidate in of_width), key=width_needed)
        least = f"{width_needed(smallest):.0f} mm in {sizes_name(smallest)}"
        return needs, (
            f"{wide} and needs about {needs:.0f}: it survives. The smallest piece that keeps it is {least}."
        )
    if kept:
        coarsest = min(kept, key=lambda candidate: candidate.beads)
        return needs, f"{wide}; it needs {math.ceil(needs)}: choose {coarsest.name}, or {here_needed}."
    finest = max(of_width, key=lambda candidate: candidate.beads)
    others = f"{here_needed} in {here.name}"
    if finest is not here:
        others = f"{width_needed(finest.sizes):.0f} mm in {finest.name} or {others}"
    return needs, (
        f"{wide}; it needs {math.ceil(needs)}, and no size here keeps it at this width: choose {others}."
    )
