"""Start-up: ``--help`` against an empty Typer app with rich help, in one run.

Run by hand: ``python tests/bench/bench_start.py``.
"""

import statistics
import subprocess
import sys
import time

EMPTY = """
import sys, typer
app = typer.Typer()
@app.callback()
def main() -> None: "An empty app."
@app.command()
def one(name: str = "x") -> None: "A command."
@app.command()
def two(name: str = "x") -> None: "Another."
sys.argv = ["empty", *ARGUMENTS]
app()
"""
OURS = """
import sys
from convert.cli.app import main
sys.argv = ["combweave", *ARGUMENTS]
main()
"""
ROUNDS = 15


def seconds(script: str, arguments: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", script.replace("ARGUMENTS", repr(arguments))], capture_output=True, check=True
    )
    return time.perf_counter() - start


def main() -> None:
    cases = {
        "--help": (["--help"], ["--help"]),
        "panel --help": (["one", "--help"], ["panel", "--help"]),
    }
    for name, (empty_arguments, our_arguments) in cases.items():
        pairs = [(seconds(EMPTY, empty_arguments), seconds(OURS, our_arguments)) for _ in range(ROUNDS)]
        empty, ours = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(f"{name:14} empty app {empty:.3f} s, combweave {ours:.3f} s, ratio {ours / empty:.2f}")


if __name__ == "__main__":
    main()
