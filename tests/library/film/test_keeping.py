"""What was derived, kept on this machine: whole or not at all, bounded, and never in the way."""

import multiprocessing
import os

import numpy as np
import pytest

from sprayout_library.film import keeping
from sprayout_library.film.keeping import folder, keep, kept, key_of


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path))
    return tmp_path


def put(key, value=1.0):
    keep(key, {"said": "teal", "value": value}, {"rows": np.full((2, 3), value)})


def test_what_is_kept_comes_back_exactly():
    value = 0.1 + 0.2
    keep("one", {"value": value, "none": None, "list": [1, "é"]}, {"rows": np.array([[value, np.pi]])})
    facts, arrays = kept("one")
    assert facts == {"value": value, "none": None, "list": [1, "é"]}
    assert np.array_equal(arrays["rows"], np.array([[value, np.pi]]))
    assert kept("another") is None


@pytest.mark.parametrize("place", [0, 40, 70, 300, -1])
def test_a_damaged_file_counts_as_none(place):
    put("one")
    path = folder() / "one"
    content = bytearray(path.read_bytes())
    content[place] ^= 1
    path.write_bytes(content)
    assert kept("one") is None
    put("one")
    assert kept("one") is not None


@pytest.mark.parametrize("length", [0, 10, 64, 65, 200])
def test_a_file_cut_short_counts_as_none(length):
    put("one")
    path = folder() / "one"
    path.write_bytes(path.read_bytes()[:length])
    assert kept("one") is None


def test_what_was_longest_not_used_goes_first(monkeypatch):
    monkeypatch.setattr(keeping, "MOST_FILES", 3)
    for place, key in enumerate("abc"):
        put(key)
        os.utime(folder() / key, (1000 + place, 1000 + place))
    assert kept("a") is not None  # used now
    put("d")
    assert {path.name for path in folder().iterdir()} == {"a", "c", "d"}


def test_the_folder_stays_small(monkeypatch):
    put("a")
    size = (folder() / "a").stat().st_size
    monkeypatch.setattr(keeping, "MOST_BYTES", 3 * size)
    for key in "bcdef":
        put(key)
    assert sum(path.stat().st_size for path in folder().iterdir()) <= 3 * size
    keep("huge", {}, {"rows": np.zeros(size)})
    assert kept("huge") is None, "more than half of all the room is not kept"


def test_a_machine_that_cannot_keep_goes_on(home):
    (home / "learned").write_text("a file where the folder should be", encoding="utf-8")
    put("one")
    assert kept("one") is None


def test_what_has_no_spelling_is_not_kept():
    keep("one", {"value": float("nan")}, {})
    assert kept("one") is None


def test_keys_tell_parts_and_code_apart(monkeypatch):
    assert key_of(b"a", b"bc") != key_of(b"ab", b"c")
    before = key_of(b"a")
    monkeypatch.setattr(keeping, "edition", lambda: "0" * 64)
    assert key_of(b"a") != before


def _busy(home, value):
    os.environ["SPRAYOUT_HOME"] = home
    seen = set()
    for _ in range(40):
        put("shared", value)
        found = kept("shared")
        assert found is not None
        facts, arrays = found
        assert (arrays["rows"] == facts["value"]).all()
        seen.add(facts["value"])
    return seen


def test_two_processes_never_see_half_a_file(home):
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        seen = pool.starmap(_busy, [(str(home), 1.0), (str(home), 2.0)])
    assert set().union(*seen) <= {1.0, 2.0}
    assert [path.name for path in folder().iterdir()] == ["shared"]
