"""Our version of: what is inherited, what is told as different, and a parent that went on."""

import pytest
from tests.library.shops import Add, Put, mix

from sprayout_core.documents import tree
from sprayout_core.errors import SprayoutError
from sprayout_library.record import Writer
from sprayout_library.record.lineage import derived, facts_of, parent_of, tell_between


@pytest.fixture
def kelp(bench):
    store = bench.shop("a")
    teal, water, silver, black = (bench.material(store, title) for title in ("Teal", "Water", "Silver", "Black"))
    formula = bench.formula(store, "Kelp", {teal.id: 5, water.id: 2}, tags=["glass"])
    recipe = bench.made(
        store,
        "recipe",
        {
            "title": "Kelp over two",
            "grounds": [{"kind": "material", "id": silver.id}, {"kind": "material", "id": black.id}],
            "coats": [{"formula": formula.id, "count": "5"}, {"formula": formula.id, "count": "2", "laid": "mist"}],
        },
    )
    bench.save(store, teal, water, silver, black, formula, recipe)
    return store, formula, recipe, teal, water, black


def told(lines):
    return [line.text for line in lines]


def name(identity):
    return identity[-4:]


def test_a_version_inherits_everything_and_differs_in_nothing(kelp):
    store, formula, recipe, *_ = kelp
    writer = Writer(store, "ada")
    for parent in (formula, recipe):
        child = derived(writer, parent, "Ours", {})
        assert child.provenance.derived.id == parent.id
        assert told(tell_between(parent, child, name)) == []
        assert facts_of(child) == {**facts_of(parent), "title": "Ours"}
    assert [coat.count for _, coat in derived(writer, recipe, "Ours", {}).coats_in_order()] == ["5", "2"]


def test_only_what_differs_is_told(kelp):
    store, formula, recipe, teal, water, black = kelp
    writer = Writer(store, "ada")
    child = derived(writer, formula, "Ours", {"mix": mix({teal.id: 5, water.id: 3})})
    assert len(tell_between(formula, child, name)) == 2
    coats = facts_of(recipe)["coats"]
    child = derived(
        writer,
        recipe,
        "Ours",
        {"coats": [coats[0], {**coats[1], "count": "3"}], "grounds": [{"kind": "material", "id": black.id}]},
    )
    lines = told(tell_between(recipe, child, name))
    assert len(lines) == 2
    assert "coat 2, count: 2 before, 3 now" in lines
    assert any("no longer there" in line for line in lines)


def test_a_coat_more_and_a_coat_less(kelp):
    store, _, recipe, *_ = kelp
    writer = Writer(store, "ada")
    coats = facts_of(recipe)["coats"]
    more = derived(writer, recipe, "More", {"coats": [*coats, {**coats[0], "count": "1"}]})
    less = derived(writer, recipe, "Less", {"coats": coats[:1]})
    formula = recipe.coats_in_order()[0][1].formula
    assert told(tell_between(recipe, more, name)) == [f"coat 3: 1 {name(formula)} is new"]
    assert told(tell_between(recipe, less, name)) == [f"coat 2: 2 {name(formula)} is no longer there"]
    assert told(tell_between(less, more, name))[0] == f"coat 2: 2 {name(formula)} is new"


def test_the_parent_is_shown_as_it_stood_and_said_to_have_changed(bench, kelp):
    store, formula, *_, teal, water, _ = kelp
    child = derived(Writer(store, "ada"), formula, "Ours", {})
    bench.save(store, child)
    assert parent_of(child, store, name).since == ""
    bench.edit(
        store,
        formula.id,
        Put("mix", {key: value for key, value in mix({teal.id: 1, water.id: 9}).items() if key in ("basis", "items")}),
    )
    found = parent_of(child, store, name)
    assert (found.since, found.lines, found.document) == ("changed since", (), formula)
    bench.edit(store, child.id, Add("tags", "ours"))
    assert told(parent_of(store.get(child.id), store, name).lines) != []
    assert parent_of(formula, store, name) is None


def test_what_has_no_versions_and_what_is_in_question_is_refused(kelp):
    _store, formula, *_, teal, _, _ = kelp
    with pytest.raises(SprayoutError, match="no versions of its own"):
        facts_of(teal)
    asked = tree(formula)
    assert "questions" not in asked


def test_two_of_any_kind_are_told(bench, kelp):
    store, formula, _recipe, teal, _water, black = kelp
    assert told(tell_between(teal, bench.material(store, "Teal again", density_g_per_ml="0.9"), name)) != []
    ground = {"kind": "material", "id": black.id}
    facts = {"ground": ground, "proofs": {formula.id: "p1:" + "0" * 64}}
    first, second = (
        bench.made(store, "panel", {**facts, "label": label, "coats": [{"formula": formula.id, "count": count}]})
        for label, count in (("KF-1", "4"), ("KF-2", "5"))
    )
    assert any("KF-1" in line and "KF-2" in line for line in told(tell_between(first, second, name)))
    copies = {store.copy_id: {"name": "pc"}}
    shops = [bench.made(store, "shop", {"title": title, "copies": copies}) for title in "ab"]
    assert told(tell_between(*shops, name)) == []
