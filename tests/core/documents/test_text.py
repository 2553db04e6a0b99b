"""The byte forms and ids against published vectors, and against an independent package."""

import json
import math

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from sprayout_core.documents import TextError, compact, parse, stored, uuid7, uuid8
from sprayout_core.documents.text import number_text

#: RFC 8785, appendix B (numbers) and section 3.2.2 (the worked example).
NUMBERS = {
    -0.0: "0",
    5e-324: "5e-324",
    -5e-324: "-5e-324",
    1.7976931348623157e308: "1.7976931348623157e+308",
    9007199254740992.0: "9007199254740992",
    295147905179352830000.0: "295147905179352830000",
    9.999999999999997e22: "9.999999999999997e+22",
    1e23: "1e+23",
    1.0000000000000001e23: "1.0000000000000001e+23",
    999999999999999700000.0: "999999999999999700000",
    999999999999999900000.0: "999999999999999900000",
    1e21: "1e+21",
    9.999999999999997e-7: "9.999999999999997e-7",
    0.000001: "0.000001",
    333333333.3333332: "333333333.3333332",
    333333333.33333325: "333333333.33333325",
    333333333.3333333: "333333333.3333333",
    -0.0000033333333333333333: "-0.0000033333333333333333",
    1424953923781206.2: "1424953923781206.2",
}


@pytest.mark.parametrize("value", NUMBERS, ids=str)
def test_numbers_of_rfc_8785_appendix_b(value):
    assert number_text(value) == NUMBERS[value]
    assert compact([value]) == f"[{NUMBERS[value]}]".encode()
    assert compact(value) == NUMBERS[value].encode()


def test_the_worked_example_of_rfc_8785():
    """RFC 8785, section 3.2.2 to 3.2.4."""
    said = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": '\u20ac$\u000f\u000aA\'B"\\\\"/',
        "literals": [None, True, False],
    }
    wanted = (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
    assert compact(said).decode() == wanted


def test_members_are_sorted_by_utf_16_units():
    """RFC 8785, section 3.2.3."""
    said = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    order = list(json.loads(compact(said)).values())
    assert order == [
        "Carriage Return",
        "One",
        "Control",
        "Latin Small Letter O With Diaeresis",
        "Euro Sign",
        "Emoji: Grinning Face",
        "Hebrew Letter Dalet With Dagesh",
    ]


def test_uuid_7_of_rfc_9562():
    """RFC 9562, appendix A.6: 2022-02-22T19:22:22Z, rand_a CC3, rand_b 18C4DC0C0C07398F."""
    random = (0xCC3 << 64 | 0x18C4DC0C0C07398F).to_bytes(10, "big")
    assert uuid7(1645557742000, random) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


def test_uuid_8_carries_its_version_and_variant():
    """RFC 9562, appendix B.2: custom data with version 8 and variant 10 in place."""
    digest = bytes.fromhex("5c146b143c524afd938a375d0df1fbf6")
    assert uuid8(digest) == "5c146b14-3c52-8afd-938a-375d0df1fbf6"


numbers = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**53) + 1, 2**53 - 1)
text = st.text(st.characters(exclude_categories=["Cs"]))
values = st.recursive(
    numbers | text | st.booleans() | st.none(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(text, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=200, deadline=None)
@given(values)
def test_the_compact_form_agrees_with_an_independent_package(value):
    assert compact(value) == rfc8785.dumps(value)


@settings(max_examples=200, deadline=None)
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_agrees_with_an_independent_package(value):
    assert compact([value]) == rfc8785.dumps([value])


@pytest.mark.parametrize("value", [math.nan, math.inf, 2**53, -(2**53), [2**60], {"a": "\ud800"}], ids=repr)
def test_what_no_reader_could_keep_is_refused(value):
    with pytest.raises(TextError):
        compact(value)


names = st.from_regex(r"[a-z0-9_./-]{1,8}", fullmatch=True)
kept = st.floats(-1e9, 1e9) | st.integers(-(10**9), 10**9) | text | st.booleans()
documents = st.recursive(kept, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(names, inner, max_size=4))


@settings(max_examples=80, deadline=None)
@given(st.dictionaries(names, documents, max_size=4))
def test_the_stored_form_is_a_fixed_point(value):
    written = stored(value)
    assert stored(parse(written)) == written
    assert written.endswith(b"\n")
    assert b"\r" not in written


def test_numbers_stand_on_one_line():
    assert stored({"values": [0.25, 1, -0.5], "words": ["a", "b"]}).decode() == (
        '{\n  "values": [0.25, 1, -0.5],\n  "words": [\n    "a",\n    "b"\n  ]\n}\n'
    )


def test_brackets_inside_words_are_not_depth():
    assert parse(stored({"text": "[" * 40})) == {"text": "[" * 40}
    with pytest.raises(TextError, match="nested more than 24 deep"):
        parse(b'{"text": "' + b"]" * 100 + b'", "deep": ' + b"[" * 25 + b"]" * 25 + b"}")
