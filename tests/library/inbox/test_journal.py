"""The journal: only added to, whole after a power cut, nothing lost where the disk is full."""

import os
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_library.inbox import NoRoom
from sprayout_library.inbox.journal import Journal, JournalError


def entries(journal):
    return [entry["n"] for _, entry in Journal(journal.path).fresh()]


def test_what_was_added_is_there_once(tmp_path):
    journal = Journal(tmp_path / "in" / "journal.jsonl")
    assert list(journal.fresh()) == []
    journal.add([{"n": 1}, {"n": 2}])
    assert [entry["n"] for _, entry in journal.fresh()] == [1, 2]
    journal.add([{"n": 3}])
    places = list(journal.fresh())
    assert [entry["n"] for _, entry in places] == [3]
    assert journal.at(places[0][0]) == {"n": 3}
    with pytest.raises(JournalError):
        journal.at(places[0][0] + 2)


@settings(max_examples=60, deadline=None)
@given(cut=st.integers(0, 60))
def test_a_last_line_cut_anywhere_costs_itself_only(tmp_path_factory, cut):
    journal = Journal(tmp_path_factory.mktemp("journal") / "journal.jsonl")
    journal.add([{"n": number} for number in range(6)])
    whole = journal.path.read_bytes()
    kept = whole[: max(0, len(whole) - cut)]
    journal.path.write_bytes(kept)
    stands = kept.count(b"\n")
    assert entries(journal) == list(range(stands))
    Journal(journal.path).add([{"n": 99}])
    after = entries(journal)
    # A line that lacked only its line end is whole once the next one begins.
    assert after in ([*range(stands), 99], [*range(stands + 1), 99])


def test_a_damaged_line_in_the_middle_is_passed_over(tmp_path):
    journal = Journal(tmp_path / "journal.jsonl")
    journal.add([{"n": 1}])
    with journal.path.open("ab") as file:
        file.write(b'\x00\x00{"n": 2\n[1]\n')
    journal.add([{"n": 3}])
    assert entries(journal) == [1, 3]


@pytest.mark.skipif(sys.platform != "linux", reason="needs the device that is always full")
def test_a_full_disk_is_told(tmp_path):
    full = tmp_path / "journal.jsonl"
    full.symlink_to("/dev/full")
    with pytest.raises((NoRoom, JournalError)):
        Journal(full).add([{"n": 1}])


def test_what_did_not_fit_is_taken_back(tmp_path, monkeypatch):
    import errno

    journal = Journal(tmp_path / "journal.jsonl")
    journal.add([{"n": 1}])
    before = journal.path.read_bytes()

    def full(_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NoRoom):
        journal.add([{"n": 2}])
    assert journal.path.read_bytes() == before


def test_two_readers_see_what_either_adds(tmp_path):
    one, other = Journal(tmp_path / "journal.jsonl"), Journal(tmp_path / "journal.jsonl")
    one.add([{"n": 1}])
    assert [entry["n"] for _, entry in other.fresh()] == [1]
    other.add([{"n": 2}])
    assert [entry["n"] for _, entry in one.fresh()] == [1, 2]
