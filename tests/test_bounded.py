"""What is read is a file or a pipe that ends, and no larger than it may be."""

import io
import os
import subprocess
import sys
import threading

import pytest

from convert import bounded
from convert.bounded import UnboundedError, read_path, read_stream


@pytest.fixture
def soon(monkeypatch):
    monkeypatch.setattr(bounded, "IDLE_SECONDS", 0.05)


def piped(path, data, *, closes=True):
    """Write into a pipe from another thread, and keep it open if it is not to end."""
    os.mkfifo(path)
    done = threading.Event()

    def write():
        with path.open("wb", buffering=0) as pipe:
            pipe.write(data)
            if not closes:
                done.wait(30)

    thread = threading.Thread(target=write, daemon=True)
    thread.start()
    return done, thread


def test_a_file_and_a_pipe_that_ends(tmp_path):
    data = bytes(range(256)) * 8_000
    (tmp_path / "file").write_bytes(data)
    assert read_path(tmp_path / "file", len(data)) == data
    _, thread = piped(tmp_path / "pipe", data)
    assert read_path(tmp_path / "pipe", len(data)) == data
    thread.join()
    with (tmp_path / "file").open("rb") as stream:
        assert read_stream(stream, len(data)) == data
    assert read_stream(io.BytesIO(data), len(data)) == data
    assert read_path("/dev/null", 10) == b""


def test_a_pipe_that_does_not_end_or_never_begins(tmp_path, soon):
    done, thread = piped(tmp_path / "pipe", b"quiet", closes=False)
    with pytest.raises(UnboundedError, match="is a pipe that does not end"):
        read_path(tmp_path / "pipe", 100)
    done.set()
    thread.join()
    os.mkfifo(tmp_path / "silent")
    with pytest.raises(UnboundedError, match="is a pipe that does not end"):
        read_path(tmp_path / "silent", 100)


def test_a_pipe_that_goes_on_for_ever_in_drops(tmp_path, monkeypatch):
    monkeypatch.setattr(bounded, "MOST_SECONDS", -1.0)
    _, thread = piped(tmp_path / "pipe", b"drop")
    with pytest.raises(UnboundedError, match="is a pipe that does not end"):
        read_path(tmp_path / "pipe", 100)
    thread.join()


def test_what_is_larger_than_it_may_be(tmp_path):
    (tmp_path / "file").write_bytes(b"x" * 2_000_001)
    with pytest.raises(UnboundedError, match="is larger than 2 MB"):
        read_path(tmp_path / "file", 2_000_000)
    with pytest.raises(UnboundedError, match="is larger than 2 MB"):
        read_stream(io.BytesIO(b"x" * 2_000_001), 2_000_000)


def test_devices_and_folders(tmp_path):
    with pytest.raises(UnboundedError, match="is a device, not a file or a pipe"):
        read_path("/dev/zero", 10)
    with pytest.raises(UnboundedError, match="is a folder"):
        read_path(tmp_path, 10)


@pytest.mark.parametrize(
    ("shell", "told"),
    [
        ("panel - < /dev/zero", "standard input is a device, not a file or a pipe"),
        ("panel - < /dev/null", "nothing came on standard input"),
        ("cat /dev/zero | combweave palette -", "standard input is larger than 20 MB"),
    ],
)
def test_standard_input_without_end(tmp_path, shell, told):
    program = f'combweave() {{ {sys.executable} -m convert "$@"; }}'
    line = shell if "combweave" in shell else f"combweave {shell}"
    run = subprocess.run(
        ["bash", "-c", f"{program}; ulimit -v 4000000; {line}"], capture_output=True, text=True, check=False
    )
    assert run.returncode == 1
    assert run.stderr.splitlines()[0] == f"Error: {told}"
