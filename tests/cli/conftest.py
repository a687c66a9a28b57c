import signal
import sys
from typing import NamedTuple

import pytest
from PIL import Image

from convert.__main__ import main
from convert.unfinished import SIGNALS


class Run(NamedTuple):
    code: int
    out: str
    err: str


@pytest.fixture
def combweave(capfd, monkeypatch, tmp_path):
    """Run the command line in a folder of its own, as `main` does, and return code, output and errors."""
    monkeypatch.chdir(tmp_path)
    handlers = {number: signal.getsignal(number) for number in SIGNALS}
    for name, value in {"COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb"}.items():
        monkeypatch.setenv(name, value)

    def run(*arguments):
        monkeypatch.setattr(sys, "argv", ["combweave", *map(str, arguments)])
        capfd.readouterr()
        with pytest.raises(SystemExit) as stop:
            main()
        out, err = capfd.readouterr()
        assert "Traceback" not in err
        return Run(stop.value.code, out, err)

    yield run
    for number, handler in handlers.items():
        signal.signal(number, handler)


@pytest.fixture
def small_picture(tmp_path):
    """A picture of two halves, blue and white, 60 x 40 pixels."""
    image = Image.new("RGB", (60, 40), "#F7F6F4")
    image.paste("#2060A0", (0, 0, 30, 40))
    path = tmp_path / "halves.png"
    image.save(path)
    return path
