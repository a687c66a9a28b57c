"""The README's two commands are what is really run, and what the two documents name is there."""

import re
from pathlib import Path

from convert.weave.beads import named_sizes

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_continuous_integration_runs_the_test_command():
    command = re.search(r"^(python3 -m venv .*pytest.*)$", README, re.MULTILINE)[1]
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_main_job_names_a_sample_that_is_there():
    command = re.search(r"^(python3 -m venv .*combweave panel (\S+))$", README, re.MULTILINE)
    assert (ROOT / command[2]).is_file()


def test_commands_read_from_top_to_bottom_do_not_meet_each_others_outputs():
    """Each writes a folder of its own, of a kind that git does not keep."""
    commands = re.findall(
        r"combweave (panel|sizes|motif)((?:[^`\n\\]|\\\n)* [^`\n\\]+)$", README, re.MULTILINE
    )
    folders = []
    for command, rest in commands:
        out = re.search(r"--out (\S+)", rest)
        picture = re.search(r"sample_images/(\S+)\.\w+", rest)
        folders.append(out[1] if out else f"{picture[1]}-{command}")
    assert len(folders) >= 6
    assert len(set(folders)) == len(folders)
    assert all(name.endswith(("-panel", "-motif", "-sizes")) for name in folders)


def test_bead_sizes_are_named():
    for name in named_sizes():
        assert f"`{name}`" in README


def test_files_that_are_named_are_there():
    for name in re.findall(r"`((?:convert|palettes|sample_images|tests)/[\w./-]+)`", README):
        assert (ROOT / name).exists(), name


def test_what_developers_are_told_of_is_there():
    for name in re.findall(r"`([\w./]+\.(?:py|csv|json))(?::\w+)?`", DEVELOPERS):
        assert (ROOT / name).exists() or (ROOT / "convert" / name).exists(), name


def test_developers_are_told_of_every_layer():
    table = DEVELOPERS[DEVELOPERS.index("| layer |") :]
    told = set(re.findall(r"`(\w+)/?`", table[: table.index("\n\n")]))
    parts = {
        path.stem
        for path in (ROOT / "convert").iterdir()
        if path.name[0] not in "_." and path.suffix in ("", ".py")
    }
    assert parts <= told, parts - told


def test_nothing_else_at_the_top():
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    known = {"README.md", "DEVELOPERS.md", "pyproject.toml", "convert", "palettes", "tests", "sample_images"}
    assert names - known <= {"build", "dist"} | {
        name
        for name in names
        if re.search(r"-(panel|panel-\d+|motif|sizes|set|shelf\.csv|shelf\.png)$|egg-info$", name)
    }
