"""Every refusal is one printable line of at most 200 letters, names the file, and has a hint."""

import json

import numpy as np
import pytest
from PIL import Image

from convert.errors import LONGEST_MESSAGE, as_one_line

LONG = "reed" * 50


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """A folder with pictures, palettes, outlines and pattern files that cannot be used, and some that can."""
    folder = tmp_path_factory.mktemp("files")
    rng = np.random.default_rng(20)
    Image.fromarray(rng.integers(0, 255, (30, 40, 3), np.uint8)).save(folder / "noise.png")
    Image.fromarray(rng.integers(0, 255, (90, 90, 3), np.uint8)).save(folder / f"{LONG}.png")
    Image.new("RGBA", (40, 30), (0, 0, 0, 0)).save(folder / "clear.png")
    parts = np.zeros((30, 60, 4), np.uint8)
    parts[:, :8, 3] = parts[:, -8:, 3] = 255
    Image.fromarray(parts).save(folder / "islands.png")
    (folder / "cut.png").write_bytes((folder / "noise.png").read_bytes()[:300])
    (folder / "words.png").write_text("a heron stands in the reeds")
    (folder / "empty.png").write_bytes(b"")
    (folder / "folder.png").mkdir()
    lines = "".join(f"A{n},colour {n},nothing{n},{LONG}\n" for n in range(40))
    (folder / "many-faults.csv").write_text("code,name,hex,size\n" + lines)
    (folder / "no-colour.csv").write_text("code,naem\nA,3\n")
    (folder / "empty.csv").write_bytes(b"")
    (folder / "header.csv").write_text("code,hex\n")
    (folder / "twice.csv").write_text("code,hex\nA,#112233\nA,#112244\n")
    (folder / "binary.csv").write_bytes(bytes(range(256)) * 4)
    (folder / "one.csv").write_text("code,name,hex,on_hand\nA,reed,#112233,3\n")
    (folder / "other-size.csv").write_text("code,hex,size\nA,#112233,6/0\n")
    (folder / "book.xlsx").write_bytes(b"PK\x03\x04 damaged")
    (folder / "bad.svg").write_text("<svg><path d='M 0 0 L 1 1'/></svg>")
    (folder / "bad.toml").write_text("width = = 3\n")
    (folder / "broken.json").write_text('{"format": ')
    (folder / "list.json").write_text("[1, 2]")
    (folder / "foreign.json").write_text(json.dumps({"format": "combweave pattern", "version": 999}))
    (folder / "a-file").write_text("here")
    return folder


REFUSED = """
panel gone.png --width 40
panel clear.png --width 40 | clear.png
panel islands.png --width 40 | islands.png
panel cut.png --width 40 | cut.png
panel words.png --width 40 | words.png
panel empty.png --width 40 | empty.png
panel folder.png --width 40 | folder.png
panel LONG.png --width 400 --max-beads 10 | reed
panel noise.png --max-beads 10 --width 100 | noise.png
panel noise.png --max-megapixels 0.0001 --width 40 | noise.png
panel noise.png --width -3
panel noise.png --width nan
panel noise.png --width 40 --across 9
panel noise.png --across 0
panel noise.png --width 40 --beads 12/0
panel noise.png --width 40 --beads LONG
panel noise.png --width 40 --gauge 900
panel noise.png --width 40 --crop 1,2
panel noise.png --width 40 --crop 5,5,1,1 | noise.png
panel noise.png --width 40 --crop LONG
panel noise.png --width 40 --rotate inf
panel noise.png --width 40 --brightness 900
panel noise.png --width 40 --palette gone.csv | gone.csv
panel noise.png --width 40 --palette many-faults.csv | many-faults.csv
panel noise.png --width 40 --palette no-colour.csv | no-colour.csv
panel noise.png --width 40 --palette other-size.csv | other-size
panel noise.png --width 40 --palette one.csv --stock | one.csv
panel noise.png --width 40 --colours many
panel noise.png --width 40 --colours 0
panel noise.png --width 40 --keep LONG
panel noise.png --width 40 --keep RO3 --avoid RO3
panel noise.png --width 40 --dither 3
panel noise.png --width 40 --smooth 3
panel noise.png --width 40 --view-distance 0
panel noise.png --width 40 --backing LONG
panel noise.png --width 40 --currency LONG
panel noise.png --width 40 --year 99999
panel noise.png --width 40 --title LONGLONG
panel noise.png --width 40 --needleful 0.0001
panel noise.png --width 40 --thread -1
panel noise.png --width 40 --spare -1
panel noise.png --width 40 --out a-file | a-file
panel noise.png --width 40 --out gone/deep/piece
panel noise.png --width 40 --config gone.toml | gone.toml
panel noise.png --width 40 --config bad.toml | bad.toml
panel noise.png --width 40 --LONG 3
panel noise.png more.png --width 40
panel --rule LONG --width 40 --height 40
panel --rule rows --width 40 --height 40
panel --rule rows_LONG --width 40 --height 40
panel
LONG
motif --shape LONG
motif --rounds 900
motif --rounds 0
motif --shape strip
motif --shape outline
motif --outline LONG
motif --outline bad.svg --width 40 | bad.svg
motif --outline gone.svg --width 40 | gone.svg
motif --rounds 2 --core-colour LONG
motif --rounds 2 --seed 3
motif --rounds 2 --hanging-loop 900
motif clear.png --rounds 2 | clear.png
sizes gone.png --width 40 | gone.png
sizes clear.png --width 40 | clear.png
sizes noise.png --width 40 --beads 12/0
colours gone.png --width 40 | gone.png
colours clear.png --width 40 | clear.png
redraw gone.json | gone.json
redraw broken.json | broken.json
redraw list.json | list.json
redraw foreign.json | foreign.json
check gone.json | gone.json
check broken.json | broken.json
check list.json | list.json
check foreign.json | foreign.json
check noise.png | noise.png
check folder.png
match teel
match LONG
match gone.png | gone.png
match clear.png | clear.png
match 112233 --beads 12/0
match 112233 --palette empty.csv | empty.csv
palette gone.csv | gone.csv
palette empty.csv | empty.csv
palette header.csv | header.csv
palette twice.csv | twice.csv
palette binary.csv | binary.csv
palette many-faults.csv | many-faults.csv
palette book.xlsx | book.xlsx
palette one.csv --sheet 2 | one.csv
palette one.csv --out sheet.txt | sheet.txt
palette one.csv --use gone.json
shelf
shelf gone.png | gone.png
shelf noise.png | noise.png
shelf clear.png | clear.png
shelf noise.png --card
gauge
gauge --measured 0
gauge --measured 900
gauge --measured LONG
gauge --measured 38 --loops 0
set gone.toml | gone.toml
set bad.toml | bad.toml
set noise.png | noise.png
""".strip().splitlines()


@pytest.mark.parametrize("line", REFUSED)
def test_a_refusal_is_one_line_and_a_hint(combweave, files, monkeypatch, line):
    monkeypatch.chdir(files)
    before = sorted(path.name for path in files.iterdir())
    command, _, file = (part.strip() for part in line.partition("|"))
    run = combweave(*(word.replace("LONG", LONG).replace("_", " ") for word in command.split()))
    assert run.code in (1, 2), run.err
    told = [one for one in run.err.splitlines() if not one.startswith(("Note: ", "  "))]
    assert len(told) == 2, run.err
    assert told[0].startswith("Error: ")
    assert told[1].startswith("Hint: ")
    assert len(told[1]) > len("Hint: ")
    message = told[0].removeprefix("Error: ")
    assert message.isprintable()
    assert len(message) <= LONGEST_MESSAGE
    assert file in message
    assert sorted(path.name for path in files.iterdir()) == before


def test_a_long_name_loses_its_middle_and_a_long_list_its_end():
    assert as_one_line("heron.png: no\nbeads") == "heron.png: no beads"
    line = as_one_line(f"/pond/{'r' * 300}.png is damaged")
    assert line.startswith("/pond/r")
    assert line.endswith("r.png is damaged")
    faults = as_one_line("; ".join(f"row {number} has no code" for number in range(50)))
    assert faults.endswith("row 7 has no code; and more, --verbose tells all")
    assert len(faults) <= LONGEST_MESSAGE
    assert len(as_one_line("reed " * 100)) == LONGEST_MESSAGE
