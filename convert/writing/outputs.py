"""The files of a pattern: which there are and what writes each."""

from collections.abc import Callable
from pathlib import Path

from convert.piece.pattern import Pattern
from convert.thread.verifier import ThreadReport
from convert.units import A4, Paper

Progress = Callable[[str], None]


def write_outputs(
    pattern: Pattern,
    report: ThreadReport,
    folder: Path,
    progress: Progress = lambda stage: None,
    *,
    paper: Paper = A4,
    ink: str = "colour",
    backing: str = "#FFFFFF",
) -> None:
    """Write every output of a pattern into a folder.

    Parameters
    ----------
    pattern : Pattern
        The piece.
    report : ThreadReport
        The proof of its thread path.
    folder : Path
        An existing folder, best a temporary one (see `convert.writing.output_folder`).
    progress : callable, optional
        Is told the name of each stage as it begins.
    paper, ink : Paper, str
        How the booklet is printed, see `convert.drawing.pdf.write_pdf`.
    backing : str
        Colour of what the piece lies on in the preview, ``#RRGGBB``.
    """
    from convert.colour.srgb import parse_hex
    from convert.drawing.follow_page import follow_html
    from convert.drawing.pdf import write_pdf
    from convert.drawing.png import write_png
    from convert.drawing.preview import write_preview
    from convert.drawing.scene import chart_scene
    from convert.drawing.step_pictures import step_sheet, write_steps_png
    from convert.drawing.svg import write_svg
    from convert.instructions.order import OrderOfWork
    from convert.instructions.telling import stitch_text
    from convert.piece.pattern_file import pattern_json
    from convert.writing.beads_csv import beads_csv
    from convert.writing.stitch_csv import stitch_csv

    def write(name: str, content: bytes | str) -> None:
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())

    # One after the other, and what needs most memory first: the pixels of the chart, then those of the rest.
    # The words leave memory in pieces too small to be used again for pixels.
    progress("Drawing the chart")
    scene = chart_scene(pattern)
    write("chart.png", write_png(scene))
    write("preview.png", write_preview(scene.piece, backing=parse_hex(backing)))
    order = OrderOfWork(pattern)
    write("steps.png", write_steps_png(step_sheet(order)))
    # A drawing can be enlarged without end, so its page may be large enough for symbols whatever the piece.
    write("chart.svg", write_svg(scene if scene.symbols else chart_scene(pattern, None)))
    progress("Writing the booklet")
    write("chart.pdf", write_pdf(order, report, paper, ink))
    progress("Writing the page to follow")
    write("follow.html", follow_html(order))
    progress("Writing lists")
    write("beads.csv", beads_csv(pattern))
    write("stitches.txt", stitch_text(order, report))
    write("stitches.csv", stitch_csv(order))
    write("pattern.json", pattern_json(pattern))
