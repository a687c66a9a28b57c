"""As many colours as pay beside all colours, and the sheet of colours beside one panel: ratios of one run.

Processor time, since that of the clock depends on who else is at work. Run from the top of the project:
``python tests/bench/bench_colours.py``.
"""

import tempfile
import time
from pathlib import Path

import skimage.data
from PIL import Image

import convert
from convert import PanelOptions

ROOT = Path(__file__).parents[2]
ROUNDS = 3


def panel(picture, palette, folder, **chosen):
    made = convert.make_panel(picture, palette, PanelOptions(**chosen))
    convert.write_outputs(made, folder, force=True)
    return made


def sheet(picture, palette, folder, **chosen):
    convert.write_colours(
        convert.compare_colours(picture, palette, PanelOptions(**chosen)), folder, force=True
    )


def seconds(work, *arguments, **chosen):
    """The least of several rounds."""
    found = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work(*arguments, **chosen)
        found.append(time.process_time() - start)
    return min(found)


def main():
    palette, _ = convert.read_palette()
    with tempfile.TemporaryDirectory() as scratch:
        photographs = []
        for name in ("astronaut", "chelsea"):
            photographs.append(Path(scratch) / f"{name}.png")
            Image.fromarray(getattr(skimage.data, name)()).save(photographs[-1])
        cases = [(ROOT / "sample_images" / "heron.png", {})]
        cases += [(path, {}) for path in photographs] + [(photographs[0], {"width_mm": 250.0})]
        for path, chosen in cases:
            picture, folder = convert.read_picture(path), Path(scratch) / "out"
            every = panel(picture, palette, folder, colours="all", **chosen)
            few = panel(picture, palette, folder, **chosen)
            base = seconds(panel, picture, palette, folder, colours="all", **chosen)
            auto = seconds(panel, picture, palette, folder, **chosen)
            many = seconds(sheet, picture, palette, folder, **chosen)
            cost = [convert.summary(made)["cost"] for made in (few, every)]
            seen = [made.comparison.chosen.seen for made in (few, every)]
            print(
                f"{path.stem}, {every.pattern.weave.beads:,} beads: {few.pattern.colours} colours of"
                f" {every.pattern.colours}, {cost[0]:.2f} for {cost[1]:.2f}, from afar {seen[0]:.2f} for"
                f" {seen[1]:.2f}; auto {auto / base:.2f}, sheet {many / base:.2f} times a panel of all"
                f" ({base:.2f} s)"
            )


if __name__ == "__main__":
    main()
