"""The journal keeps every tap that was told as kept, whatever byte the machine stopped at."""

import json

import pytest

from sprayout_library.session import Journal, JournalError

TAPS = [
    {"tap": "start", "at": "2026-05-04T08:00:00Z"},
    {"tap": "coat", "pieces": ["K1", "Grün"]},
    {"tap": "judgement", "pieces": ["K1", "Grün"], "facts": {"pieces": [[{"piece": "K1"}], [{"piece": "Grün"}]]}},
    {"tap": "picture", "pieces": ["Grün"], "facts": {"thumbnail": "/9j/" * 40}},
    {"tap": "undo"},
]


@pytest.fixture
def journal(tmp_path):
    journal = Journal(tmp_path / "deep" / "day.taps")
    for tap in TAPS:
        journal.append(tap)
    return journal


def test_taps_come_back_in_order(journal):
    assert journal.taps() == TAPS


def test_every_cut_keeps_exactly_the_whole_taps(journal):
    content = journal.path.read_bytes()
    ends = [place + 1 for place, byte in enumerate(content) if byte == 0x0A]
    for cut in range(len(content) + 1):
        journal.path.write_bytes(content[:cut])
        assert journal.taps() == TAPS[: sum(end <= cut for end in ends)]


def test_the_next_tap_after_any_cut_is_kept_and_the_cut_end_is_gone(journal):
    content = journal.path.read_bytes()
    first = content.index(b"\n") + 1
    for cut in (*range(first, len(content), 9), len(content) - 1, len(content)):
        journal.path.write_bytes(content[:cut])
        whole = journal.taps()
        journal.append({"tap": "after", "cut": cut})
        assert journal.taps() == [*whole, {"tap": "after", "cut": cut}]


@pytest.mark.parametrize("flip", [0, 5, 20])
def test_a_spoilt_tap_with_whole_ones_after_it_is_refused(journal, flip):
    content = bytearray(journal.path.read_bytes())
    content[flip] ^= 0x10
    journal.path.write_bytes(content)
    with pytest.raises(JournalError, match="tap 1 is damaged"):
        journal.taps()
    with pytest.raises(JournalError):
        journal.append({"tap": "coat"})
    assert journal.path.read_bytes() == bytes(content)


def test_a_spoilt_last_tap_was_never_told_as_kept(journal):
    content = bytearray(journal.path.read_bytes())
    content[-3] = ord("x")
    journal.path.write_bytes(content)
    assert journal.taps() == TAPS[:-1]


def test_zeros_after_the_end_as_some_disks_leave_them_are_passed_over(journal):
    journal.path.write_bytes(journal.path.read_bytes() + bytes(512))
    assert journal.taps() == TAPS
    journal.append({"tap": "more"})
    assert journal.taps() == [*TAPS, {"tap": "more"}]


def test_a_tap_made_on_an_older_state_is_refused(journal):
    journal.append({"tap": "coat"})
    with pytest.raises(JournalError, match="in between"):
        journal.add({"tap": "coat"}, after=len(TAPS))


def test_a_session_is_begun_once(journal):
    with pytest.raises(JournalError, match="already"):
        journal.begin({"tap": "start"})


def test_a_number_that_json_does_not_have_is_no_tap(journal):
    before = journal.path.read_bytes()
    with pytest.raises(ValueError, match="Out of range"):
        journal.append({"air": float("nan")})
    assert journal.path.read_bytes() == before


def test_each_line_says_its_sum(journal):
    line = journal.path.read_bytes().split(b"\n")[0]
    text, _, told = line.rpartition(b"\t")
    assert json.loads(text) == TAPS[0]
    assert len(told) == 8
