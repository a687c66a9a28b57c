"""A pattern file that asks for too much is refused before it is built."""

import json
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from convert import read_pattern
from convert.errors import PatternFileError
from convert.piece.pattern_file import parse_pattern, pattern_json

OLD = sorted((Path(__file__).parent / "old").rglob("*.json"))
ROOM = 300 * 1024 * 1024


def grown(**parts):
    """Return the text of an old pattern file with other parts."""
    value = json.loads(OLD[0].read_bytes())
    return json.dumps(value | parts)


def sheet(rows, places, letter="#"):
    return {"kind": "sheet", "direction": "across", "rows": [letter * places] * rows}


HUGE = {
    "9 MB of loops": (
        lambda: grown(shape=sheet(3_000, 3_000)),
        "27,000,000 beads or more, more than the limit",
    ),
    "9 MB of bare places": (
        lambda: grown(shape=sheet(3_000, 3_000, ".")),
        "9,000,000 places are more than a piece of 1,000,000 beads has",
    ),
    "a large flower": (
        lambda: grown(shape={"kind": "flower", "rounds": 500, "centre": 8}),
        "3,010,008 beads or more, more than the limit",
    ),
    "values": (lambda: "[" + "0," * 13_000_000 + "0]", "13,000,000 values are more than a piece of"),
    "depth": (lambda: "[" * 1_000_000, "not a pattern file"),
    "digits": (lambda: f'{{"format": {"9" * 5_000}}}', "not a pattern file"),
}


def refuse_all():
    now = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (now + ROOM, now + ROOM))
    for name, (text, told) in HUGE.items():
        try:
            read_pattern(text().encode())
        except PatternFileError as error:
            assert told in str(error), (name, str(error))
        else:
            raise AssertionError(name)


def test_huge_files_are_refused_in_little_memory():
    script = "from tests.piece.test_pattern_bounds import refuse_all; refuse_all()"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr[-2_000:]


@pytest.mark.parametrize("path", OLD, ids=lambda path: path.name)
def test_the_limit_is_that_of_the_beads(path):
    """A piece of as many beads as the limit, or somewhat fewer loops than it, is read."""
    made = read_pattern(path)
    weave = made.pattern.weave
    assert read_pattern(path, max_beads=weave.beads).pattern.weave.beads == weave.beads
    with pytest.raises(PatternFileError, match=r"beads or more, more than the limit of 2") as refused:
        read_pattern(path, max_beads=2)
    assert "--max-beads" in refused.value.hint


def test_what_the_program_writes_is_far_within(tmp_path):
    """So many values a bead as counted in a file of the program are a third of those allowed, or fewer."""
    text = pattern_json(parse_pattern(OLD[0].read_bytes(), "old"))
    beads = parse_pattern(text, "old").weave.beads
    assert text.count(",") < 12 * beads / 3 + 2_000
