import multiprocessing
import os
import time
from pathlib import Path

import pytest

from convert.errors import OutputError, StockError
from convert.writing import processes
from convert.writing.processes import in_processes, processes_for


def touch(folder, name):
    (Path(folder) / name).write_text(name)


def refuse(folder, name):
    raise StockError(f"{name} is not there", "buy it")


def die(folder, name):
    os._exit(3)


def linger(folder, name):
    if name == "b":
        raise StockError("b is not there")
    # Nobody waits for it: it is ended.
    time.sleep(600)


@pytest.mark.parametrize("count", [1, 2])
def test_each_is_done_once(tmp_path, count):
    work = [(tmp_path, name) for name in "abc"]
    with in_processes(touch, work, count) as done:
        assert sorted(done) == [0, 1, 2]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b", "c"]


@pytest.mark.parametrize("count", [1, 2])
def test_an_error_arrives_with_its_hint(tmp_path, count):
    with (
        pytest.raises(StockError, match="a is not there") as told,
        in_processes(refuse, [(tmp_path, "a")] * 2, count) as done,
    ):
        list(done)
    assert told.value.hint == "buy it"


def test_a_process_that_dies_is_told(tmp_path):
    with pytest.raises(OutputError, match="has died"), in_processes(die, [(tmp_path, "a")] * 2, 2) as done:
        list(done)


def test_no_process_is_left_over(tmp_path):
    before = set(multiprocessing.active_children())
    with pytest.raises(StockError), in_processes(linger, [(tmp_path, "a"), (tmp_path, "b")], 2) as done:
        list(done)
    assert set(multiprocessing.active_children()) <= before


@pytest.mark.parametrize(
    ("work", "cores", "memory", "count"),
    [
        ([4_000, 1_000], 2, 10_000, 1),
        ([4_000, 2_000], 2, 10_000, 2),
        ([3_000] * 5, 2, 10_000, 2),
        ([3_000] * 5, 8, 10_000, 5),
        ([3_000] * 5, 8, 6_000, 3),
        ([3_000] * 5, 8, 100, 1),
    ],
)
def test_as_many_processes_as_pay_and_fit(monkeypatch, work, cores, memory, count):
    monkeypatch.setattr(processes.os, "cpu_count", lambda: cores)
    monkeypatch.setattr(processes, "_memory_bytes", lambda: memory)
    assert processes_for(work, 6_000, 1_000) == count


def test_a_system_that_does_not_tell_its_memory(monkeypatch):
    def unknown(name):
        raise ValueError(name)

    monkeypatch.setattr(processes.os, "sysconf", unknown)
    assert processes._memory_bytes() == 4 << 30
