import os

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import PaletteError
from convert.files.palette_file import FAULTS_TOLD, parse_palette, read_palette
from convert.files.resources import palette_path

PLAIN = (
    "code,name,hex,size,on_hand,price\n"
    "A1,heron grey,#8899AA,11/0,250,2.5\n"
    'B2,"kingfisher, blue",#1f6fa5,8/0,,\n'
)


def parsed(text, encoding="utf-8"):
    return parse_palette(text.encode(encoding), "test.csv")


def faults(text):
    with pytest.raises(PaletteError) as fault:
        parsed(text)
    assert str(fault.value).isprintable()
    return str(fault.value)


def test_plain_table():
    palette, notes = parsed(PLAIN)
    first, second = palette.entries
    assert (first.code, first.name, first.hex, first.size, first.on_hand, first.price) == (
        "A1", "heron grey", "#8899AA", "11/0", 250, 2.5,
    )  # fmt: skip
    assert (second.name, second.hex, second.on_hand) == ("kingfisher, blue", "#1F6FA5", None)
    assert palette.name == "test"
    assert notes == ()


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", "\r\n"),
        "\n\n" + PLAIN + "\n  \n",
        PLAIN.replace("code,name,hex,size,on_hand,price", " Code ,NAME,Hex,Size,On Hand,PRICE"),
        PLAIN.replace("heron grey,", "  heron grey  ,"),
    ],
    ids=["byte order mark", "CRLF", "blank rows", "header case", "spaces"],
)
def test_same_palette_however_it_is_written(text):
    assert parsed(text)[0].entries == parsed(PLAIN)[0].entries


@pytest.mark.parametrize("separator", [";", "\t"])
def test_separators(separator):
    text = PLAIN.replace('"kingfisher, blue"', "kingfisher blue").replace(",", separator)
    assert [entry.name for entry in parsed(text)[0].entries] == ["heron grey", "kingfisher blue"]


def test_decimal_comma():
    assert parsed("code;hex;price\nA;#000000;2,75\n")[0].entries[0].price == 2.75


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(encoding):
    assert (
        parsed("code,hex,name\nA,#000000,Höckerschwan é\n", encoding)[0].entries[0].name == "Höckerschwan é"
    )


def test_column_order_and_unknown_columns():
    palette, notes = parsed("shelf,hex,code\n3,#102030,X\n")
    assert palette.entries[0].code == "X"
    assert "'shelf'" in notes[0]


def test_codes_stay_text():
    palette, _ = parsed("code,hex\n007,#000000\n1E5,#FFFFFF\n__proto__,#111111\n")
    assert [entry.code for entry in palette.entries] == ["007", "1E5", "__proto__"]


def test_quoted_line_break_becomes_a_space_and_lines_are_still_counted():
    text = 'code,hex,name\nA,#000000,"two\nlines"\nB,nothex,x\n'
    assert "line 4, column hex" in faults(text)
    assert parsed(text.replace("nothex", "#FFFFFF"))[0].entries[0].name == "two lines"


def test_lab_and_hex():
    palette, _ = parsed("code,lab\nA,53.585 0 0\n")
    assert (
        palette.entries[0].hex == "#808080"
    )  # L* of #808080 is 53.585 (two colour libraries, handbook value)
    np.testing.assert_allclose(parsed("code,hex\nA,#808080\n")[0].entries[0].lab, (53.585, 0, 0), atol=0.01)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("A,#12345,11/0,,", "line 2, column hex"),
        ("A,#A_A_AA,11/0,,", "column hex"),
        ("A,+AAAAA,11/0,,", "column hex"),
        ("A,#１２３４５６,11/0,,", "column hex"),
        ("A,#000000,11/0,-1,", "column on_hand"),
        ("A,#000000,11/0,1.5,", "column on_hand"),
        ("A,#000000,11/0,nan,", "column on_hand"),
        ("A,#000000,11/0,inf,", "column on_hand"),
        ("A,#000000,11/0,1e999,", "column on_hand"),
        ("A,#000000,11/0,=1+1,", "column on_hand"),
        ("A,#000000,11/0," + "9" * 5000 + ",", "column on_hand"),
        ("A,#000000,11/0,,minus", "column price"),
        (",#000000,11/0,,", "column code: is empty"),
        ("A,,11/0,,", "column hex: is empty"),
        ("A,#000000,11/0,,,extra", "6 cells where the header has 5"),
        ("A\x1b[31m,#000000,11/0,,", "column code"),
        ("A" * 300 + ",#000000,11/0,,", "column code"),
    ],
)
def test_faulty_cells_are_named(row, words):
    assert words in faults("code,hex,size,on_hand,price\n" + row + "\n")


def test_faults_are_gathered_up_to_a_limit():
    message = faults("code,hex\n" + "".join(f"A{n},bad\n" for n in range(25)))
    assert message.count("column hex") == FAULTS_TOLD
    assert "15 more" in message


@pytest.mark.parametrize(("first", "second"), [("11/0", "11/0"), ("", "11/0"), ("11/0", ""), ("", "")])
def test_code_twice_in_a_size(first, second):
    assert "line 3, column code" in faults(f"code,hex,size\nA,#000000,{first}\nA,#111111,{second}\n")


def test_code_in_two_sizes_is_fine():
    assert len(parsed("code,hex,size\nA,#000000,11/0\nA,#111111,8/0\n")[0].entries) == 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        ("name,hex\nA,#000000\n", "no column 'code'"),
        ("code,name\nA,b\n", "no column for the colour"),
        ("code,hex,HEX\nA,#000000,#000000\n", "occurs twice"),
        ("code,hex\n", "no colour"),
        ('code,hex\n"A,#000000\n', "not a table"),
        ("code,hex\nA,#000000\0\n", "not a text file"),
    ],
)
def test_what_is_no_palette(text, words):
    assert words in faults(text)


def test_only_regular_files(tmp_path):
    pipe = tmp_path / "pipe.csv"
    os.mkfifo(pipe)
    for path in (tmp_path, tmp_path / "missing.csv", pipe, tmp_path / "a\0b"):
        with pytest.raises(PaletteError):
            read_palette(path)


def test_large_table():
    palette, _ = parsed("code,hex\n" + "".join(f"C{n},#{n:06X}\n" for n in range(3000)))
    assert len(palette.entries) == 3000


@pytest.mark.parametrize(
    ("name", "colours", "sizes"), [("lakeside-range", 165, 4), ("workshop-shelf", 40, 3)]
)
def test_assortments_that_ship(name, colours, sizes):
    palette, notes = read_palette(palette_path(name))
    assert notes == ()
    assert len(palette.entries) == colours * sizes
    assert len({entry.name for entry in palette.entries}) == colours
    if name == "workshop-shelf":
        assert all(entry.on_hand is not None or entry.on_hand_g is not None for entry in palette.entries)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.binary(max_size=120))
def test_any_bytes_give_a_palette_or_a_clear_error(data):
    for start in (b"", b"code,hex\n", b"\xff\xfec\0o\0d\0e\0,\0h\0e\0x\0\n\0"):
        try:
            parse_palette(start + data, "test.csv")
        except PaletteError as fault:
            assert str(fault).isprintable()
