"""The booklet, read and rendered by PDFium, which shares no code with the writer."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pypdfium2 as pdfium
import pytest
from pypdfium2 import raw

from convert.colour.srgb import parse_hex
from convert.drawing.labels import text_width_mm
from convert.drawing.pdf import write_pdf
from convert.drawing.piece import draw_piece
from convert.drawing.scene import scale_for_symbols
from convert.errors import SizeError
from convert.instructions.order import OrderOfWork
from convert.instructions.telling import stitch_lines
from convert.palette.model import BeadColour, Palette
from convert.piece.pattern import Pattern
from convert.settings.output import BookletSettings
from convert.thread.planner import plan_thread
from convert.thread.steps import Supplies
from convert.thread.verifier import verify
from convert.units import A4, LETTER
from convert.weave.beads import bead_size
from convert.weave.shapes import Flower, Sheet
from convert.weave.spacing import model_spacing

HEXES = ("#F4F1E8", "#3E6B2F", "#1F5F8B", "#111111", "#D98E2B", "#B7A0C8")
HOSTILE = "<b>&日本 🐦 \u202e)( \\ %s\x00\x1b[31m \ud800 ]]> ../x"


def lake(codes=("WH", "RG", "LB", "BK", "OR", "LI"), name="water of the lake"):
    return Palette(
        "lake",
        tuple(
            BeadColour(code, name, None, hex_code, (50.0, 0.0, 0.0), pack_g=10.0, price=2.5)
            for code, hex_code in zip(codes, HEXES, strict=True)
        ),
    )


def piece(shape, sizes=("11/0", "11/0"), palette=None, title="Grebe on the lake", copies=1):
    sizes = tuple(bead_size(size) for size in sizes)
    weave = shape.build(sizes, model_spacing(*sizes))
    plan = plan_thread(weave, supplies=Supplies())
    palette = palette or lake()
    bead_colour = np.random.default_rng(4).integers(0, len(palette.entries), weave.beads).astype(np.int32)
    pattern = Pattern(title, shape, weave, palette, bead_colour, plan, Supplies(), copies)
    return pattern, verify(weave, plan, Supplies())


def disc(across):
    row, place = np.indices((across, across))
    return Sheet((row - across / 2) ** 2 * 0.75 + (place - across / 2 + row % 2 / 2) ** 2 < across**2 / 4.2)


def written(pattern, report, paper=A4, ink="colour"):
    return write_pdf(OrderOfWork(pattern), report, BookletSettings(paper=paper.name, ink=ink))


SMALL = piece(disc(14), ("11/0", "8/0"))
LARGE = piece(Sheet(np.ones((44, 52), bool)))


@cache
def booklet(large=False, paper=A4, ink="colour"):
    return pdfium.PdfDocument(written(*(LARGE if large else SMALL), paper, ink))


@cache
def texts(document):
    return [page.get_textpage().get_text_range() for page in document]


def pages_named(document, name):
    return [number for number, text in enumerate(texts(document)) if text.startswith(name)]


def pixels(document, number, dots_per_inch=300, lowest_mm=None):
    """A page, or the lowest part of it, as RGB."""
    page = document[number]
    above = 0.0 if lowest_mm is None else page.get_height() - lowest_mm / 25.4 * 72
    image = page.render(scale=dots_per_inch / 72, rev_byteorder=True, crop=(0, 0, 0, above))
    return image.to_numpy()[..., :3]


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
@pytest.mark.parametrize("large", [False, True], ids=["small", "large"])
def test_every_page_has_exactly_the_size_of_the_paper(paper, large):
    document = booklet(large, paper)
    for number in range(len(document)):
        size_mm = np.array(document.get_page_size(number)) / 72 * 25.4
        assert np.allclose(size_mm, (paper.width_mm, paper.height_mm), atol=0.01)


def test_nothing_but_the_own_typeface_and_that_embedded():
    data = written(*SMALL)
    assert set(re.findall(rb"/BaseFont /([\w+-]+)", data)) == {b"AAAAAA+DejaVuSans"}
    document = booklet()
    seen = 0
    for page in document:
        for part in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=4):
            seen += 1
            assert raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(part)) == 1
    assert seen > 200


def bar_length(image, at_mm, along_x, dots_per_inch):
    """Length between the middles of the end ticks of the bar that lies across a line of pixels."""
    dots = dots_per_inch / 25.4
    strip = image if along_x else image.swapaxes(0, 1)
    # The ticks reach 1.1 mm to both sides, past words beside the bar's line.
    dark = (strip[round((at_mm - 0.8) * dots) : round((at_mm - 0.5) * dots)] < 120).all(axis=(0, 2))
    runs = np.flatnonzero(np.diff(np.concatenate([[0], dark, [0]])))
    starts, ends = runs[::2], runs[1::2]
    middles = [(a + b) / 2 for a, b in zip(starts, ends, strict=True) if 0.25 < (b - a) / dots < 0.45]
    return (middles[1] - middles[0]) / dots, middles[0] / dots


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_bar_on_every_chart_page_measures_100_mm(paper):
    document = booklet(True, paper)
    found = [*pages_named(document, "Working chart"), *pages_named(document, "True size")]
    assert len(found) >= 4
    for number in found:
        image = pixels(document, number, 400, 30.0)
        length, left = bar_length(image, image.shape[0] / 400 * 25.4 - 17.5, True, 400)
        assert abs(length - 100) < 0.2
        assert abs(left - 12) < 0.2
        assert "print at 100%" in texts(document)[number]


def test_upright_bar_measures_100_mm():
    document = booklet()
    (number,) = pages_named(document, "True size")
    length, _ = bar_length(pixels(document, number, 400), 7.5, False, 400)
    assert abs(length - 100) < 0.2


@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_true_size_page_shows_each_bead_in_its_colour_at_true_size(paper):
    document = booklet(False, paper)
    (number,) = pages_named(document, "True size")
    dots = 300 / 25.4
    image = pixels(document, number).astype(int)
    inside = image[round(24 * dots) : round((paper.height_mm - 20) * dots), round(9 * dots) :]
    inked = (inside < 250).any(axis=2)
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    drawn = draw_piece(SMALL[0])
    left, top, right, bottom = drawn.extent_mm
    assert abs((columns[-1] + 1 - columns[0]) / dots - (right - left)) < 0.2
    assert abs((rows[-1] + 1 - rows[0]) / dots - (bottom - top)) < 0.2
    corner = np.array([columns[0], rows[0]])
    at = np.rint((drawn.bead_xy - (left, top)) * dots).astype(int) + corner
    wanted = np.array([parse_hex(HEXES[colour]) for colour in SMALL[0].bead_colour.tolist()])
    assert np.abs(inside[at[:, 1], at[:, 0]] - wanted).max() <= 2


def test_working_chart_shows_every_bead_with_room_for_its_symbol():
    for large in (False, True):
        document = booklet(large)
        drawn = draw_piece((LARGE if large else SMALL)[0])
        told = [texts(document)[number] for number in pages_named(document, "Working chart")]
        assert (len(told) > 1) == large
        for number, text in enumerate(told, start=1):
            scale = float(re.search(r"([\d.]+) times true size", text)[1])
            assert scale >= scale_for_symbols(drawn, 5.0) * 0.95
            words = text.split()
            if large:
                assert text.startswith(f"Working chart, part {number} of {len(told)}")
                first, last = map(int, re.search(r"rows (\d+) to (\d+)", text).groups())
                assert {str(row) for row in range(first, last + 1)} <= set(words)
                left, right = map(int, re.search(r"loops (\d+) to (\d+)", text).groups())
                assert {str(loop) for loop in range(left, right + 1) if loop % 5 == 0} <= set(words)
            assert {"WH", "RG", "LB", "BK", "OR", "LI"} <= set(words)


def test_parts_are_explained_where_there_are_any_and_pictures_fill_the_page():
    for large in (False, True):
        document = booklet(large)
        (guide,) = pages_named(document, "How to read and weave")
        words = " ".join(texts(document)[guide].split())
        assert ("neighbouring parts overlap" in words) is large
    # Below the words, or on the next page, the pictures of the first stitches.
    guide = pages_named(booklet(), "How to read and weave")[0]
    assert texts(booklet())[guide + 1].count("Pick up") >= 6


def test_parts_name_the_pages_on_which_they_go_on():
    document = booklet(True)
    numbers = pages_named(document, "Working chart")
    first = texts(document)[numbers[0]]
    assert f"page {numbers[0] + 2}" in first
    assert "start" in first
    # The map shows the page of every part.
    for number in numbers:
        assert {str(other + 1) for other in numbers} <= set(texts(document)[number].split())


@pytest.mark.parametrize("large", [False, True], ids=["small", "large"])
def test_whole_stitch_order_can_be_copied_out(large):
    document = booklet(large)
    (first,) = pages_named(document, "Stitch order")
    told = "".join(
        re.sub(r"\s*Grebe on the lake\s*\d+ of \d+\s*$", "", text) for text in texts(document)[first:]
    )
    lines = [line for line in stitch_lines(OrderOfWork((LARGE if large else SMALL)[0])) if line.strip("-")]
    wanted = "Stitch order" + "".join(re.sub(r"^( *\d+)\. |^\[ \] ", r"\1 ", line) for line in lines)
    # PDFium may see the last words of one column and the first of the next as hyphenated: no hyphens there.
    assert "".join(told.split()) == "".join(wanted.split())


def test_cover_tells_materials_and_cautions():
    pattern, report = piece(disc(9), copies=2)
    document = pdfium.PdfDocument(written(pattern, report))
    cover = " ".join(texts(document)[0].split())
    for words in (
        "Grebe on the lake",
        "Finished size",
        "small children",
        "Wear glasses",
        "good light",
        "rest",
    ):
        assert words in cover
    for words in ("Thread 0.2 mm", "scissors", "make 2", "WH", "water of the lake", "packs", "cost"):
        assert words in cover
    assert f"{2 * pattern.weave.beads:,}" in cover
    assert f"{report.length_mm * 2 / 1000:.1f} m" in cover


def test_few_beads_weigh_something_and_what_is_on_hand_is_not_bought():
    entries = [
        BeadColour("FEW", "few", None, "#111111", (5.0, 0.0, 0.0), pack_g=10.0, price=2.5),
        BeadColour("HAD", "had", None, "#EEEEEE", (95.0, 0.0, 0.0), pack_g=10.0, price=2.5, on_hand=5000),
    ]
    pattern, report = piece(disc(9), palette=Palette("lake", tuple(entries)))
    colour = np.ones_like(pattern.bead_colour)
    colour[:2] = 0
    cover = texts(pdfium.PdfDocument(written(replace(pattern, bead_colour=colour), report)))[0]
    few, had = (
        next(line for line in cover.splitlines() if line.startswith(code)).split() for code in ("FEW", "HAD")
    )
    # Code, name, size, beads, grams, on hand (not told of the first), to buy, packs, their cost, cost used.
    assert few[3:] == ["2", "0.03", "3", "1", "2.50", "0.00"]
    assert had[3] == str(len(colour) - 2)
    used = f"{(len(colour) - 2) / 108 / 10 * 2.5:.2f}"
    assert had[5:] == ["5,000", "–", "–", "–", used]
    assert "costs in" not in cover
    assert "Grams and what is to buy have a tenth to spare counted in." in cover


def test_costs_are_told_with_their_currency_and_what_they_are_of():
    pattern, report = SMALL
    document = pdfium.PdfDocument(write_pdf(OrderOfWork(replace(pattern, currency="€", spare=0.0)), report))
    cover = "".join(texts(document)[:2])
    assert "Beads, costs in €" in cover
    assert "Cost of packs is what is to be paid" in cover
    assert "have none to spare counted in" in cover
    free = replace(pattern, palette=Palette("lake", tuple(replace(e, price=None) for e in lake().entries)))
    assert "ost of" not in "".join(texts(pdfium.PdfDocument(write_pdf(OrderOfWork(free), report)))[:2])


def test_pages_are_numbered_and_listed():
    document = booklet(True)
    for number, text in enumerate(texts(document), start=1):
        assert f"{number} of {len(document)}" in text
    listed = [entry.get_title() for entry in document.get_toc()]
    assert listed[0] == "Cover and materials"
    # Below the stitch order a line for each row or rows that it begins.
    assert all(title.startswith("Row") for title in listed[listed.index("Stitch order") + 1 :])
    assert listed[-1] != "Stitch order"
    assert "How to read and weave" in listed
    assert sum(title.startswith("Working chart") for title in listed) == len(
        pages_named(document, "Working chart")
    )


def test_file_says_its_title_its_language_and_that_it_is_not_to_be_scaled():
    data = written(*SMALL)
    assert re.search(rb"/PrintScaling\s*/None", data)
    assert re.search(rb"/Lang\s*\(en\)", data)
    assert booklet().get_metadata_value("Title") == "Grebe on the lake"
    assert booklet().get_metadata_value("Author") == "combweave"


def test_same_pattern_same_bytes():
    assert written(*SMALL) == written(*SMALL)
    assert written(*SMALL, LETTER, "spare") == written(*SMALL, LETTER, "spare")


def test_spare_ink_leaves_the_beads_white():
    colour, spare = (pixels(booklet(False, A4, ink), number) for ink, number in inks())
    chroma = np.ptp(spare.astype(int), axis=2) > 12
    # Only the ring of the first bead and the words at its row have a colour, that of the thread's way.
    assert 0 < chroma.mean() < 0.003
    assert (colour.astype(int).sum() + 1e6) < spare.astype(int).sum()


def test_spare_ink_leaves_the_beads_of_the_step_pictures_white():
    colour, spare = (
        pixels(booklet(False, A4, ink), pages_named(booklet(False, A4, ink), "How to read")[0] + 1)
        for ink in ("colour", "spare")
    )
    assert (colour == parse_hex(HEXES[2])).all(axis=2).sum() > 2000
    red, green, blue = np.moveaxis(spare.astype(int), 2, 0)
    # The thread alone has a colour, which lies towards blue, also where its edge fades to white.
    chroma = np.ptp(spare.astype(int), axis=2) > 12
    assert chroma.any()
    assert ((blue >= green) & (green >= red))[chroma].all()
    for rgb in map(parse_hex, HEXES[1:3]):
        assert (spare == rgb).all(axis=2).sum() == 0


def inks():
    return [(ink, pages_named(booklet(False, A4, ink), "Working chart")[0]) for ink in ("colour", "spare")]


def test_no_such_ink():
    with pytest.raises(SizeError, match="colour or spare"):
        written(*SMALL, A4, "gold")


def test_hostile_names_are_shown_as_text():
    codes = ("<b>&日本 🐦)(", "W" * 200, "../x", "=1+1", "(", "\\")
    pattern, report = piece(disc(8), palette=lake(codes, "]]> %s <i> " * 18), title=HOSTILE)
    document = pdfium.PdfDocument(written(pattern, report))
    cover = texts(document)[0]
    assert "<b>&?? ? )( \\ %s [31m ]]> ../x" in cover
    # What only lists of files show needs no typeface.
    assert document.get_metadata_value("Title") == "<b>&日本 🐦 )( \\ %s [31m ]]> ../x"
    assert {"<b>&??", "../x", "=1+1"} <= set(cover.replace(" ?)(", "").split())
    for page in document:
        for part in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=1):
            left, bottom, right, top = part.get_bounds()
            assert left >= 0
            assert right <= A4.width_mm / 25.4 * 72
            assert bottom >= 0
            assert top <= A4.height_mm / 25.4 * 72


@pytest.mark.parametrize(
    "shape", [Flower(3), Flower(2, 4), Sheet(np.ones((1, 1), bool)), Sheet(np.ones((9, 7), bool), "along")]
)
def test_every_kind_of_piece_becomes_a_booklet(shape):
    pattern, report = piece(shape)
    document = pdfium.PdfDocument(written(pattern, report))
    assert len(document) >= 5
    told = texts(document)[pages_named(document, "Working chart")[0]].split()
    assert {str(number) for number in draw_piece(pattern).loop_number.tolist()} <= set(told)


def test_words_are_measured_as_they_are_drawn():
    # reportlab's widths come from the same font file by another reader.
    from reportlab.pdfbase.pdfmetrics import stringWidth

    written(*SMALL)
    for words in ("Working chart, part 1 of 4", "Wÿĺ Ž — 3 x LB"):
        assert np.isclose(
            stringWidth(words, "DejaVu Sans", 100) / 72 * 25.4, text_width_mm(words, 100), rtol=5e-3
        )


def test_a_list_of_beads_goes_on_over_as_many_pages_as_it_takes():
    """170 colours, three pages of them: each stands in the list once, below the list's head."""
    entries = tuple(
        BeadColour(f"Q{number:03}", "", None, f"#{number:02X}{255 - number:02X}60", (50.0, 0.0, 0.0))
        for number in range(170)
    )
    pattern, report = piece(disc(20), palette=Palette("many", entries))
    document = pdfium.PdfDocument(write_pdf(OrderOfWork(pattern), report))
    pages = texts(document)
    cover = pages[: next(number for number, text in enumerate(pages) if text.startswith("How to read"))]
    listed = [re.findall(r"^Q\d{3}", text, re.MULTILINE) for text in cover]
    assert sorted(code for codes in listed for code in codes) == [
        entries[entry].code for entry in sorted(pattern.used.tolist())
    ]
    assert len(cover) >= 3
    assert all("to buy" in text for text, codes in zip(cover, listed, strict=True) if codes)
