"""What a stranger would have to guess: each question is asked where something is not said, and no longer once it is."""

import itertools

import pytest
from tests.library.shops import Put

from sprayout_core.compare import edit
from sprayout_library.record import evidence_for
from sprayout_library.record.about import evidence_about
from sprayout_library.record.gaps import gaps_of

READY = {
    "reduce": {"of": "mix", "parts": "0.08"},
    "strain": {"pour": {"opening_um": "160"}, "gun": {"opening_um": "240"}},
    "tip_mm": "1.2",
    "laid": "wet",
}


def name(identity):
    return identity[-6:]


def asked(store, document):
    found = gaps_of(store.get(document.id), store.find, evidence_for(store), name)
    assert found == gaps_of(store.get(document.id), store.find, evidence_about(store, store.get(document.id)), name)
    return [gap.question for gap in found]


@pytest.fixture
def whole(bench):
    """A recipe with nothing left to guess, and its parts."""
    store = bench.shop("a")
    sure = {"density_g_per_ml": "0.95", "lots": ["L1"]}
    teal, reducer = (
        bench.material(store, "Weak teal", **sure),
        bench.material(store, "Slow", **{**sure, "role": "reducer"}),
    )
    silver, clear = bench.material(store, "Silver", **sure), bench.material(store, "Clear", **sure)
    ready = {**READY, "reduce": {**READY["reduce"], "material": reducer.id}}
    mix = bench.formula(store, "Kelp", {teal.id: 1}, spray_ready={"small": ready})
    coat = {"formula": mix.id, "count": "5", "spray_ready": "small", "film_um": "12", "dry": {"until": "touch"}}
    recipe = bench.made(
        store,
        "recipe",
        {
            "title": "Kelp over silver",
            "grounds": [{"kind": "material", "id": silver.id}],
            "coats": [coat],
            "clear": {"of": {"kind": "material", "id": clear.id}, "count": "2"},
        },
    )
    bench.save(store, teal, reducer, silver, clear, mix, recipe)
    panel = bench.made(
        store,
        "panel",
        {
            "recipe": recipe.id,
            "ground": {"kind": "material", "id": silver.id},
            "label": "KF-1",
            "stage": {"surface": "bare"},
        },
    )
    lab = {"lab": [40, -20, -5], "illuminant": "D65", "observer": 10}
    reading = {
        "stage": {"surface": "bare"},
        "grade": "coordinates",
        "measured": [{"geometry": "45:0", "coordinates": lab}],
    }
    bench.save(store, panel, bench.read_on(store, panel, reading))
    bench.edit(store, recipe.id, Put(f"standards/{silver.id}", {"panel": panel.id}))
    return store, recipe, mix, teal, silver


@pytest.fixture
def bench(bench, monkeypatch):
    from sprayout_core.documents import made

    def read_on(store, panel, facts):
        provenance = {"at": "2026-03-02T09:10:00Z", "tool": "tests"}
        return made("reading", {"panel": panel.id, **facts}, copy=store.copy_id, provenance=provenance)

    monkeypatch.setattr(bench, "read_on", read_on, raising=False)
    return bench


def test_nothing_is_left_to_guess(whole):
    store, recipe, *_ = whole
    assert asked(store, recipe) == []


#: Where something is taken away or said loosely, and what is asked then.
LOOSE = [
    ("coat", {"count": "about 5"}, "about 5 coats: how many is that?"),
    ("coat", {"count": "until covered"}, "until covered coats: how many is that?"),
    ("coat", {"count": "4 to 5"}, "4 to 5 coats: how many is that?"),
    ("coat", {"dry": None}, "when may the next coat go on? no dry rule"),
    ("coat", {"film_um": None}, "how thick is one coat? film not known"),
    ("coat", {"spray_ready": None}, "made ready for which gun? through small?"),
    ("coat", {"spray_ready": "large"}, "spray-ready large is named but not said"),
    ("ready", {"laid": None}, "laid mist, medium or wet?"),
    ("ready", {"tip_mm": None}, "which tip?"),
    ("ready", {"strain": {"gun": {"opening_um": "240"}}}, "strained at the pour, through what?"),
    ("ready", {"strain": {"pour": {"opening_um": "240"}}}, "strained in the gun, through what?"),
    ("ready", {"reduce": None}, "reduced, how much and of what? or sprayed as mixed?"),
    ("ready", {"reduce": {"of": "mix", "parts": "0.08"}}, "which reducer?"),
    ("teal", {"density_g_per_ml": None}, "density not known: it cannot be poured by the scale"),
    ("recipe", {"clear": None}, "is it cleared, and with what?"),
]


def test_what_is_not_said_is_asked(whole):
    store, recipe, mix, teal, _ = whole
    evidence = evidence_for(store)
    held = {"recipe": store.get(recipe.id), "ready": store.get(mix.id), "teal": store.get(teal.id)}
    [(dot, coat)] = held["recipe"].coats_in_order()
    for part, change, question in LOOSE:
        if part in ("coat", "ready"):
            about, place, value = (
                ("recipe", f"coats/{dot}", coat) if part == "coat" else ("ready", "spray_ready/small", None)
            )
            value = value or held["ready"].spray_ready["small"]
            merged = {**value.model_dump(exclude_none=True), **change}
            put = Put(place, {key: item for key, item in merged.items() if item is not None})
        else:
            about, put = part, Put(*next(iter(change.items())))
        edited = edit(held[about], store.copy_id, [put], "2026-03-02T10:00:00Z")
        loose = edited if about == "recipe" else held["recipe"]

        def find(identity, edited=edited):
            return edited if identity == edited.id else store.find(identity)

        asked_now = [gap.question for gap in gaps_of(loose, find, evidence, name)]
        assert question in asked_now, (part, change, asked_now)


def test_a_ground_without_a_reading_is_asked(bench, whole):
    store, recipe, _, _, _silver = whole
    [panel] = store.documents("panel")
    bench.withdraw(store, panel.id)
    bench.edit(store, recipe.id, Put("title", "Kelp"))
    assert "nobody has sprayed it" in asked(store, recipe)


def test_a_slot_and_a_missing_part_hinder(bench, whole):
    store, recipe, mix, *_ = whole
    gone = bench.new_id()
    items = {"slot.dye": {"kind": "slot", "ratio": 4}, gone: {"kind": "material", "ratio": 1}}
    bench.edit(store, mix.id, Put("mix", {"basis": "volume", "items": items}))
    found = gaps_of(store.get(recipe.id), store.find, evidence_for(store), name)
    assert {gap.question for gap in found if gap.hinders == "yes"} == {
        "the slot dye is open: what goes in?",
        "this material is not here: what is it?",
    }
    assert found[0].hinders == "yes"


def test_a_mix_that_contains_itself_is_told_and_ends(bench):
    store = bench.shop("a")
    first, second = bench.new_id(), bench.new_id()
    for own, other in ((first, second), (second, first)):
        items = {other: {"kind": "formula", "ratio": 1}}
        bench.save(
            store,
            bench.made(store, "formula", {"title": "Round", "mix": {"basis": "volume", "items": items}}, name=own),
        )
    assert "this mix contains itself" in asked(store, store.get(first))


def test_mixes_nested_without_end_are_left_at_some_depth(bench):
    store = bench.shop("a")
    ids = [bench.new_id() for _ in range(300)]
    chain = [
        bench.made(
            store,
            "formula",
            {"title": f"Mix {place}", "mix": {"basis": "volume", "items": {below: {"kind": "formula", "ratio": 1}}}},
            name=own,
        )
        for place, (own, below) in enumerate(itertools.pairwise(ids))
    ]
    bench.save(store, *chain)
    assert "this mix is nested deeper than anyone pours" in asked(store, chain[0])
