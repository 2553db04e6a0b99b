import io

import pytest

from sprayout_core.errors import Fault, SprayoutError
from sprayout_core.tables import (
    Choice,
    Conditions,
    Preview,
    Question,
    RowLeftOut,
    Source,
    TableReading,
    Understood,
    WrittenTable,
    counted,
    from_tree,
    geometry,
    illuminant,
    in_memory,
    observer,
    tree,
)

READING = TableReading(
    "kelp", 3, Conditions("percent", "45as15", "D65", 10, "bare", "corrected"), (400.0, 500.0), (0.5, -0.01),
    {"L*": 41.25}, {"shift": "late"}, "column 2", {"by": "ada"},
)  # fmt: skip
PREVIEW = Preview(
    "a reader 1.0",
    (Understood("scale", "percent", "told", "why"),),
    (Question("stage", "Which?", "unsaid", (Choice("bare", "nothing on it"),)),),
    (Fault("a.csv, line 2", "no number", "Correct it."),),
    1, (READING,), (RowLeftOut(4, "a note"),), 1, {"scale": "percent"},
)  # fmt: skip


@pytest.mark.parametrize(
    "value", [READING, PREVIEW, RowLeftOut(1, "x"), Fault("a", "b"), WrittenTable("txt", b"\0\xff")]
)
def test_values_survive_as_trees(value):
    assert from_tree(tree(value)) == value


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"is": "a cat"}, "no table value"),
        ({"line": "3"}, "expected int"),
        ({"line": True}, "expected int"),
        ({"values": [float("nan")]}, "expected float"),
        ({"values": "0.5"}, "reading/values"),
        ({"extra": {"a": 1}}, "reading/extra/a"),
        ({"colour": "red"}, "unknown member 'colour'"),
        ({"conditions": []}, "reading/conditions"),
    ],
)
def test_what_is_no_tree_of_a_value_is_refused_with_its_place(change, words):
    with pytest.raises(SprayoutError) as refused:
        from_tree(tree(READING) | change)
    assert words in str(refused.value)


def test_a_source_opens_again_and_again():
    source = in_memory("a.csv", b"abc")
    assert [source.open().read(), source.open().read()] == [b"abc", b"abc"]
    # SHA-256 of "abc", FIPS 180-4 example
    assert source.digest == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert Source("a.csv", 3, source.digest, lambda: io.BytesIO(b"")) == source


def test_a_counted_source_tells_how_far_it_is_read():
    told = []
    source = counted(in_memory("a.csv", b"x" * 600_000), told.append)
    for _ in range(2):
        with source.open() as stream:
            assert len(stream.read()) == 600_000
    assert told[-1] == 600_000
    assert told.count(600_000) >= 2
    assert len(told) > 4


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("45:0", "45:0"), ("45/0", "45:0"), ("45°:0°", "45:0"), ("45a:0", "45:0"), ("0:45", "0:45"),
        ("di:8", "di:8"), ("DI : 8°", "di:8"), ("d:8 specular included", "di:8"), ("d:8 excluded", "de:8"),
        ("45as15", "45as15"), ("45:as-15", "45as-15"), ("45 as 110", "45as110"), ("45as+75", "45as75"),
    ],
)  # fmt: skip
def test_geometries_have_one_spelling(text, spelled):
    assert geometry(text) == spelled
    assert geometry(spelled) == spelled


@pytest.mark.parametrize("text", ["d:8", "d/8", "15", "45as", "45as300", "95as15", "up", "", "0:0"])
def test_geometries_that_leave_something_open_are_refused(text):
    with pytest.raises(SprayoutError):
        geometry(text)


def test_lights_and_observers_have_one_spelling():
    assert [illuminant(text) for text in ("D65", "d65", "CIE A", "F11", "FL11", "E")] == [
        "D65",
        "D65",
        "A",
        "FL11",
        "FL11",
        "E",
    ]
    assert [observer(text) for text in ("2", "10°", "10 deg", "2 degree observer")] == [2, 10, 10, 2]
    for wrong in ("", "65", "D", "daylight"):
        with pytest.raises(SprayoutError):
            illuminant(wrong)
    for wrong in ("", "4", "D65"):
        with pytest.raises(SprayoutError):
            observer(wrong)
