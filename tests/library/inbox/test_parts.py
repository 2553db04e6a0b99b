"""The parts of the inbox by themselves: settling, names of files, private copies, headings, patterns of readings."""

import os
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.documents import read, write
from sprayout_core.errors import SprayoutError
from sprayout_core.tables import Conditions, TableReading, in_memory
from sprayout_library.inbox import (
    Asked,
    Mappings,
    NamePattern,
    NotReadable,
    Settling,
    StillChanging,
    copied,
    headings_mark,
)
from sprayout_library.record import Writer
from sprayout_library.record.patterns import ReadyReading, reflectances
from sprayout_library.record.placing import SpotFound, Spots
from sprayout_library.record.readings import Intake, reading_facts_of
from sprayout_library.store import Store

NOW = datetime(2026, 3, 2, 9, 10, tzinfo=UTC)


def test_settling_needs_the_same_look_for_the_whole_time():
    settling = Settling(2.0, 20.0)
    looks = {"a": (1, 1, 1, 1)}
    settling.touched("a")
    assert settling.finished(looks.get, 0.0) == []
    assert settling.finished(looks.get, 1.9) == []
    looks["a"] = (2, 1, 1, 1)
    assert settling.finished(looks.get, 2.0) == []
    assert settling.finished(looks.get, 3.9) == []
    assert settling.finished(looks.get, 4.0) == ["a"]
    settling.put_off("a", 9.0)
    assert settling.finished(looks.get, 8.9) == [] and settling.expected(8.9) == 0
    assert settling.finished(looks.get, 9.0) == ["a"]
    del looks["a"]
    assert settling.finished(looks.get, 10.0) == [] and len(settling) == 0


def test_writing_again_after_a_close_is_waited_for():
    settling = Settling(1.0, 20.0)
    look = {"a": (1, 1, 1, 1)}.get
    settling.written("a")
    settling.finished(look, 0.0)
    assert settling.is_open("a") and settling.finished(look, 19.0) == []
    settling.closed("a")
    assert settling.finished(look, 19.0) == ["a"]
    settling.written("a")
    assert settling.finished(look, 19.5) == []
    assert settling.finished(look, 38.0) == []
    assert settling.finished(look, 39.5) == ["a"], "after long quiet a writer is waited for no more"


@pytest.mark.parametrize(
    ("pattern", "name", "label"),
    [
        ("{panel}.csv", "KF-1.csv", "KF-1"),
        ("{panel}.csv", "KF-1.CSV", "KF-1"),
        ("{panel}.csv", "KF-1.txt", None),
        ("scan-{panel}-*.csv", "scan-KF 1-0007.csv", "KF 1"),
        ("{panel}_{place}.csv", "KF-1_over black.csv", "KF-1/over black"),
        ("*({panel}).csv", "export (KF-1).csv", "KF-1"),
    ],
)
def test_patterns_of_file_names(pattern, name, label):
    assert NamePattern(pattern).label(name) == label


@pytest.mark.parametrize("pattern", ["", "*.csv", "{panel}{panel}", "{shop}{panel}", "{panel", "{panel}{place}{place}"])
def test_patterns_that_say_no_panel_are_refused(pattern):
    with pytest.raises(SprayoutError):
        NamePattern(pattern)


@pytest.mark.parametrize("size", [0, 1, 300_000, 9_000_000])
def test_a_copy_is_the_file(tmp_path, size):
    path = tmp_path / "a.csv"
    path.write_bytes(os.urandom(size))
    with copied(path, first=min(size, 1000)) as copy:
        path.write_bytes(b"something else")
        for _ in range(2):
            with copy.source.open() as one, copy.source.open() as other:
                start = other.read(10)
                assert one.read()[:10] == start
        with copy.source.open() as one:
            assert in_memory("a.csv", one.read()) == copy.source
        with copy.source.open() as one:
            assert copy.begins_with == (in_memory("", one.read(1000)).digest if size >= 1 else "")


def test_what_is_no_plain_file_is_refused(tmp_path):
    (tmp_path / "folder").mkdir()
    for name in ("folder", "nothing"):
        with pytest.raises(NotReadable), copied(tmp_path / name):
            pass


def test_a_file_that_shrinks_while_it_is_read_is_still_changing(tmp_path, monkeypatch):
    path = tmp_path / "a.csv"
    path.write_bytes(bytes(3_000_000))
    from sprayout_library.inbox import copying

    real = copying.signature
    looks = iter([lambda: real(path), lambda: (1, 1, 1, 1)])
    monkeypatch.setattr(copying, "signature", lambda _: next(looks)())
    with pytest.raises(StillChanging), copied(path):
        pass


TABLE = b"Piece;400;410\r\nKF-1;12,5;13,5\r\n"


def test_headings_know_their_table_again():
    mark = headings_mark(in_memory("a.csv", TABLE))
    assert mark
    assert headings_mark(in_memory("b.csv", b"\xef\xbb\xbf" + TABLE + b"KF-2;1,5;2,5\r\n")) == mark
    assert headings_mark(in_memory("c.csv", TABLE.decode().encode("utf-16"))) == headings_mark(
        in_memory("d.csv", (TABLE + b"KF-3;9,5;9,5\r\n").decode().encode("utf-16"))
    )
    assert headings_mark(in_memory("e.csv", TABLE.replace(b"410", b"420"))) != mark
    assert headings_mark(in_memory("f.csv", b"400;410\n1;2\n")) == ""
    assert headings_mark(in_memory("g.csv", b"")) == ""


def test_mappings_are_kept_on_this_machine(shop):
    mappings = Mappings()
    assert mappings.of_folder(shop.folder) is None and mappings.of_headings("x") is None
    told = Asked({"scale": "percent"}, "instrument_csv", "{panel}.csv")
    mappings.keep_for_folder(shop.folder, told)
    mappings.keep_for_headings("x", told)
    mappings.keep_for_headings("", told)
    assert Mappings().of_folder(shop.folder) == told and Mappings().of_headings("x") == told
    assert Mappings().of_headings("") is None


NUMBERS = (
    st.floats(-1, 2)
    | st.floats(-1, 2).map(lambda value: round(value, 5))
    | st.sampled_from([0.0, -0.0, 1.0, 2.0, 1e-5, -1e-5, 4e-6, 0.999999, 1.5, -1.0, 2.5, 1e-7])
)
GEOMETRIES = st.sampled_from(["45:0", "de:8", "45as15"])


@settings(max_examples=150, deadline=None)
@given(
    rows=st.lists(st.lists(NUMBERS, min_size=3, max_size=3), min_size=2, max_size=6),
    geometry=GEOMETRIES,
    stage=st.sampled_from(["bare", "cleared"]),
    bandpass=st.sampled_from(["", "corrected", "uncorrected"]),
    spots=st.lists(st.sampled_from([(None, None), ("2", None), (None, "over_black")]), min_size=6, max_size=6),
    grid=st.sampled_from([(400.0, 410.0, 420.0), (400.0, 410.0, 425.5)]),
)
def test_readings_made_from_a_pattern_are_those_made_whole(quiet_store, rows, geometry, stage, bandpass, spots, grid):
    """What is quick gives the same documents, the same refusals and the same ids as what checks everything twice."""
    writer = Writer(quiet_store, "ada", clock=lambda: NOW)
    panel = writer.fresh_id()
    about = Conditions("unit", geometry, stage=stage, bandpass=bandpass)
    quick, counts = Intake(writer, Nowhere(), "ab" * 32), {}
    for line, (values, (step, zone)) in enumerate(zip(rows, spots, strict=False), 2):
        row = TableReading("KF-1", line, about, grid, tuple(values))
        spot = SpotFound(panel, step, zone)
        facts = reading_facts_of((row,), spot)
        whole = outcome(lambda facts=facts, line=line: quick._made(facts, f"line {line}"))
        if isinstance(whole, bytes):
            identity = read(whole).id
            counts[identity] = counts.get(identity, 0) + 1
            if counts[identity] > 1:
                facts = {**facts, "repeat": counts[identity]}
                whole = outcome(lambda facts=facts, line=line: quick._made(facts, f"line {line}"))
        assert outcome(lambda row=row, spot=spot: quick.ready(row, spot)) == whole


def outcome(work):
    try:
        found = work()
        return found.content if isinstance(found, ReadyReading) else write(found)
    except SprayoutError as error:
        return [(fault.place, fault.problem) for fault in error.faults]


class Nowhere(Spots):
    def __init__(self):
        pass


@pytest.fixture(scope="module")
def quiet_store(tmp_path_factory):
    folder = tmp_path_factory.mktemp("store")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        with Store.create(folder / "library", NOW) as store:
            yield store


EDGES = st.sampled_from([0.0, -0.0, 1.0, 3.0, -1e-7, 1.0000001])


@given(st.lists(st.floats(-2, 4, allow_nan=False) | EDGES, max_size=5))
def test_reflectances_are_on_their_quantum_and_whole_ones_are_whole(values):
    for value, kept in zip(values, reflectances(values), strict=True):
        assert kept == round(value, 5)
        assert isinstance(kept, int) == (round(value, 5) == int(round(value, 5)))
