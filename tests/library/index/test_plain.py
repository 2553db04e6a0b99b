"""The quick way for mixes of materials in whole parts says what core says, for every mix and every panel."""

from math import gcd

from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.compare import status
from sprayout_core.documents import made, proofs, read, uuid7, write
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_library.index.gather import Relations, Shelf, decoded, formula_row
from sprayout_library.index.plain import parts_of, shares_of, standing_of
from sprayout_library.index.rows import Row

PROVENANCE = {"at": "2026-03-02T09:10:00Z", "tool": "tests", "by": "ada"}


def document(kind, number, **facts):
    named = uuid7(1_770_000_000_000 + number, b"sprayoutxx")
    return made(kind, facts, copy="k7f3q2", provenance=PROVENANCE, id=named)


DYES = [document("material", number, title=f"dye {number}", role="dye", density_g_per_ml="0.9") for number in range(4)]
INNER = document(
    "formula",
    10,
    title="inner",
    mix={"basis": "volume", "items": {DYES[0].id: {"kind": "material", "ratio": 1}}},
)
AMOUNTS = st.one_of(
    st.integers(1, 60).map(lambda ratio: {"ratio": ratio}),
    st.just({"g_per_l": "12.5"}),
)
COMPONENTS = {one.id: one.kind for one in (*DYES, INNER)}
ITEMS = st.dictionaries(st.sampled_from(list(COMPONENTS)), AMOUNTS, min_size=1, max_size=5).filter(
    lambda items: any("ratio" in amount for amount in items.values())
)
PANELS = st.lists(
    st.fixed_dictionaries(
        {"now": st.booleans(), "ready": st.sampled_from([None, None, "gun"]), "withdrawn": st.booleans(),
         "supersedes": st.booleans()}
    ),
    max_size=3,
)  # fmt: skip


def smallest(items):
    """The amounts with their ratio in smallest whole numbers, as it is stored."""
    whole = gcd(*(amount["ratio"] for amount in items.values() if "ratio" in amount))
    return {
        name: {"ratio": amount["ratio"] // whole} if "ratio" in amount else amount for name, amount in items.items()
    }


def shop(items, panels):
    items = smallest(items)
    held = {one.id: one for one in (*DYES, INNER)}
    parts = {one: {"kind": COMPONENTS[one], **amount} for one, amount in items.items()}
    mix = {"basis": "volume", "items": parts}
    ready = {"gun": {"body": "as thin milk"}}
    formula = document("formula", 20, title="asked", mix=mix, spray_ready=ready)
    held[formula.id] = formula
    sprayed = []
    for number, panel in enumerate(panels):
        coat = {"formula": formula.id, "count": "1"} | ({"spray_ready": panel["ready"]} if panel["ready"] else {})
        pinned = proofs(formula, held.get, panel["ready"])
        facts = {"coats": [coat], "proofs": pinned if panel["now"] else {**pinned, formula.id: "p1:" + "0" * 64}}
        if panel["supersedes"] and sprayed:
            facts["supersedes"] = sprayed[-1].id
        one = document("panel", 30 + number, label=f"P-{number}", **facts)
        if panel["withdrawn"]:
            one = one.model_copy(update={"withdrawn": {"k7f3q2": 1}})
        sprayed.append(one)
    return formula, held, sprayed


def rows_of(formula, held, sprayed):
    contents = {name: write(one) for name, one in held.items()}
    slim = [decoded("panel", write(one)) for one in sprayed]
    row, relations = Row(formula.id, "formula"), Relations()
    formula_row(row, decoded("formula", contents[formula.id]), Shelf(contents.get), slim, relations)
    shares = {row[0].hex(): row[3] for row in relations.tables["share"]}
    return row, shares, {panel.hex() for _, panel in relations.tables["stands"]}


@given(ITEMS, PANELS)
def test_what_the_index_keeps_of_a_mix_is_what_core_says(items, panels):
    formula, held, sprayed = shop(items, panels)
    row, shares, panels = rows_of(formula, held, sprayed)
    core = status(formula, sprayed, held.get)
    assert (row.status, panels) == (core.state.name.lower(), {panel.replace("-", "") for panel in core.panels})
    whole = {name.replace("-", ""): str(share) for name, share in composition(formula, held.get).items()}
    assert shares == whole


@given(ITEMS.filter(lambda items: INNER.id not in items and all("ratio" in one for one in items.values())), PANELS)
def test_plain_mixes_go_the_quick_way(items, panels):
    formula, held, sprayed = shop(items, panels)
    slim = decoded("formula", write(formula))
    parts = parts_of(slim, lambda name: decoded("material", write(held[name])))
    assert {name: f"{part}/{whole}" for name, (part, whole) in shares_of(parts).items()} == {
        name: f"{share.numerator}/{share.denominator}" for name, share in composition(formula, held.get).items()
    }
    said = standing_of(slim, parts, [decoded("panel", write(one)) for one in sprayed])
    hard = any(panel["withdrawn"] or panel["ready"] or (panel["supersedes"] and place) for place, panel in
               enumerate(panels))  # fmt: skip
    assert (said is None) == hard
    core = status(formula, sprayed, held.get)
    assert said in (None, (core.state.name.lower(), list(core.panels)))


def test_a_mix_with_a_part_that_is_not_here_is_asked_of_core():
    formula, held, _ = shop({DYES[1].id: {"ratio": 2}}, [])
    del held[DYES[1].id]
    row, shares, _ = rows_of(formula, held, [])
    assert (row.status, row.mix, shares) == ("never", None, {})
    try:
        composition(formula, held.get)
    except SprayoutError:
        return
    raise AssertionError("core found a composition")


def test_the_same_mix_has_the_same_name_by_either_way():
    formula, held, _ = shop({DYES[1].id: {"ratio": 2}, DYES[2].id: {"ratio": 4}}, [])
    quick, *_ = rows_of(formula, held, [])
    nested = document(
        "formula", 40, title="nested", mix={"basis": "volume", "items": {formula.id: {"kind": "formula", "ratio": 1}}}
    )
    held[nested.id] = nested
    slow, *_ = rows_of(nested, held, [])
    assert quick.mix == slow.mix is not None
    assert read(write(nested)) == nested
