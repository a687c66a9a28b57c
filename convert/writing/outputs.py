"""The files of a pattern: which there are and what writes each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from convert.colour.srgb import parse_hex
from convert.drawing.edit_page import edit_html
from convert.drawing.follow_page import follow_html
from convert.drawing.label_sheet import write_labels
from convert.drawing.pdf import write_pdf
from convert.drawing.png import write_png
from convert.drawing.preview import write_preview
from convert.drawing.scene import Scene, chart_scene
from convert.drawing.step_pictures import step_sheet, write_steps_png
from convert.drawing.svg import write_svg
from convert.drawing.told import description, png_words
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_text
from convert.piece.edition import STUDENT, for_student
from convert.piece.kit import Kit, kit_of
from convert.piece.mirror_image import MIRRORED, mirror_image
from convert.piece.pattern import Pattern
from convert.piece.pattern_file import pattern_json
from convert.settings.output import BookletSettings
from convert.thread.verifier import ThreadReport, verify
from convert.units import PAPERS, Paper
from convert.writing.beads_csv import beads_csv
from convert.writing.kit_csv import kit_csv
from convert.writing.stitch_csv import stitch_csv

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Job:
    """What outputs are made of; what several of them need is made once.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    report : ThreadReport
        The proof of its thread path.
    booklet : BookletSettings
        For whom the outputs are, and how the booklet is printed.
    in_set : bool
        Whether it is one of several pieces, whose beads are bought and whose kits are packed together.
    """

    pattern: Pattern
    report: ThreadReport
    booklet: BookletSettings = field(default_factory=BookletSettings)
    in_set: bool = False

    @classmethod
    def of(
        cls,
        pattern: Pattern,
        report: ThreadReport,
        booklet: BookletSettings,
        *,
        in_set: bool = False,
    ) -> "Job":
        """Return the job for those whom the outputs are for: a student gets nothing of the shop.

        Raises
        ------
        SizeError
            There is a price to be made, but no kits.
        """
        booklet.check_class(pattern.students)
        if booklet.edition == STUDENT:
            pattern = for_student(pattern)
        return cls(pattern, report, booklet, in_set)

    @property
    def buying(self) -> bool:
        """Whether the lists of beads say what is on hand and what to buy."""
        return not self.in_set and self.booklet.edition != STUDENT

    @cached_property
    def kit(self) -> Kit | None:
        """The kits, if there are to be any of this piece alone."""
        if not self.pattern.students or self.in_set:
            return None
        return kit_of(self.pattern, self.report, self.booklet.labour, self.booklet.margin)

    @property
    def paper(self) -> Paper:
        """What is printed on."""
        return PAPERS[self.booklet.paper]

    @cached_property
    def scene(self) -> Scene:
        """The chart."""
        return chart_scene(self.pattern)

    @cached_property
    def large_scene(self) -> Scene:
        """The chart as a drawing that can be enlarged without end, and so has room for symbols."""
        return self.scene if self.scene.symbols else chart_scene(self.pattern, None)

    @cached_property
    def order(self) -> OrderOfWork:
        """The order of work."""
        return OrderOfWork(self.pattern)

    @cached_property
    def words(self) -> dict[str, str]:
        """What pictures tell of themselves."""
        return png_words(self.pattern)

    @cached_property
    def pattern_text(self) -> str:
        """The pattern file."""
        return pattern_json(self.pattern)


def _edit_page(job: Job) -> str:
    return edit_html(job.pattern, job.order.names, job.scene.piece, job.pattern_text)


def _booklet(job: Job) -> bytes:
    return write_pdf(job.order, job.report, job.booklet, kit=job.kit, buying=job.buying)


def _labels(job: Job) -> bytes | None:
    return None if job.kit is None else write_labels(job.kit, job.paper)


def _kit(job: Job) -> str | None:
    return None if job.kit is None else kit_csv(job.kit)


def _shopping_list(job: Job) -> str:
    return beads_csv(job.pattern, buying=job.buying)


class Output(NamedTuple):
    """A file: its name, the stage of the work it belongs to, and what makes it; None where there is none."""

    name: str
    stage: str
    make: Callable[[Job], bytes | str | None]


# What needs most memory first: the pixels of the chart, then those of the rest. The words leave memory in
# pieces too small to be used again for pixels.
OUTPUTS = (
    Output("chart.png", "Drawing the chart", lambda job: write_png(job.scene, job.words)),
    Output(
        "preview.png",
        "Drawing the chart",
        lambda job: write_preview(
            job.scene.piece, backing=parse_hex(job.pattern.outlook.backing), words=job.words
        ),
    ),
    Output("steps.png", "Drawing the chart", lambda job: write_steps_png(step_sheet(job.order), job.words)),
    Output(
        "chart.svg", "Drawing the chart", lambda job: write_svg(job.large_scene, description(job.pattern))
    ),
    Output("chart.pdf", "Writing the booklet", _booklet),
    Output("labels.pdf", "Writing the booklet", _labels),
    Output("follow.html", "Writing the pages", lambda job: follow_html(job.order)),
    Output("edit.html", "Writing the pages", _edit_page),
    Output("beads.csv", "Writing lists", _shopping_list),
    Output("kit.csv", "Writing lists", _kit),
    Output(
        "stitches.txt", "Writing lists", lambda job: stitch_text(job.order, job.report, job.booklet.words)
    ),
    Output("stitches.csv", "Writing lists", lambda job: stitch_csv(job.order)),
    Output("pattern.json", "Writing lists", lambda job: job.pattern_text),
)
# What a small piece takes, and each bead, in bytes: measured at 49 to 5,896 beads, 750 to 1,180 each besides.
_BYTES, _BYTES_A_BEAD = 1_900_000, 1_000
PIECE_FILES = tuple(output.name for output in OUTPUTS)
"""Names of all outputs of a piece."""


def piece_files(*, mirror_pair: bool) -> tuple[str, ...]:
    """Return the files that a piece, or a piece and its mirror image, may have, by their paths."""
    return PIECE_FILES + tuple(f"{MIRRORED}/{name}" for name in PIECE_FILES if mirror_pair)


def bytes_about(*patterns: Pattern) -> int:
    """Return how many bytes the outputs of pieces take about."""
    pieces = sum(1 + pattern.mirror_pair for pattern in patterns)
    beads = sum((1 + pattern.mirror_pair) * pattern.weave.beads for pattern in patterns)
    return pieces * _BYTES + beads * _BYTES_A_BEAD


def write_all(job: Job, folder: Path, progress: Progress = lambda stage: None) -> None:
    """Write every output of a pattern into a folder, one after the other.

    Parameters
    ----------
    job : Job
        What they are made of.
    folder : Path
        An existing folder, best a temporary one (see `convert.writing.output_folder`).
    progress : callable, optional
        Is told the name of each stage as it begins.
    """
    _write(job, folder, OUTPUTS, progress)
    if job.pattern.mirror_pair:
        image = mirror_image(job.pattern)
        report = verify(image.weave, image.thread, image.supplies)
        own = folder / MIRRORED
        own.mkdir()
        # The list of beads is for both.
        outputs = [output for output in OUTPUTS if output.make is not _shopping_list]
        _write(replace(job, pattern=image, report=report), own, outputs, progress)


def _write(job: Job, folder: Path, outputs: Sequence[Output], progress: Progress) -> None:
    stage = ""
    for output in outputs:
        if output.stage != stage:
            stage = output.stage
            progress(stage)
        content = output.make(job)
        if content is None:
            continue
        (folder / output.name).write_bytes(content if isinstance(content, bytes) else content.encode())
