import os
from pathlib import Path

import pytest

from convert.errors import printable


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        (b"heron.png", "heron.png"),
        ("a name — with é.png".encode(), "a name — with é.png"),
        (b"line\nbreak\x1b[31m", r"line\nbreak\x1b[31m"),
        (b"latin \xe9.png", r"latin \xe9.png"),
        ("turned \u202eround".encode(), r"turned \u202eround"),
    ],
)
def test_names_are_one_line_whatever_their_bytes(name, shown):
    assert printable(Path(os.fsdecode(name))) == shown


def test_unlike_names_stay_unlike():
    names = [bytes([byte]) for byte in range(1, 256) if byte != ord("/")]
    assert len({printable(Path(os.fsdecode(name))) for name in names}) == len(names)
