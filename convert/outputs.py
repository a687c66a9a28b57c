"""The files of a pattern: which there are and what writes each."""

from collections.abc import Callable
from pathlib import Path

from convert.pattern import Pattern
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
        An existing folder, best a temporary one (see `convert.files.output_folder`).
    progress : callable, optional
        Is told the name of each stage as it begins.
    paper, ink : Paper, str
        How the booklet is printed, see `convert.chart.pdf.write_pdf`.
    backing : str
        Colour of what the piece lies on in the preview, ``#RRGGBB``.
    """
    from convert.chart.html import follow_html
    from convert.chart.pdf import write_pdf
    from convert.chart.png import write_png
    from convert.chart.preview import write_preview
    from convert.chart.scene import chart_scene
    from convert.chart.step_pictures import step_sheet, write_steps_png
    from convert.chart.svg import write_svg
    from convert.colour.srgb import parse_hex
    from convert.files.beads_csv import beads_csv
    from convert.files.pattern_file import pattern_json
    from convert.files.stitch_csv import stitch_csv
    from convert.files.stitch_text import stitch_text

    progress("Writing lists")
    texts = {
        "beads.csv": beads_csv(pattern),
        "stitches.txt": stitch_text(pattern, report),
        "stitches.csv": stitch_csv(pattern, report),
        "pattern.json": pattern_json(pattern),
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
    progress("Writing the page to follow")
    (folder / "follow.html").write_text(follow_html(pattern), encoding="utf-8", newline="\n")
    progress("Writing the booklet")
    (folder / "chart.pdf").write_bytes(write_pdf(pattern, report, paper, ink))
    progress("Drawing the chart")
    scene = chart_scene(pattern)
    (folder / "chart.png").write_bytes(write_png(scene))
    # A drawing can be enlarged without end, so its page may be large enough for symbols whatever the piece.
    (folder / "chart.svg").write_bytes(write_svg(scene if scene.symbols else chart_scene(pattern, None)))
    (folder / "preview.png").write_bytes(write_preview(scene.piece, backing=parse_hex(backing)))
    (folder / "steps.png").write_bytes(write_steps_png(step_sheet(pattern)))
