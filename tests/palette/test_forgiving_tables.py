"""Tables as people really keep them: what is read of each, or why it is refused.

The corpus is our own work. Headings and ways to write numbers are common practice, no source.
"""

import numpy as np
import pytest

from convert.colour.lab import srgb_to_lab
from convert.colour.srgb import parse_hex
from convert.errors import PaletteError
from convert.palette.palette_file import parse_palette


def read(text):
    return parse_palette(text.encode(), "shelf.csv")


def facts(text):
    """Return of each entry what the table says of it: code, name, size, colour and the numbers given."""
    palette, _ = read(text)
    found = []
    for entry in palette.entries:
        np.testing.assert_allclose(entry.lab, srgb_to_lab(np.array(parse_hex(entry.hex), np.uint8)))
        numbers = {
            name: value
            for name in ("on_hand", "on_hand_g", "per_gram", "pack_g", "price")
            if (value := getattr(entry, name)) is not None
        }
        found.append((entry.code, entry.name, entry.size, entry.hex, numbers))
    return found


GREY, BLUE, WHITE = "#8899AA", "#1F6FA5", "#F7F6F4"


def one(**numbers):
    return [("A", "", None, GREY, numbers)]


def two(**numbers):
    return [("B", "", None, BLUE, numbers)]


READ = {
    # The mess of the issue: a title, a blank line, a # missing, a decimal comma, thousands marks, totals.
    "the mess": (
        "My beads at the lake;;;\n\nColour;Qty;grams;Price\n1F6FA5;1 250;;2,75 €\n#8899AA;;12,5;3,- €\n"
        "f7f6f4;ca. 200;;\n;;;\nTotal;1450;12,5;\n",
        [
            ("1", "", None, BLUE, {"on_hand": 1250, "price": 2.75}),
            ("2", "", None, GREY, {"on_hand_g": 12.5, "price": 3}),
            ("3", "", None, WHITE, {"on_hand": 200}),
        ],
    ),
    # Headings.
    "colour and name": ("Name,Colour\nheron,#8899AA\n", [("heron", "", None, GREY, {})]),
    "color": ("Name,COLOR\nheron,8899aa\n", [("heron", "", None, GREY, {})]),
    "html": ("No.,Html\nA1,#8899AA\n", [("A1", "", None, GREY, {})]),
    "rgb": ('Item,RGB\nA1,"136,153,170"\n', [("A1", "", None, GREY, {})]),
    "hash heading": ("#,Hex\n7,#8899AA\n", [("7", "", None, GREY, {})]),
    "count": ("Code,Hex,Count\nA,#8899AA,12\n", one(on_hand=12)),
    "have": ("Code,Hex,Have\nA,#8899AA,12\n", one(on_hand=12)),
    "stock": ("Code,Hex,Stock\nA,#8899AA,12\n", one(on_hand=12)),
    "on-hand": ("Code,Hex,On-hand\nA,#8899AA,12\n", one(on_hand=12)),
    "no. of beads": ("Code,Hex,No. of beads\nA,#8899AA,12\n", one(on_hand=12)),
    "stock (g)": ("Code,Hex,Stock (g)\nA,#8899AA,12.5\n", one(on_hand_g=12.5)),
    "stock [grams]": ("Code,Hex,Stock [grams]\nA,#8899AA,3\n", one(on_hand_g=3)),
    "qty, g": ('Code,Hex,"Qty, g"\nA,#8899AA,3\n', one(on_hand_g=3)),
    "weight": ("Code,Hex,Weight\nA,#8899AA,3.5\n", one(on_hand_g=3.5)),
    "weight (kg)": ("Code,Hex,Weight (kg)\nA,#8899AA,0.25\n", one(on_hand_g=250)),
    "g": ("Code,Hex,g\nA,#8899AA,3.5\n", one(on_hand_g=3.5)),
    "price in euro": ("Code,Hex,Price (€)\nA,#8899AA,2.5\n", one(price=2.5)),
    "cost each": ("Code,Hex,Cost each\nA,#8899AA,2.5\n", one(price=2.5)),
    "each": ("Code,Hex,Each\nA,#8899AA,$2.50\n", one(price=2.5)),
    "pack (g)": ("Code,Hex,Pack (g)\nA,#8899AA,10\n", one(pack_g=10)),
    "pack of so many grams": ("Code,Hex,Pack\nA,#8899AA,10 g\n", one(pack_g=10)),
    "beads per gram": ("Code,Hex,Beads per gram\nA,#8899AA,110\n", one(per_gram=110)),
    "colour is the name beside hex": (
        "Colour,Hex\nheron grey,#8899AA\n",
        [("heron grey", "", None, GREY, {})],
    ),
    "colour code is a colour": ("Name,Colour code\nheron,#8899AA\n", [("heron", "", None, GREY, {})]),
    "colour code is a code": ("Colour code,Hex\nHG1,#8899AA\n", [("HG1", "", None, GREY, {})]),
    "colour (hex)": ("Name,Colour (hex)\nheron,8899AA\n", [("heron", "", None, GREY, {})]),
    "channels": ("Name,R,G,B\nheron,136,153,170\n", [("heron", "", None, GREY, {})]),
    "channels in words": ("Name,Red,Green,Blue\nheron,136,153,170\n", [("heron", "", None, GREY, {})]),
    "codes are the colours": ("Code,Qty\n#8899AA,4\n", [("#8899AA", "", None, GREY, {"on_hand": 4})]),
    "only colours": ("hex\n8899AA\n#1F6FA5\n", [("1", "", None, GREY, {}), ("2", "", None, BLUE, {})]),
    # Headings over several rows.
    "title lines": (
        "Lakeside workshop\n5 June,,\n\nCode,Name,Hex\nA,heron,#8899AA\n",
        [("A", "heron", None, GREY, {})],
    ),
    "a merged title over a plain heading": (
        "Shelf,,\ncode,name,hex\nA,heron,#8899AA\n",
        [("A", "heron", None, GREY, {})],
    ),
    "groups of columns": (
        "Bead,,Stock,\nName,Hex,Beads,Grams\nheron,#8899AA,12,\nking,#1F6FA5,,3\n",
        [("heron", "", None, GREY, {"on_hand": 12}), ("king", "", None, BLUE, {"on_hand_g": 3})],
    ),
    "units in a row of their own": (
        "Name,Hex,Stock,Price\n,,(g),€\nheron,#8899AA,12,2.50\n",
        [("heron", "", None, GREY, {"on_hand_g": 12, "price": 2.5})],
    ),
    "headings wrapped over two rows": (
        "Name,Hex,Beads,Price\n,,on hand,per pack\nheron,#8899AA,12,2.50\n",
        [("heron", "", None, GREY, {"on_hand": 12, "price": 2.5})],
    ),
    "the heading again on each page": (
        "Name,Hex,Qty\nheron,#8899AA,1\nNAME,HEX,QTY\nking,#1F6FA5,2\n",
        [("heron", "", None, GREY, {"on_hand": 1}), ("king", "", None, BLUE, {"on_hand": 2})],
    ),
    "separator told in the first line": (
        "sep=;\nName;Hex;Qty\nheron;#8899AA;3\n",
        [("heron", "", None, GREY, {"on_hand": 3})],
    ),
    # Colours.
    "#RGB": ("Code,Hex\nA,#8AF\n", [("A", "", None, "#88AAFF", {})]),
    "rgb()": ('Code,Hex\nA,"rgb(136, 153, 170)"\n', one()),
    "rgb() with spaces": ("Code,Hex\nA,RGB(136 153 170)\n", one()),
    "bytes": ("Code;Hex\nA;136,153,170\n", one()),
    "hsl()": ('Code,Hex\nA,"hsl(210, 16.67%, 60%)"\n', [("A", "", None, "#8899AA", {})]),
    "CSS in a hex column": ("Code,Hex\nA,Steel Blue\n", [("A", "", None, "#4682B4", {})]),
    "colours by name": (
        "Colour,Qty\nteal,5\nDark Sea Green,6\n",
        [
            ("teal", "", None, "#008080", {"on_hand": 5}),
            ("Dark Sea Green", "", None, "#8FBC8F", {"on_hand": 6}),
        ],
    ),
    # Numbers.
    "thousands by a blank": ("Code,Hex,Qty\nA,#8899AA,12 500\n", one(on_hand=12500)),
    "thousands by an apostrophe": ("Code,Hex,Qty\nA,#8899AA,12'500\n", one(on_hand=12500)),
    "thousands by a narrow blank": ("Code,Hex,Qty\nA,#8899AA,12\u202f500\n", one(on_hand=12500)),
    "thousands by commas": ('Code,Hex,Qty\nA,#8899AA,"1,250,000"\n', one(on_hand=1250000)),
    "no half beads": ('Code,Hex,Qty\nA,#8899AA,"1,250"\n', one(on_hand=1250)),
    "settled by its column": (
        "Name;Hex;Weight\nA;#8899AA;1.250\nB;#1F6FA5;12,5\n",
        one(on_hand_g=1250) + two(on_hand_g=12.5),
    ),
    "settled by its column the other way": (
        "Name;Hex;Weight\nA;#8899AA;1.250\nB;#1F6FA5;12.5\n",
        one(on_hand_g=1.25) + two(on_hand_g=12.5),
    ),
    "settled by another column": (
        "Name;Hex;Weight;Cost\nA;#8899AA;1.250;2,50\n",
        one(on_hand_g=1250, price=2.5),
    ),
    "both marks": ("Name;Hex;Cost\nA;#8899AA;1.234,50\n", one(price=1234.5)),
    "currencies": (
        "Name,Hex,Price\nA,#8899AA,€2.50\nB,#1F6FA5,2.75 €\n",
        one(price=2.5) + two(price=2.75),
    ),
    "letters of a currency": ("Name,Hex,Price\nA,#8899AA,CHF 2.50\n", one(price=2.5)),
    "units in cells": (
        "Name,Hex,Qty\nA,#8899AA,12 g\nB,#1F6FA5,300 beads\nC,#F7F6F4,0\n",
        [
            ("A", "", None, GREY, {"on_hand_g": 12}),
            ("B", "", None, BLUE, {"on_hand": 300}),
            ("C", "", None, WHITE, {"on_hand": 0}),
        ],
    ),
    "about": ("Name,Hex,Qty\nA,#8899AA,ca. 200\nB,#1F6FA5,~50\n", one(on_hand=200) + two(on_hand=50)),
    "nothing said": ("Name,Hex,Qty\nA,#8899AA,-\nB,#1F6FA5,?\n", one() + two()),
    "none left": ("Name,Hex,Qty\nA,#8899AA,none\n", one(on_hand=0)),
    "beads and grams that agree": (
        "Name,Hex,Size,Qty,grams\nA,#8899AA,11/0,1200,11\n",
        [("A", "", "11/0", GREY, {"on_hand": 1200})],
    ),
    # Sizes.
    "sizes in one cell": (
        'Code,Hex,Size,Price\nA,#8899AA,"11/0, 8/0",2\n',
        [("A", "", "11/0", GREY, {"price": 2}), ("A", "", "8/0", GREY, {"price": 2})],
    ),
    "sizes with a word between": (
        "Code,Hex,Sizes\nA,#8899AA,11/0 and 8/0-Czech\n",
        [("A", "", "11/0", GREY, {}), ("A", "", "8/0-czech", GREY, {})],
    ),
    "size with a letter o": ("Code,Hex,Size\nA,#8899AA,11/o\n", [("A", "", "11/0", GREY, {})]),
    "size with a degree sign": ("Code,Hex,Size\nA,#8899AA,Size 11°\n", [("A", "", "11/0", GREY, {})]),
    # Rows.
    "totals": (
        "Name,Hex,Qty\nA,#8899AA,5\nB,#1F6FA5,6\nGrand total:,,11\n",
        one(on_hand=5) + two(on_hand=6),
    ),
    "totals without a word": (
        "Name,Hex,Qty\nA,#8899AA,5\nB,#1F6FA5,6\n,,11\n",
        one(on_hand=5) + two(on_hand=6),
    ),
    "beads called total": (
        "Name,Colour,Qty\nking,#1F6FA5,1\nTotal,#8899AA,2\n",
        [("king", "", None, BLUE, {"on_hand": 1}), ("Total", "", None, GREY, {"on_hand": 2})],
    ),
    "a bead of three bytes called total": (
        "Name,R,G,B\nking,31,111,165\nTotal,136,153,170\n",
        [("king", "", None, BLUE, {}), ("Total", "", None, GREY, {})],
    ),
    "a bead called total": ("code,hex\nTotal,#8899AA\n", [("Total", "", None, GREY, {})]),
    # Letters.
    "joiners": ("Code,Name,Hex\nA,می\u200cخواهم\u200d,#8899AA\n", [("A", "میخواهم", None, GREY, {})]),
    "soft hyphen": (
        "Code,Name,Hex\nA\u00ad1,Höcker\u00adschwan,#8899AA\n",
        [("A1", "Höckerschwan", None, GREY, {})],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", READ)
def test_reads(name):
    text, expected = READ[name]
    assert facts(text) == expected


REFUSED = {
    "two headings": (
        "Code,Colour,Qty\nNo.,Hex,Stock\nA,#112233,4\n",
        ["line 1 and line 2 can both be the heading", "'Code, Colour, Qty'", "'No., Hex, Stock'"],
    ),
    "two stocks": (
        "Name,Hex,Qty,Stock\nA,#112233,4,5\n",
        ["'Qty' and 'Stock' can both be the beads on hand"],
    ),
    "two colours": ("Name,RGB,Html\nA,#112233,#112233\n", ["can both be the colour"]),
    "thousands or decimals": (
        "Name,Hex,Weight\nA,#112233,1.234\n",
        ["line 2, column Weight", "may be 1234 or 1.234"],
    ),
    "thousands or decimals by a comma": (
        'Name,Hex,Cost\nA,#112233,"1,500"\n',
        ["column Cost", "may be 1500 or 1.5"],
    ),
    "a thousand beads or one": ("Name,Hex,Qty\nA,#112233,1.000\n", ["may be 1000 or 1"]),
    "marks that contradict each other": (
        'Name,Hex,Cost\nA,#112233,"1,500"\nB,#112234,"2,5"\nC,#112235,"1,000,000"\n',
        ["line 2, column Cost", "may be 1500 or 1.5"],
    ),
    "beads or grams": (
        "Name,Hex,Qty\nA,#112233,12 g\nB,#112234,250\n",
        ["line 3, column Qty", "may be beads or grams"],
    ),
    "beads and grams that differ": (
        "Name,Hex,Size,Qty,grams\nA,#112233,11/0,3,10\n",
        ["column grams", "3 beads and 10 g"],
    ),
    "half beads": ("Name,Hex,Qty\nA,#112233,2.5\n", ["not a whole number of beads", "'2.5 g'"]),
    "colours and names": (
        "Colour,Qty\n#112233,4\nheron,5\nking,6\n",
        ["cells such as '#112233' (1) are colours, and those such as 'heron' (2) may be names"],
    ),
    "colour or article": ("Colour code,Qty\n112233,4\n445566,5\n", ["may be a colour or the code of a bead"]),
    "stock of two sizes": (
        'Name,Hex,Size,Qty\nA,#112233,"11/0, 8/0",250\n',
        ["column Qty", "each of the sizes 11/0, 8/0 or of all"],
    ),
    "two currencies": ("Name,Hex,Price\nA,#112233,€2\nB,#112234,$3\n", ["prices are in € and $"]),
    "names only": (
        "Name,Qty\nheron,5\nking,6\n",
        ["no column for the colour", "no name in it is a colour of CSS"],
    ),
    "no heading": ("A1,#112233,250\nA2,#112244,3\n", ["no header here or below"]),
    "words of another language": ("Farbe,Menge\nrot,3\n", ["no header here or below"]),
    "web page": ("<html><table><tr><td>hex</td></tr></table></html>", ["is a web page or XML"]),
    "channel out of range": (
        "Name,R,G,B\nA,1,2,300\n",
        ["column B: '300' is not a whole number from 0 to 255"],
    ),
    "channel missing": ("Name,R,G,B\nA,1,,3\n", ["red, green and blue are not all given"]),
    "five digits": ("Name,Hex\nA,12345\n", ["column hex: '12345' is not a colour"]),
    "stock as a price": ("Name,Hex,Qty\nA,#112233,€4\n", ["is a price"]),
    "tubes": ("Name,Hex,Qty\nA,#112233,3 tubes\n", ["column Qty: '3 tubes' is not"]),
    "negative": ("Name,Hex,Qty\nA,#112233,-4\n", ["column Qty: '-4' is not"]),
    "a name twice": (
        "Name,Hex\nheron,#112233\nheron,#112234\n",
        ["line 3, column name: 'heron' occurs in this size in line 2"],
    ),
    "formula": ("Name,Hex,Qty\nA,#112233,=B2*2\n", ["column Qty: '=B2*2' is not"]),
    "only a heading": ("Name,Colour,Qty\n", ["has no column for the colour"]),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refuses_in_one_line_with_both_readings(name):
    text, words = REFUSED[name]
    with pytest.raises(PaletteError) as fault:
        read(text)
    for word in words:
        assert word in str(fault.value)
    assert str(fault.value).isprintable()
    assert fault.value.hint


TOLD = {
    "columns": (
        READ["the mess"][0],
        "shelf.csv: read 3 colours from columns Colour, Qty (as beads on hand), grams (as grams on hand),"
        " Price; 1 row above the heading passed over; the codes are numbers from 1",
    ),
    "totals": (READ["the mess"][0], "shelf.csv: line 8 was taken for totals and left out"),
    "rough numbers": (
        READ["the mess"][0],
        "shelf.csv, column Qty: rough numbers are taken as they are: 'ca. 200'",
    ),
    "names without a colour": (
        "Colour,Qty\nteal,5\nheron grey,6\nnavy,7\n",
        "shelf.csv: left out, as no colour of CSS has the name: 'heron grey' (line 3)",
    ),
    "look-alike codes": (
        "Code,Hex\nSW0,#112233\nSWO,#112234\nI1,#112235\nll,#112236\n",
        "shelf.csv: codes that look alike: 'SW0' and 'SWO' (lines 2 and 3), 'I1' and 'll' (lines 4 and 5)",
    ),
    "what a mark means": (
        READ["settled by its column"][0],
        "shelf.csv, column Weight: '1.250' was read as 1250",
    ),
    "pages": (READ["the heading again on each page"][0], "shelf.csv: the heading stands there 2 times"),
    "a unit that is none": ("Name,Hex,Qty (tubes)\nA,#112233,3\n", "shelf.csv: ignored column 'Qty (tubes)'"),
    "a size nobody knows": ("Name,Hex,Size\nA,#112233,giant\n", "no known bead size: 'giant' (line 2)"),
}  # fmt: skip


@pytest.mark.parametrize("name", TOLD)
def test_what_was_understood_is_told(name):
    text, note = TOLD[name]
    assert any(note in told for told in read(text)[1]), read(text)[1]


def test_nothing_is_told_of_a_table_that_says_all_itself():
    assert read("code,name,hex,size\nA,heron,#112233,11/0\n")[1] == ()


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("Weight", "heavy"),
        ("Count", "a jar"),
        ("Cost", "?!"),
        ("Qty", "1.000"),
        ("Stock (g)", "two tubes"),
        ("Sizes", "two tubes"),
    ],
)
def test_words_of_common_speech_cannot_spoil_a_table_that_was_good_without(column, cell):
    """Such columns were ignored before these words were understood; the reason is told."""
    palette, notes = read(f"code,hex,{column}\nA,#112233,{cell}\n")
    assert palette.entries[0].on_hand is palette.entries[0].on_hand_g is palette.entries[0].price is None
    assert any("ignored column" in note and shown_in(column, note) for note in notes)


def shown_in(word, note):
    return f"'{word}'" in note


@pytest.mark.parametrize(
    ("columns", "cells", "why"),
    [
        ("Qty,Stock", "4,5", "'Qty' and 'Stock' can both be the beads on hand"),
        ("Qty,grams", "4,50", "stock is 4 beads and 50 g"),
        ("Sizes,Qty", '"11/0, 8/0",5', "may be of each of the sizes"),
    ],
)
def test_words_that_contradict_each_other_cannot_either(columns, cells, why):
    palette, notes = read(f"code,hex,{columns}\nA,#112233,{cells}\n")
    assert [(entry.size, entry.on_hand, entry.on_hand_g) for entry in palette.entries] == [(None, None, None)]
    assert any("columns of other names were left out" in note and why in note for note in notes)
    # Beside a fault in a plain column the table is refused as ever.
    with pytest.raises(PaletteError):
        read(f"code,hex,{columns}\nA,#11223,{cells}\n")


def test_channels_do_not_matter_beside_hex():
    assert facts("code,hex,R,G,B\nA,#8899AA,1,x,\n") == one()


@pytest.mark.parametrize("mark", [",", "."])
def test_numbers_of_programs_keep_their_meaning(mark):
    """Under a plain name, beside plain names, three decimals are three decimals, as ever."""
    table = f"code;hex;price;on_hand_g\nA;#112233;1{mark}250;30{mark}125\n"
    assert facts(table) == [("A", "", None, "#112233", {"price": 1.25, "on_hand_g": 30.125})]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_the_same_however_it_is_parted(separator, ending):
    rows = [["Beads", "", ""], ["Name", "Colour", "Qty"], ["heron", "8899aa", "12"], ["total", "", "12"]]
    text = ending.join(separator.join(row) for row in rows) + ending
    assert facts(text) == [("heron", "", None, GREY, {"on_hand": 12})]


def test_a_heading_is_not_sought_far_down():
    rows = "".join(f"note {number}\n" for number in range(40))
    with pytest.raises(PaletteError, match="no header here or below"):
        read(rows + "Name,Hex\nA,#112233\n")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("code,hexx\nA,112233\n", "did you mean hex by 'hexx'?"),
        ("codd,naem,hx\nA,heron,112233\n", "did you mean hex by 'hx'?"),
    ],
)
def test_a_misspelt_column_is_told_with_the_one_that_may_be_meant(text, told):
    with pytest.raises(PaletteError) as refused:
        parse_palette(text.encode(), "shelf.csv")
    assert refused.value.hint == told


def test_a_column_that_is_not_read_is_told_with_the_one_that_may_be_meant():
    _, notes = parse_palette(b"code,hex,finnish,bin\nA,#112233,matte,3\n", "shelf.csv")
    assert notes == ("shelf.csv: ignored columns 'finnish', 'bin'; did you mean finish by 'finnish'?",)
