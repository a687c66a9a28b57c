import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from convert.errors import PaletteError
from convert.palette.palette_file import parse_palette, read_palette
from convert.palette.palette_rows import FAULTS_TOLD
from convert.palette.resources import palette_path
from convert.palette.text_file import MOST_BYTES

SAMPLES = Path(__file__).parents[2] / "sample_images"
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
    assert parsed("code\tlab\nA\t53,5 -0,5 1\n")[0].entries[0].lab == (53.5, -0.5, 1)
    # Where the comma separates, a quoted 1,250 is more likely a thousand than one and a quarter.
    assert "column price" in faults('code,hex,price\nA,#000000,"1,250"\n')


@pytest.mark.parametrize("text", ["1,000", "1.000", "+5", "1_0", "1e3", "٣", "0x10"])
@pytest.mark.parametrize("separator", [",", ";"])
def test_a_count_that_can_be_misread_is_refused(text, separator):
    row = separator.join(["A", "#000000", f'"{text}"'])
    assert "column on_hand" in faults(separator.join(["code", "hex", "on_hand"]) + f"\n{row}\n")


@pytest.mark.parametrize("text", ["120", "120.0", "120.00", "0120"])
def test_whole_counts(text):
    assert parsed(f"code,hex,on_hand\nA,#000000,{text}\n")[0].entries[0].on_hand == 120


def test_a_code_may_be_missing():
    assert [entry.code for entry in parsed("name,hex\nheron grey,#000000\n")[0].entries] == ["heron grey"]


def test_separator_is_that_of_the_header_not_the_commonest():
    text = 'on the shelf, as I recall; code; hex\n"x;y"; A; #000000\n'
    palette, notes = parsed("  \n" + text)
    assert palette.entries[0].code == "A"
    assert "on the shelf" in notes[0]


def test_lone_carriage_returns_and_odd_line_separators():
    palette, _ = parsed("code,hex,name\rA,#000000,grey\u2028heron\rB,#FFFFFF,\x0b\r")
    assert [entry.name for entry in palette.entries] == ["grey heron", ""]


def test_size_is_named_as_on_the_command_line():
    assert parsed("code,hex,size\nA,#000000,11/0-Czech\n")[0].entries[0].size == "11/0-czech"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings(encoding):
    assert (
        parsed("code,hex,name\nA,#000000,Höckerschwan é\n", encoding)[0].entries[0].name == "Höckerschwan é"
    )


def test_guessed_encoding_is_told():
    assert "Windows-1252" in parsed("code,hex,name\nA,#000000,é\n", "cp1252")[1][0]
    assert parsed("code,hex,name\nA,#000000,é\n")[1] == ()
    # Code point 81 hexadecimal is not assigned in Windows-1252.
    with pytest.raises(PaletteError, match="not a text file"):
        parse_palette(b"code,hex,name\nA,#000000,\x81\n", "test.csv")


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


@pytest.mark.parametrize("column", ["per_gram", "pack_g"])
@pytest.mark.parametrize("text", ["0", "1e-300", "1e7"])
def test_packs_that_would_be_beyond_counting_are_named(column, text):
    assert f"line 2, column {column}" in faults(f"code,hex,{column}\nA,#000000,{text}\n")


@pytest.mark.parametrize("letter", ["\x07", "\u202e", "\u200b", "\ufffe", "\ue000", "\x7f", "\u2066"])
@pytest.mark.parametrize("column", ["code", "name", "size", "finish"])
def test_letters_that_cannot_be_printed_are_named(letter, column):
    cells = {"code": "A", "hex": "#000000", column: f"a{letter}b"}
    text = f"{','.join(cells)}\n{','.join(cells.values())}\n"
    assert f"line 2, column {column}: has a character that cannot be printed, U+{ord(letter):04X}" in faults(
        text
    )


def test_currency_of_the_prices():
    palette, _ = parsed("code,hex,price,currency\nA,#000000,2.5,\nB,#FFFFFF,3, kr. \nC,#777777,3,kr.\n")
    assert palette.currency == "kr."
    assert [entry.currency for entry in palette.entries] == ["", "kr.", "kr."]
    assert parsed("code;hex;Currency\nA;#000000;a,b\n")[0].currency == "a,b"
    assert parsed(PLAIN)[0].currency == ""


@pytest.mark.parametrize("cell", ["x" * 200, "E\x1b[31m", "E\u202eR", "5", "dollars of the lake"])
def test_what_is_no_currency_is_named(cell):
    message = faults(f"code,hex,currency\nA,#000000,EUR\nB,#FFFFFF,{cell}\n")
    assert message.startswith("test.csv, line 3, column currency: ")
    assert len(message) < 160


def test_two_currencies_in_a_palette_are_named():
    rows = "A,#000000,\nB,#FFFFFF,EUR\nC,#777777,EUR\nD,#123456,USD\nE,#654321,USD\n"
    assert "line 5, column currency: 'USD' where line 3 has 'EUR', give one" in faults(
        "code,hex,currency\n" + rows
    )


def test_faults_of_all_kinds_come_in_the_order_of_the_lines():
    message = faults("code,hex,on_hand\nA,#000000,\nA,#000000,\nB,#00000,-1\n")
    assert [part.split(":")[0] for part in message.removeprefix("test.csv, ").split("; ")] == [
        "line 3, column code",
        "line 4, column hex",
        "line 4, column on_hand",
    ]


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
        ("name,on_hand\nA,5\n", "no column for the colour"),
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
    pipe, loop, locked = tmp_path / "pipe.csv", tmp_path / "loop.csv", tmp_path / "locked.csv"
    os.mkfifo(pipe)
    loop.symlink_to(loop)
    locked.write_text(PLAIN)
    for path, words in (
        (tmp_path, "is a folder"),
        (tmp_path / "missing.csv", "there is no palette file"),
        (pipe, "is not a regular file"),
        (loop, "cannot read"),
        (tmp_path / "a\0b", "cannot read"),
        (tmp_path / ("x" * 300), "cannot read"),
    ):
        with pytest.raises(PaletteError, match=words) as fault:
            read_palette(path)
        assert str(fault.value).isprintable()
        assert str(fault.value).count(path.name.replace("\0", "\\x00")) == 1
        assert fault.value.hint
    link = tmp_path / "link.csv"
    link.symlink_to(locked)
    assert len(read_palette(link)[0].entries) == 2


def test_unreadable_file(tmp_path, monkeypatch):
    path = tmp_path / "locked.csv"
    path.write_text(PLAIN)

    # Permissions do not bind the administrator, who may run the tests.
    def refuse(self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "read_bytes", refuse)
    with pytest.raises(PaletteError, match=r"cannot read the palette file .*locked\.csv: Permission denied"):
        read_palette(path)


@pytest.mark.parametrize("kind", ["heron.png", "grebe-dusk.jpg", "reed-border.png"])
def test_picture_called_a_palette(tmp_path, kind):
    path = tmp_path / "picture.csv"
    path.write_bytes((SAMPLES / kind).read_bytes())
    with pytest.raises(PaletteError, match=r"picture\.csv is not a text file"):
        read_palette(path)


def test_limits(tmp_path):
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(PaletteError, match="larger than 20 MB"):
        read_palette(path)
    with pytest.raises(PaletteError, match="larger than 20 MB"):
        read_palette(b"x" * (MOST_BYTES + 1))
    assert "line 2" in faults("code,hex,name\nA,#000000," + "x" * 200_000 + "\n")
    assert len(faults("code,hex,name\nA,#000000," + "x," * 1_500_000 + "\n")) < 200


def test_large_table():
    palette, _ = parsed("code,hex\n" + "".join(f"C{n},#{n:06X}\n" for n in range(3000)))
    assert len(palette.entries) == 3000


@pytest.mark.parametrize(
    ("name", "colours", "sizes"), [("lakeside-range", 240, 4), ("workshop-shelf", 40, 3)]
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


def test_sizes_without_known_measures_are_told():
    _, notes = parsed(
        "code,hex,size\nA,#012345,11/0\nB,#012345,11-0\nC,#012345,9/0\nD,#012345,11-0\nE,#012345,\n"
    )
    (note,) = notes
    assert "'11-0' (line 3), '9/0' (line 4);" in note
    assert "--beads" in note
    assert parsed("code,hex,size\nA,#012345,11/0\nB,#012345,8/0-czech\n")[1] == ()


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    st.lists(
        st.lists(
            st.sampled_from(
                ["code", "hex", "lab", "on_hand", "size", "A", "#012345", "11/0", "50 0 0", "-1", ""]
            )
            | st.text(max_size=8),
            max_size=5,
        ),
        max_size=6,
    ),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.booleans(),
)
def test_any_table_gives_a_palette_or_a_clear_error(rows, separator, ending, quoted):
    header = [["code", "hex", "lab", "size", "on_hand"]]
    cells = [[f'"{cell}"' if quoted else cell for cell in row] for row in header + rows]
    text = ending.join(separator.join(row) for row in cells)
    try:
        palette, _ = parsed(text)
    except PaletteError as fault:
        assert str(fault).isprintable()
    else:
        for entry in palette.entries:
            assert np.isfinite(entry.lab).all()
            assert (entry.code + entry.name + (entry.size or "")).isprintable()
