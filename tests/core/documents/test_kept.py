"""What is only looked at says the same as the models, and is made of the same members."""

import json
from types import UnionType
from typing import Annotated, Literal, Union, get_args, get_origin, get_type_hints

import pytest
from tests.core.documents.bad import GOLDEN

from sprayout_core.documents import KINDS, Part, digest, kept, kept_parts, read, stored, tree, write
from sprayout_core.documents.kept import look

TEXTS = {path.stem: path.read_bytes() for path in sorted(GOLDEN.glob("*.json"))}
LOOKED_AT = {name: text for name, text in TEXTS.items() if b'"questions"' not in text and b'"kind": "shop"' not in text}


def told(kind):
    """Return a type of a model as the kept parts have it: without rules, text where only some words may stand."""
    made, inner = get_origin(kind), get_args(kind)
    if made is Annotated:
        return told(inner[0])
    if made is Literal:
        return type(inner[0])
    if made in (dict, list):
        return made[tuple(told(one) for one in inner)]
    if made in (Union, UnionType):
        return Union[tuple(told(one) for one in inner)]  # noqa: UP007
    if isinstance(kind, type) and issubclass(kind, Part):
        assert_same_members(kind, getattr(kept_parts, kind.__name__))
        return getattr(kept_parts, kind.__name__)
    return kind


def assert_same_members(model, struct):
    members = {name: field for name, field in model.model_fields.items() if name != "questions"}
    types = get_type_hints(struct)
    assert set(types) == set(members), model
    for name, field in members.items():
        if name != "kind" or struct.__module__ == kept_parts.__name__:
            assert types[name] == told(field.annotation), (model, name)


@pytest.mark.parametrize("kind", kept.KINDS)
def test_kept_kinds_have_the_members_of_their_models(kind):
    assert_same_members(KINDS[kind], kept.KINDS[kind])


@pytest.mark.parametrize("name", LOOKED_AT)
def test_what_is_looked_at_says_the_same(name):
    text = LOOKED_AT[name]
    seen, model = look(text), read(text)
    assert type(seen) is kept.KINDS[model.kind]
    assert json.dumps(tree(seen)) == json.dumps(tree(model))
    assert write(seen) == text
    assert (seen.name, digest(seen), seen.is_open("mix")) == (model.name, digest(model), False)
    if model.kind == "formula":
        assert (seen.slots, seen.mix.pouring_order()) == (model.slots, model.mix.pouring_order())
    if model.kind == "recipe":
        assert [key for key, _ in seen.coats_in_order()] == [key for key, _ in model.coats_in_order()]
    for one, other in zip(getattr(seen, "measured", ()), getattr(model, "measured", ()), strict=True):
        assert one.spectrum is None or one.spectrum.grid() == other.spectrum.grid()


@pytest.mark.parametrize("name", sorted(TEXTS.keys() - LOOKED_AT.keys()))
def test_a_document_in_question_is_left_to_the_models(name):
    assert look(TEXTS[name]) == read(TEXTS[name])


@pytest.mark.parametrize(
    "change", [{"format": "sprayout/1.7"}, {"format": "sprayout/1.7", "sheen": "satin"}, {"seen": {"k7f3q2": "12"}}]
)
def test_what_a_decoder_cannot_know_is_judged_by_the_models(change):
    text = stored(json.loads(TEXTS["kelp-neat--base"]) | change)
    try:
        asked = read(text)
    except Exception as error:  # noqa: BLE001 - the same refusal, whatever it is
        with pytest.raises(type(error)) as refused:
            look(text)
        assert str(refused.value) == str(error)
    else:
        assert look(text) == asked
