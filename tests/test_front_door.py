"""The front door for programs: what the README shows works, and a caller sees its types."""

import inspect
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import numpy as np
import pytest

import convert
from convert import Flower, MotifOptions, PanelOptions, Plain, SizesOptions

ROOT = Path(__file__).parents[1]
CALLER = """
from pathlib import Path
from convert import Made, PanelOptions, make_panel, read_palette, read_picture, write_outputs

palette, notes = read_palette()
made: Made = make_panel(read_picture("heron.png"), palette, PanelOptions(width_mm=60.0))
write_outputs(made, Path("out"))
reveal_type(made.pattern.weave.beads)
reveal_type(notes)
made.pattern.beads_of_gold
PanelOptions(width_mm="wide")
make_panel("heron.png", palette)
"""


def example():
    """The example of the README, without its fence."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    return re.search(r"```python\n(.*?)```", text, re.DOTALL)[1]


def test_the_example_of_the_readme_makes_a_folder(tmp_path):
    (tmp_path / "sample_images").symlink_to(ROOT / "sample_images")
    run = subprocess.run(
        [sys.executable, "-c", example()],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    folders = [path for path in tmp_path.iterdir() if (path / "pattern.json").is_file()]
    assert len(folders) >= 1
    assert len(example().strip().splitlines()) <= 15


def test_every_name_is_handed_out_and_explained():
    for name in convert.__all__:
        one = getattr(convert, name)
        assert inspect.getdoc(one), name
        if inspect.isfunction(one):
            hints = one.__annotations__
            assert set(hints) == {*inspect.signature(one).parameters, "return"}, name
    assert set(convert.__all__) <= set(dir(convert))
    with pytest.raises(AttributeError, match="has no attribute 'make_gold'"):
        _ = convert.make_gold


def test_asking_for_nothing_loads_nothing():
    script = "import sys, convert; sys.exit('numpy' in sys.modules or 'convert.front_door' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=False).returncode == 0


@pytest.fixture(scope="module")
def picture():
    pixels = np.zeros((60, 80, 3), np.uint8)
    pixels[:, 40:] = (200, 30, 40)
    return convert.Picture("halves", pixels)


def test_a_program_gets_what_the_commands_write(picture, tmp_path):
    palette, notes = convert.read_palette()
    assert notes == ()
    made = convert.make_panel(picture, palette, PanelOptions(across=8, colours=3))
    convert.write_outputs(made, tmp_path / "out", convert.BookletSettings(paper="letter"))
    again = convert.read_pattern(tmp_path / "out" / "pattern.json")
    assert np.array_equal(again.pattern.bead_colour, made.pattern.bead_colour)
    assert convert.summary(again)["thread_mm"] == convert.summary(made)["thread_mm"]
    assert made.comparison is not None
    assert made.colours_gap is not None


def test_a_program_makes_a_shape_plain_or_by_a_picture(picture):
    palette, _ = convert.read_palette()
    plain = convert.make_motif(Flower(rounds=1), palette, colours=Plain(core_colour="RU3"))
    codes = {plain.pattern.palette.entries[entry].code for entry in plain.pattern.bead_colour}
    assert codes == {"RU3"}
    assert plain.difference is None
    shown = convert.make_motif(Flower(rounds=1), palette, MotifOptions(copies=2), picture=picture)
    assert (shown.pattern.title, shown.pattern.copies) == ("halves, flower", 2)
    assert shown.difference is not None


def test_a_program_compares_sizes(picture, tmp_path):
    palette, _ = convert.read_palette()
    compared = convert.compare_sizes(picture, palette, SizesOptions(beads=("11/0", "8/0"), width_mm=30.0))
    assert {one.name for one in compared.candidates} == {"11/0", "8/0"}
    convert.write_sizes(compared, tmp_path / "sizes")
    assert {path.name for path in (tmp_path / "sizes").iterdir()} == {"sizes.png", "sizes.pdf"}


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A Python that has the wheel of this tree, and else what this one has."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = folder.glob("*.whl")
    venv.create(folder / "env", with_pip=False)
    (site,) = (folder / "env").glob("lib/python*/site-packages")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    (site / "others.pth").write_text(sysconfig.get_path("purelib") + "\n")
    return folder / "env" / "bin" / "python", site


def test_the_wheel_carries_the_types_the_palettes_and_no_more(installed):
    _, site = installed
    assert (site / "convert" / "py.typed").is_file()
    assert (site / "convert" / "_data" / "palettes" / "lakeside-range.csv").is_file()
    assert {path.name for path in site.iterdir()} <= {
        "convert",
        "others.pth",
        *(path.name for path in site.glob("combweave-*")),
    }


def test_a_caller_sees_the_types_of_the_wheel(installed, tmp_path):
    python, _ = installed
    caller = tmp_path / "caller.py"
    caller.write_text(CALLER)
    mypy = shutil.which("mypy", path=str(Path(sys.executable).parent))
    run = subprocess.run(
        [
            mypy,
            "--strict",
            "--python-executable",
            str(python),
            "--cache-dir",
            str(tmp_path / "cache"),
            caller,
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    told = run.stdout
    assert 'Revealed type is "int"' in told
    assert "tuple[str, ...]" in told
    assert '"Pattern" has no attribute "beads_of_gold"' in told
    assert told.count("[arg-type]") == 2
    assert "Found 3 errors in 1 file" in told, told + run.stderr
