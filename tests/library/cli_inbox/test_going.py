"""How far a large file was read is told where somebody watches, and nothing of it stays."""

import io

import pytest

from sprayout_core.tables import in_memory
from sprayout_library.cli.going import seen_going


class Screen(io.StringIO):
    def isatty(self):
        return True


def read(source):
    with source.open() as stream:
        while stream.read(1 << 16):
            pass


def test_told_on_one_line_that_goes():
    screen = Screen()
    source = in_memory("a.csv", bytes(8_000_000))
    going = seen_going(source, "taking it in", screen)
    assert (going.name, going.size, going.digest) == (source.name, source.size, source.digest)
    read(going)
    lines = screen.getvalue().split("\r")
    assert any(line.startswith("  taking it in: 5") for line in lines)
    assert not lines[-1].strip() and not lines[-2].strip()
    assert "\n" not in screen.getvalue()
    assert len(lines) < 110


@pytest.mark.parametrize(("size", "screen"), [(1000, Screen()), (8_000_000, io.StringIO())])
def test_not_told_for_a_small_file_or_to_a_file(size, screen):
    source = in_memory("a.csv", bytes(size))
    assert seen_going(source, "taking it in", screen) is source
    assert screen.getvalue() == ""
