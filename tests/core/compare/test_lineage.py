"""Our version of a document, and what differs from its parent."""

import pytest
from tests.core.documents.invented import AT, COPY, OTHER, document, formula, material, parts, thing

from sprayout_core.compare import Add, Put, TakeAway, descent, edit, join, tell_descent
from sprayout_core.documents import OpenQuestion, derive, digest, read, write
from sprayout_core.errors import SprayoutError

weak = material(1, "Weak moss")
strong = material(2, "Strong moss")
carrier = material(3, "Clear carrier", role="carrier")
neat = formula(4, "Fern neat", [(weak, 5), (strong, 2)])
NAMES = {one.id: one.title for one in (weak, strong, carrier, neat)}
MADE = {"title": "Fern, our version", "copy": OTHER, "provenance": {"at": AT, "tool": "a test"}}
COATS = [{"formula": neat.id, "count": "1", "role": "tint"}, {"formula": neat.id, "count": "4"}]


def told(child, parent):
    return [line.text for line in tell_descent(child, parent, lambda key: NAMES.get(key, key))]


def test_a_version_equals_its_parent_in_all_but_its_title():
    version = derive(neat, id=thing(5), **MADE)
    assert version.provenance.derived.digest == digest(neat)
    assert told(version, neat) == ["title: Fern neat before, Fern, our version now"]
    assert not descent(version, neat).parent_changed
    assert read(write(version)) == version


def test_the_difference_to_the_parent_is_in_parts_and_percent():
    version = edit(derive(neat, id=thing(5), **MADE), OTHER, [Put("mix", parts((weak, 4), (strong, 3)))], AT)
    assert told(version, neat)[0] == "Strong moss: 2 of 7 parts (28.6 %) before, 3 of 7 parts (42.9 %) now"


def test_a_parent_that_moved_on_is_told():
    version = derive(neat, id=thing(5), **MADE)
    assert descent(version, edit(neat, COPY, [Put("mix", parts((weak, 1), (strong, 1)))], AT)).parent_changed


def test_items_are_told_apart_by_what_they_say():
    recipe = document(
        "recipe", 10, title="Fern", coats=COATS, grounds=[{"kind": "material", "id": thing(9)}], tags=["moss"]
    )
    version = derive(recipe, id=thing(11), **MADE)
    assert set(version.coats) != set(recipe.coats)
    assert told(version, recipe) == ["title: Fern before, Fern, our version now"]
    second = version.coats_order[1]
    version = edit(version, OTHER, [Put(f"coats/{second}", {**COATS[1], "count": "6"}), Add("tags", "wet")], AT)
    assert len(told(version, recipe)) == 3
    turned = edit(version, OTHER, [Put("coats_order", list(reversed(version.coats_order)))], AT)
    order = "order of coats: Fern neat, 1, then Fern neat, 4 before, Fern neat, 6, then Fern neat, 1 now"
    assert order in told(turned, recipe)
    fewer = edit(version, OTHER, [TakeAway(f"coats/{version.coats_order[0]}")], AT)
    assert any("is no longer there" in line for line in told(fewer, recipe))


def test_two_answers_cannot_be_derived_from_and_other_kinds_have_no_version():
    ours = edit(neat, COPY, [Put("mix", parts((weak, 1), (strong, 1)))], AT)
    theirs = edit(neat, OTHER, [Put("mix", parts((weak, 3), (strong, 1)))], AT)
    with pytest.raises(OpenQuestion, match="two answers to mix"):
        derive(join(ours, theirs), id=thing(5), **MADE)
    shop = document("shop", 20, title="Alder (invented)")
    with pytest.raises(SprayoutError, match="there is no version of a shop"):
        derive(shop, id=thing(5), **MADE)
    with pytest.raises(SprayoutError, match="was not derived from"):
        descent(neat, weak)
