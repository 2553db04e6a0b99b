"""Names of documents, copies and edits, and how a new document gets its own."""

import pytest
from tests.core.documents.invented import AT, COPY, thing

from sprayout_core.documents import copy_of, dot, dot_order, made, new_copy_id, number_of, tree, uuid7
from sprayout_core.errors import SprayoutError


def test_copy_ids_are_short_and_speakable():
    assert new_copy_id(bytes(8)) == "00000000"
    name = new_copy_id(b"\xff" * 8)
    assert len(name) == 8
    assert not set(name) & set("ilou")


def test_dots_are_ordered_by_copy_then_number():
    names = ["bbbbbb.1", "aaaaaa.10", "aaaaaa.9"]
    assert sorted(names, key=dot_order) == ["aaaaaa.9", "aaaaaa.10", "bbbbbb.1"]
    assert (copy_of("aaaaaa.10"), number_of("aaaaaa.10"), dot("aaaaaa", 10)) == ("aaaaaa", 10, "aaaaaa.10")


@pytest.mark.parametrize(("milliseconds", "random"), [(-1, bytes(10)), (2**48, bytes(10)), (0, bytes(9))])
def test_a_uuid_needs_its_bits(milliseconds, random):
    with pytest.raises(SprayoutError, match="48 bits of time and 10 random bytes"):
        uuid7(milliseconds, random)


def test_each_item_of_a_new_document_takes_a_number_of_its_own():
    facts = {
        "title": "Over",
        "tags": ["a", "b"],
        "coats": [{"formula": thing(2), "count": "1"}, {"formula": thing(2), "count": "until covered"}],
        "aliases": [],
        "clear": None,
    }
    recipe = made("recipe", facts, copy=COPY, provenance={"at": AT, "tool": "a test"}, id=thing(1))
    plain = tree(recipe)
    assert list(plain["tags"]) == [f"{COPY}.2", f"{COPY}.3"]
    assert plain["coats_order"] == list(plain["coats"]) == [f"{COPY}.4", f"{COPY}.5"]
    assert plain["made"] == f"{COPY}.1"
    assert plain["seen"] == {COPY: 5}
    assert "aliases" not in plain
    assert "edits" not in plain


def test_a_new_document_needs_an_id():
    with pytest.raises(SprayoutError, match="id: missing"):
        made("shop", {"title": "Alder (invented)"}, copy=COPY, provenance={"at": AT, "tool": "a test"})
