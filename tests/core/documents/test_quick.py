"""The quick proof never says yes where the models say no: golden, bad and thousands of changed documents."""

import json
import random
import sys
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.documents.bad import GOLDEN, changed, text_of
from tests.core.documents.mutants import mutant
from tests.core.documents.mutants import text_of as stored_or_none
from tests.core.documents.test_bad_documents import CASES

from sprayout_core.documents import KINDS, from_tree, members_of, parse, proved, read, stored, tree, write
from sprayout_core.documents import text_of as put_together
from sprayout_core.documents.values import TAKEN_AS_WRITTEN, can_be_shown
from sprayout_core.errors import SprayoutError

TEXTS = {path.stem: path.read_bytes() for path in sorted(GOLDEN.glob("*.json"))}
TREES = [json.loads(text) for text in TEXTS.values()]
#: What the quick proof leaves to the models although it is in order: a count "4 to 5", a third.
LEFT = {"kelp-over-metal--base", "violet-thirds--base"}


def judged(text):
    """The head of a document that the models take and write again as it stands, or None."""
    try:
        document = read(text)
    except SprayoutError:
        return None
    return (document.kind, document.id, dict(document.seen)) if write(document) == text else None


def agree(text):
    """Hold the quick proof against the models; return whether each took the text."""
    quick, slow = proved(text), judged(text)
    assert quick is None or tuple(quick) == slow, text
    return quick is not None, slow is not None


@pytest.mark.parametrize("name", TEXTS)
def test_golden_documents_are_proved_without_models_unless_they_ask(name):
    text = TEXTS[name]
    quick, slow = agree(text)
    assert slow
    assert quick == (b'\n  "questions": {' not in text and name not in LEFT)


def test_no_bad_document_is_proved():
    for case in CASES:
        assert proved(text_of(case)) is None
        if "golden" in case and (text := stored_or_none(changed(case))) is not None:
            assert proved(text) is None, case["name"]


def test_a_mix_in_question_that_is_no_mix_is_refused_in_words():
    plain = json.loads(TEXTS["kelp-glass--joined"])
    assert "mix" in plain["questions"]
    with pytest.raises(SprayoutError, match="where members belong"):
        from_tree({**plain, "mix": "9:2"})


def hold_mutants(seed, count):
    rng = random.Random(seed)
    both = 0
    for _ in range(count):
        plain = mutant(rng, rng.choice(TREES), TREES)
        if (text := stored_or_none(plain)) is not None:
            quick, slow = agree(text)
            both += quick and slow
    return both


def test_changed_documents_are_judged_alike():
    assert hold_mutants(1, 1500) > 40


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10))
def test_many_changed_documents_are_judged_alike(seed):
    assert hold_mutants(100 + seed, 30_000) > 1000


def test_broken_bytes_are_judged_alike():
    rng = random.Random(2)
    texts = list(TEXTS.values())
    for _ in range(1500):
        text = bytearray(rng.choice(texts))
        place = rng.randrange(len(text))
        piece = rng.choice(
            (b"", b"\n", b"  ", b"\\u0041", b"\\t", b"null", b",", b'"', b"{}", b"0", b"\xc3\xa4", b"\xff")
        )
        text[place : place + rng.randrange(3)] = piece
        agree(bytes(text))


@pytest.mark.parametrize("rule", TAKEN_AS_WRITTEN, ids=lambda rule: rule.__name__)
def test_text_of_a_pattern_is_taken_as_it_is_written(rule):
    @settings(max_examples=100, deadline=None)
    @given(st.from_regex(rf"\A(?:{TAKEN_AS_WRITTEN[rule]})\Z"))
    def hold(text):
        if can_be_shown(text):
            assert rule(text) == text

    hold()


def test_characters_that_cannot_be_shown_are_those_of_the_models():
    from pydantic import TypeAdapter, ValidationError

    from sprayout_core.documents.values import LongText

    long_text = TypeAdapter(LongText)

    def taken(character):
        try:
            return long_text.validate_python(f"a{character}b") == f"a{character}b"
        except (ValidationError, UnicodeEncodeError):
            return False

    for place in range(sys.maxunicode + 1):
        character = chr(place)
        if unicodedata.category(character) in {"Cc", "Cf", "Cs", "Co", "Zl", "Zp", "Zs"} or place % 97 == 0:
            assert can_be_shown(f"a{character}b") == taken(character), hex(place)


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_is_cut_into_its_members_and_put_together_again(name):
    members = members_of(TEXTS[name])
    assert put_together(members) == TEXTS[name]
    plain = json.loads(TEXTS[name])
    assert {key.decode(): json.loads(value) for key, value in members.items()} == plain
    for key in members:
        rest = {other: value for other, value in members.items() if other != key}
        assert put_together(rest) == stored({other: value for other, value in plain.items() if other != key.decode()})


@pytest.mark.parametrize(
    "text",
    [b"", b"{}\n", b'{\n  "b": 1,\n  "a": 1\n}\n', b'{\n  "a": 1,\n  "a": 1\n}\n', b'{\n  "a": 1\n}',
     b'{\n  "a",\n  "b": 1\n}\n'],
)  # fmt: skip
def test_what_is_not_in_the_stored_form_is_not_cut(text):
    assert members_of(text) is None


def test_every_kind_is_told_to_the_typed_decoder():
    proven = {parse(text)["kind"] for text in TEXTS.values() if proved(text)}
    assert proven == set(KINDS)
    for text in TEXTS.values():
        assert tree(from_tree(parse(text))) == parse(text)
