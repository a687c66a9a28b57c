"""The files of a set besides those of its pieces: which there are and what writes each."""

from pathlib import Path

from convert.drawing.label_sheet import write_labels
from convert.drawing.set_pdf import write_set_pdf
from convert.instructions.order import OrderOfWork
from convert.piece.collection import Collection
from convert.piece.edition import STUDENT
from convert.settings.output import BookletSettings
from convert.units import PAPERS
from convert.writing.kit_csv import kit_csv
from convert.writing.set_csv import set_csv

FILES = ("set.pdf", "beads.csv", "kit.csv", "labels.pdf")


def write_set_files(collection: Collection, booklet: BookletSettings, folder: Path) -> None:
    """Write the booklet of a set, its shopping list, and kits with labels if there are to be such.

    Parameters
    ----------
    collection : Collection
        The set.
    booklet : BookletSettings
        For whom the outputs are, and how they are printed.
    folder : Path
        An existing folder.
    """
    student = booklet.edition == STUDENT
    shown = collection.for_student() if student else collection
    kit = shown.kit(booklet.labour, booklet.margin)
    pdf, beads, kits, labels = FILES
    orders = [OrderOfWork(pattern) for pattern in shown.patterns]
    (folder / pdf).write_bytes(write_set_pdf(shown, orders, booklet, kit))
    (folder / beads).write_bytes(set_csv(shown, buying=not student).encode())
    if kit is not None:
        (folder / kits).write_bytes(kit_csv(kit).encode())
        (folder / labels).write_bytes(write_labels(kit, PAPERS[booklet.paper]))
