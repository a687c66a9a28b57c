"""The booklet: seconds, megabytes and pages. Goal for 10,000 beads: 3 s and 3 MB.

Run by hand: ``python tests/bench/bench_pdf.py``.
"""

import time

import pypdfium2 as pdfium
from bench_panel import palette
from skimage import data

from convert.drawing.pdf import write_pdf
from convert.instructions.order import OrderOfWork
from convert.instructions.wording import paragraphs
from convert.picture.model import Picture
from convert.weave.beads import bead_size
from tests.panels import panel, panel_options


def main() -> None:
    size = bead_size("11/0")
    picture = Picture("photograph", data.astronaut())
    for across, colours in ((20, 60), (57, 60), (57, 300), (115, 60)):
        result = panel(picture, palette(colours), panel_options(size, size, across=across))
        pattern = result.pattern
        booklets: list[bytes] = []
        took, words = [], []
        for _ in range(3):
            start = time.perf_counter()
            booklets.append(write_pdf(OrderOfWork(pattern), result.thread))
            took.append(time.perf_counter() - start)
            start = time.perf_counter()
            list(paragraphs(OrderOfWork(pattern)))
            words.append(time.perf_counter() - start)
        pages = len(pdfium.PdfDocument(booklets[0]))
        print(
            f"{pattern.weave.beads:,} beads, {len(pattern.used)} colours: {min(took):.2f} s"
            f" ({min(words):.2f} s of it for the words), {len(booklets[0]) / 1e6:.2f} MB, {pages} pages"
        )


if __name__ == "__main__":
    main()
