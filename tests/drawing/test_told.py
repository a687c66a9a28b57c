"""What files tell of themselves, as independent readers find it: Pillow, pypdfium2 and ElementTree."""

import io
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from convert.drawing.pdf import write_pdf
from convert.drawing.png_file import encode_png
from convert.drawing.scene import chart_scene
from convert.drawing.svg import write_svg
from convert.drawing.told import description, png_words, xmp
from convert.instructions.order import OrderOfWork
from convert.piece.about import Imprint
from convert.thread.verifier import verify
from tests.instructions.pieces import piece

IMPRINT = Imprint('Alder & <"Reed">', "CC BY-NC 4.0", 2026)
# Dublin Core Metadata Element Set 1.1, and ISO 16684-1 for the others.
SPACES = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
}


@pytest.fixture(scope="module")
def pattern():
    return replace(piece(np.ones((2, 3), bool)), title="Grebe 鸊鷉", imprint=IMPRINT)


def opened(words):
    return Image.open(io.BytesIO(encode_png(np.zeros((2, 2, 3), np.uint8), 300, words)))


def test_a_png_tells_by_the_keywords_of_the_standard(pattern):
    image = opened(png_words(pattern))
    image.load()
    assert image.text == {
        "Title": "Grebe 鸊鷉",
        "Author": 'Alder & <"Reed">',
        "Copyright": '© 2026 Alder & <"Reed">. Licence: CC BY-NC 4.0',
        "Software": "combweave",
    }


def test_a_png_tells_of_nobody_where_nobody_is_named(pattern):
    assert png_words(replace(pattern, imprint=Imprint())) == {"Title": "Grebe 鸊鷉", "Software": "combweave"}
    assert opened(None).info.keys() == {"srgb", "dpi"}


def items(tree, name):
    return [item.text for item in tree.findall(f".//{name}/*/rdf:li", SPACES)]


def test_a_pdf_tells_by_its_info_and_by_xmp(pattern):
    data = write_pdf(OrderOfWork(pattern), verify(pattern.weave, pattern.thread, pattern.supplies))
    told = pypdfium2.PdfDocument(data).get_metadata_dict()
    assert (told["Title"], told["Author"], told["Creator"]) == (pattern.title, IMPRINT.maker, "combweave")
    packet = data[data.index(b"<?xpacket begin") : data.index(b'<?xpacket end="r"?>')]
    assert packet in xmp(pattern)
    tree = ElementTree.fromstring(packet.partition(b"?>")[2].decode())
    assert items(tree, "dc:title") == [pattern.title]
    assert items(tree, "dc:creator") == [IMPRINT.maker]
    assert items(tree, "dc:rights") == [IMPRINT.rights]
    assert items(tree, "dc:date") == ["2026"]
    assert items(tree, "xmpRights:UsageTerms") == [IMPRINT.licence]
    # Twice the same bytes: nothing is told of the clock.
    assert data == write_pdf(OrderOfWork(pattern), verify(pattern.weave, pattern.thread, pattern.supplies))


def test_an_svg_tells_in_dublin_core(pattern):
    tree = ElementTree.fromstring(write_svg(chart_scene(pattern), description(pattern)))
    told = tree.find("{http://www.w3.org/2000/svg}metadata")
    assert items(told, "dc:creator") == [IMPRINT.maker]
    assert items(told, "dc:rights") == [IMPRINT.rights]


def test_the_chart_and_every_page_of_the_booklet_show_it(pattern):
    labels = [label.text for label in chart_scene(pattern).labels]
    assert labels[3] == IMPRINT.line
    without = [label.text for label in chart_scene(replace(pattern, imprint=Imprint())).labels]
    assert labels[:3] + labels[4:] == without
    data = write_pdf(OrderOfWork(pattern), verify(pattern.weave, pattern.thread, pattern.supplies))
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]
    assert all(IMPRINT.line in page for page in pages)
    assert pages[0].count(IMPRINT.line) == 2
