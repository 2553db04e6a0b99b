"""Bad documents, each with the message it gets: all faults at once, with place and remedy, and nothing changed."""

import copy
import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.documents.bad import GOLDEN, changed, text_of
from tests.core.documents.invented import AT, COPY, OTHER, material

from sprayout_core.compare import Add, CannotEdit, Put, TakeAway, TakeOut, edit
from sprayout_core.documents import DocumentError, authoring_faults, from_tree, made, read, tree, write
from sprayout_core.errors import SprayoutError

CASES = json.loads((Path(__file__).parent / "bad_documents.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_each_bad_document_is_refused_in_these_words(case):
    with pytest.raises(SprayoutError) as refused:
        read(text_of(case))
    assert [str(fault) for fault in refused.value.faults] == case["says"]


def test_there_are_enough_of_them():
    assert len(CASES) >= 60
    assert all(case["says"] for case in CASES)


@pytest.mark.parametrize("case", [case for case in CASES if "golden" in case], ids=lambda case: case["name"])
def test_a_refused_document_changes_nothing(case):
    plain = changed(case)
    before = copy.deepcopy(plain)
    with pytest.raises(SprayoutError):
        from_tree(plain)
    assert plain == before


def test_nearly_every_fault_has_a_place_and_a_remedy():
    for case in CASES:
        with pytest.raises(SprayoutError) as refused:
            read(text_of(case))
        for fault in refused.value.faults:
            assert fault.problem
            assert fault.remedy
            assert fault.place or "text" in case


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (Put("provenance", {}), "provenance cannot be changed"),
        (Put("made", "k7f3q2.9"), "made cannot be changed"),
        (Put("tags", "teal"), "tags cannot be changed"),
        (Put("notes/k7f3q2.99", {"text": "x"}), "there is no notes/k7f3q2.99. Add it instead."),
        (Add("title", "again"), "nothing can be added to title"),
        (TakeOut("tags", "violet"), "'violet' is not in tags"),
        (Put("mix", {"basis": "volume", "items": {}}), "basis and items go together"),
        (Put("title", " "), "blank at an end"),
        (TakeAway("title"), "title: missing"),
        (TakeAway("mix"), "mix: missing"),
        (Put("spray_ready/small", {"tip_mm": "-1"}), "-1 is below zero"),
        (Add("notes", {"words": "x"}), "text: missing"),
    ],
    ids=str,
)
def test_bad_changes_are_refused_and_change_nothing(change, says):
    document = read((GOLDEN / "kelp-glass--base.json").read_bytes())
    text = write(document)
    with pytest.raises((CannotEdit, DocumentError)) as refused:
        edit(document, COPY, [change], AT)
    assert any(says in str(fault) for fault in refused.value.faults)
    assert write(document) == text


def test_a_reducer_with_solids_is_refused_when_it_is_written_but_never_stops_a_join():
    from sprayout_core.compare import join

    with pytest.raises(DocumentError, match="a reducer has no solids, by role"):
        material(1, "Slow", role="reducer", volume_solids_percent="3")
    base = material(1, "Slow", role="carrier")
    ours = edit(base, COPY, [Put("role", "reducer")], AT)
    theirs = edit(base, OTHER, [Put("volume_solids_percent", "30")], AT)
    with pytest.raises(DocumentError, match="by role"):
        edit(ours, COPY, [Put("volume_solids_percent", "30")], AT)
    joined = join(ours, theirs)
    assert read(write(joined)) == joined
    assert [str(fault) for fault in authoring_faults(joined)] == [
        "volume_solids_percent: a reducer has no solids, by role. Drop it, or give another role."
    ]
    assert edit(joined, COPY, [Put("title", "Slower")], AT).title == "Slower"


def test_a_reading_is_named_by_its_facts_in_their_one_spelling():
    facts = tree(read((GOLDEN / "k12-five-coats--base.json").read_bytes()))
    kept = {name: facts[name] for name in ("panel", "zone", "step", "stage", "grade", "measured", "measured_at")}
    instrument = {"name": "bench spectrophotometer", "serial": "0007", "aperture_mm": "8.0"}
    again = made(
        "reading",
        {**kept, "instrument": instrument, "temperature_degc": 21.4},
        copy=OTHER,
        provenance={"at": AT, "tool": "another"},
    )
    assert again.id == facts["id"]


def test_a_document_that_says_empty_things_says_nothing():
    plain = tree(read((GOLDEN / "kelp-glass--base.json").read_bytes()))
    hollow = {**plain, "notes": {}, "aliases": {}, "spray_ready": {**plain["spray_ready"], "large": {}}}
    assert "large" not in from_tree(hollow).spray_ready
    assert tree(from_tree(hollow)).get("notes") is None
    assert read(write(from_tree(hollow))) == from_tree(hollow)


FILES = sorted(GOLDEN.glob("*.json"))


@pytest.mark.parametrize("seed", range(3))
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_broken_bytes_are_refused_or_read_and_never_crash(seed, data):
    text = bytearray(data.draw(st.sampled_from(FILES)).read_bytes())
    for _ in range(seed + 1):
        place = data.draw(st.integers(0, len(text) - 1))
        text[place : place + data.draw(st.integers(0, 3))] = data.draw(st.binary(max_size=3))
    try:
        document = read(bytes(text))
    except SprayoutError as error:
        assert error.faults
    else:
        assert read(write(document)) == document


places = st.sampled_from([3, "x", [], {}, [{}], {"a": 1}, 0.5, -1, "k7f3q2.1", {"k7f3q2.1": {}}, [[]], True])


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_wrong_values_in_any_place_never_crash(data):
    plain = json.loads(data.draw(st.sampled_from(FILES)).read_bytes())
    holder = plain
    while True:
        name = data.draw(st.sampled_from(sorted(holder)))
        if isinstance(holder[name], dict) and holder[name] and data.draw(st.booleans()):
            holder = holder[name]
        else:
            break
    holder[name] = data.draw(places)
    try:
        document = from_tree(plain)
    except SprayoutError as error:
        assert error.faults
    else:
        assert read(write(document)) == document


def _hostile():
    """Documents within the size limit, each the worst of its sort."""
    base = tree(read((GOLDEN / "kelp-glass--base.json").read_bytes()))
    seen = {**base["seen"], COPY: 20_000}
    dots = {f"{COPY}.{number}": {"value": {"tip_mm": str(number)}} for number in range(4, 1504)}
    times = dict.fromkeys(dots, AT)
    yield "thousands of answers to one question", {
        **base, "seen": seen, "questions": {"spray_ready/large": dots}, "edits": {"spray_ready/large": times}
    }  # fmt: skip
    pairs = {
        f"spray_ready/g{n}": {f"{COPY}.{4 + 2 * n + k}": {"value": {"tip_mm": str(k + 1)}} for k in (0, 1)}
        for n in range(2500)
    }
    times = {atom: dict.fromkeys(answers, AT) for atom, answers in pairs.items()}
    yield "thousands of questions", {**base, "seen": seen, "questions": pairs, "edits": times}
    yield "thousands of notes", {**base, "seen": seen, "notes": {f"{COPY}.{n}": {"text": "x"} for n in range(4, 3004)}}
    items = {f"01926f39-0d4f-7e8a-b6c7-{n:012x}": {"kind": "material", "ratio": 2 * n + 1} for n in range(100, 3000)}
    yield "a mix of thousands", {**base, "mix": {"basis": "volume", "items": items}}


@pytest.mark.parametrize(("name", "plain"), list(_hostile()), ids=lambda value: value if isinstance(value, str) else "")
def test_the_worst_documents_are_read_in_bounded_work(name, plain):
    """Counted in calls, not in seconds: the work grows with the size, not with its square."""
    import sys

    calls = 0

    def count(frame, event, arg):
        nonlocal calls
        calls += event == "call"

    text = write(from_tree(plain))
    before = sys.getprofile()
    sys.setprofile(count)
    try:
        read(text)
    finally:
        sys.setprofile(before)
    assert calls < len(text), name


@pytest.mark.parametrize("text", [b'"' + b'\\"' * 400_000, b"[" * 900_000, b'{"a":' * 150_000, b'"' * 900_000])
def test_the_worst_texts_are_refused(text):
    with pytest.raises(SprayoutError):
        read(text)
