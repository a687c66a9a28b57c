"""The README's worked example is what really comes out."""

import re
import shlex
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_worked_example_is_what_comes_out(combweave, tmp_path):
    example = README.split("## A worked example")[1].split("\n## ")[0]
    blocks = re.findall(r"```(sh|text)\n(.*?)```", example, re.DOTALL)
    out = ""
    for kind, text in blocks[:7]:
        if kind == "sh":
            words = shlex.split(text.replace("\\\n", " "))[1:]
            words = [
                str(ROOT / word) if word.startswith(("sample_images/", "palettes/")) else word
                for word in words
            ]
            run = combweave(*words)
            assert run.code == 0
            out = " ".join((run.out + run.err).split())
            for path in tmp_path.glob("*/beads.csv"):
                out += " " + " ".join(path.read_text(encoding="utf-8").split())
        else:
            for line in text.splitlines():
                assert " ".join(line.split()) in out, line
