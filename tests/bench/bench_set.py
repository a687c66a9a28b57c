"""What it costs to write the pieces of a set in processes of their own, and what memory each takes.

A process has to start and to load the program before it writes; that is set against what there is to write.
Two processes on two free cores pay from where half of the writing takes longer than the start: what
`convert.sets` calls _LEAST_BEADS. Seconds are those of the processor, so that other work on the machine
disturbs little. The memory is behind _BYTES and _BYTES_PER_BEAD there.

Run by hand: ``python -m tests.bench.bench_set``, on a free machine with ``wall`` for the ratio of true times.
"""

import multiprocessing
import resource
import statistics
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from pathlib import Path

from skimage import data

from convert import PanelOptions, SetPiece, make_set, read_palette, read_picture, write_set
from convert.sets import MadeSet
from convert.writing.outputs import Job, write_all

WIDTHS = (20, 40, 80, 160, 260)
RUNS = 3


def made_set(across: int, pieces: int = 1) -> MadeSet:
    palette, _ = read_palette()
    shown = replace(read_picture(data.astronaut()), name="photograph")
    options = PanelOptions(across=across, colours=16)
    names = ("one", "two")[:pieces]
    return make_set("bench", [SetPiece(name, options, shown) for name in names], palette)


def written(job: Job) -> tuple[float, float, int]:
    """Return seconds of the processor before and while a piece is written, and the most memory in bytes."""
    before = time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        write_all(job, Path(folder))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    return before, time.process_time() - before, peak


def seconds(made: MadeSet, processes: int) -> float:
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        write_set(made, Path(folder) / "out", processes=processes)
        return time.perf_counter() - start


def main() -> None:
    for across in WIDTHS:
        made = made_set(across).made[0]
        with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as pool:
            start, work, peak = pool.submit(written, Job(made.pattern, made.thread)).result()
        beads = made.pattern.weave.beads
        print(
            f"{beads:8,} beads: writing takes {work / start:5.2f} times the start of a process"
            f" ({1e6 * work / beads:.0f} us a bead), {peak / 1e6:6.0f} MB at most"
        )
    if "wall" in sys.argv:
        for across in WIDTHS[:-1]:
            two = made_set(across, 2)
            beads = sum(pattern.weave.beads for pattern in two.collection.patterns)
            ratio = statistics.median(seconds(two, 1) / seconds(two, 2) for _ in range(RUNS))
            print(f"{beads:8,} beads in two pieces: one process takes {ratio:.2f} times as long as two")


if __name__ == "__main__":
    main()
