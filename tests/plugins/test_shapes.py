"""Made-up tables of many shapes with the previews they must give; the expectations were written before
the reader.
"""

import json
from pathlib import Path

import pytest

from sprayout_core.tables import in_memory
from sprayout_plugins import instrument_csv

SHAPES = sorted((Path(__file__).parent / "shapes").glob("*.json"))


def content(shape):
    text = shape["line_end"].join(shape["text"]) + (shape["last_line_end"] and shape["line_end"])
    return text.encode(shape["encoding"])


def short(fault):
    return fault.place.removeprefix("shape.csv").removeprefix(", ")


@pytest.mark.parametrize("path", SHAPES, ids=lambda path: path.stem)
def test_shape_gives_its_expected_preview(path):
    shape = json.loads(path.read_text(encoding="utf-8"))
    expect = shape["expect"]
    source = in_memory("shape.csv", content(shape))
    seen = instrument_csv.preview_table(source, shape["options"])
    told = {question.option: question.why for question in seen.questions}
    assert (list(told), [str(fault) for fault in seen.faults] if not expect.get("faults") else []) == (
        expect.get("questions", []),
        [],
    )
    for option, words in expect.get("why", {}).items():
        assert words in told[option]
    for (place, words), fault in zip(expect.get("faults", []), seen.faults, strict=True):
        assert short(fault).startswith(place)
        assert words in fault.problem
        assert place or not short(fault) or "column" in short(fault) or "line" in short(fault)
    understood = {fact.what: fact for fact in seen.understood}
    for what, value in expect.get("understood", {}).items():
        assert understood[what].value == value
    for what, how in expect.get("how", {}).items():
        assert understood[what].how == how
    if "readings" in expect:
        assert seen.readings == expect["readings"]
    if "left_out" in expect:
        assert [row.line for row in seen.left_out] == expect["left_out"]
    if seen.ready:
        check_readings(source, shape["options"], expect, seen)


def check_readings(source, options, expect, seen):
    found = [one for one in instrument_csv.read_table(source, options) if hasattr(one, "label")]
    assert len(found) == seen.readings
    assert tuple(found[: len(seen.first)]) == seen.first
    if "labels" in expect:
        assert [one.label for one in found] == expect["labels"]
    if "geometries" in expect:
        assert [one.conditions.geometry for one in found] == expect["geometries"]
    if "values" in expect:
        assert found[0].values == pytest.approx(expect["values"], abs=1e-12)
    if "wavelengths" in expect:
        assert list(found[0].wavelengths) == expect["wavelengths"]
    if "coordinates" in expect:
        assert found[0].coordinates == expect["coordinates"]
    for one, conditions in zip(found, expect.get("conditions", []), strict=False):
        assert {name: getattr(one.conditions, name) for name in conditions} == conditions
    for heading, text in expect.get("extra", {}).items():
        assert found[0].extra[heading] == text


def test_most_shapes_are_refused_or_asked_about():
    expected = [json.loads(path.read_text(encoding="utf-8"))["expect"] for path in SHAPES]
    taken = [one for one in expected if not one.get("questions") and not one.get("faults")]
    assert len(SHAPES) >= 60
    assert len(taken) < len(SHAPES) / 2
