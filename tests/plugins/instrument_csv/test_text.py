"""Encodings: seen by a mark or validity, told, or assumed and said so; what does not fit is refused by line."""

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import in_memory
from sprayout_plugins.instrument_csv import text

LINES = "Sample;400\r\nGrün;0,1\rBläulich;0,2\nµ;0,3"


def found(content, told=None):
    return text.encoding(in_memory("a.csv", content), told)


@pytest.mark.parametrize(
    ("encoding", "name", "how"),
    [
        ("utf-8", "utf-8", "seen"),
        ("utf-8-sig", "utf-8-sig", "seen"),
        ("utf-16", "utf-16", "seen"),
        ("utf-16-le", "utf-16-le", "seen"),
        ("utf-16-be", "utf-16-be", "seen"),
        ("utf-32", "utf-32", "seen"),
        ("cp1252", "windows-1252", "assumed"),
    ],
)
def test_the_ladder(encoding, name, how):
    content = LINES.encode(encoding)
    assert (found(content).name, found(content).how) == (name, how)
    lines = list(text.lines(in_memory("a.csv", content), name))
    assert [line.rstrip("\r\n") for line in lines] == ["Sample;400", "Grün;0,1", "Bläulich;0,2", "µ;0,3"]
    assert [text.finished(line) for line in lines] == [True, True, True, False]


def test_bytes_that_do_not_fit_are_refused_with_their_line():
    content = b"Sample;400\n" * 200_000 + b"\x81\n"
    with pytest.raises(SprayoutError, match="line 200001: the bytes here are not windows-1252"):
        found(content)
    with pytest.raises(SprayoutError, match="line 3: the bytes here are not utf-8"):
        found(b"a\nb\n\xff\n", "utf-8")


def test_a_file_cut_inside_a_character_is_refused():
    with pytest.raises(SprayoutError, match="ends inside a character"):
        found("Sample;400\nGrü".encode()[:-1])


def test_a_zero_character_is_refused_with_its_line():
    with pytest.raises(SprayoutError, match=r"line 3: there is a zero character"):
        found(b"a\nb\nc" + b"x" * 5000 + b"\0\n")


def test_an_endless_line_is_refused():
    with pytest.raises(SprayoutError, match="line 2: the line is longer"):
        list(text.lines(in_memory("a.csv", b"a\n" + b"x" * 3_000_000), "utf-8"))
