"""Digests and proofs: what changes them and what does not."""

import pytest
from tests.core.documents.bad import GOLDEN
from tests.core.documents.invented import AT, COPY, OTHER, finder, formula, material, parts

from sprayout_core.compare import Add, Put, edit, join
from sprayout_core.documents import (
    CyclicMix,
    DeepMix,
    MissingDocument,
    MissingVariant,
    OpenQuestion,
    digest,
    mix_facts,
    proof,
    proofs,
    read,
    recipe_proof,
)

KELP = read((GOLDEN / "kelp-glass--base.json").read_bytes())
NEAT = read((GOLDEN / "kelp-neat--base.json").read_bytes())
RECIPE = read((GOLDEN / "kelp-over-metal--base.json").read_bytes())
weak, strong = material(1, "Weak"), material(2, "Strong")
SMALL = {"tip_mm": "1.4", "strain": {"gun": {"opening_um": "240"}}}


@pytest.mark.parametrize(
    "change",
    [
        Add("notes", {"text": "again"}),
        Add("tags", "deep"),
        Put("title", "Kelp"),
        Put("mix/scale", "7"),
        Put("mix/as_typed", "63 : 14"),
        Put("spray_ready/large", {"tip_mm": "1.8"}),
    ],
    ids=str,
)
def test_what_does_not_change_a_proof(change):
    changed = edit(KELP, COPY, [change], AT)
    assert proof(changed, "small") == proof(KELP, "small")
    assert digest(changed) != digest(KELP)


def test_how_a_strainer_was_typed_does_not_change_a_proof():
    base = edit(KELP, COPY, [Put("spray_ready/small", SMALL)], AT)
    typed = {**SMALL, "strain": {"gun": {"opening_um": "240", "as_typed": "60 mesh"}}}
    assert proof(edit(base, COPY, [Put("spray_ready/small", typed)], AT), "small") == proof(base, "small")


def test_what_changes_a_proof():
    seen = {proof(KELP), proof(KELP, "small"), proof(NEAT)}
    (carrier, dye) = KELP.mix.items
    plain = {
        "basis": "volume",
        "items": {carrier: {"kind": "material", "ratio": 9}, dye: {"kind": "formula", "ratio": 4}},
    }
    seen.add(proof(edit(KELP, COPY, [Put("mix", plain)], AT)))
    seen.add(proof(edit(KELP, COPY, [Put("mix", {**plain, "basis": "mass"})], AT)))
    seen.add(proof(edit(KELP, COPY, [Put("spray_ready/small", SMALL)], AT), "small"))
    assert len(seen) == 6


def test_the_edit_record_is_outside_the_digest():
    there_and_back = edit(edit(KELP, COPY, [Put("title", "Kelp")], AT), COPY, [Put("title", KELP.title)], AT)
    assert there_and_back.seen != KELP.seen
    assert digest(there_and_back) == digest(KELP)


def test_proofs_reach_every_nested_formula():
    assert proofs(KELP, finder(NEAT), "small") == {KELP.id: proof(KELP, "small"), NEAT.id: proof(NEAT)}
    with pytest.raises(MissingDocument, match=NEAT.id):
        proofs(KELP, finder())
    with pytest.raises(MissingVariant, match="It has: small"):
        proofs(KELP, finder(NEAT), "tiny")


def test_an_open_mix_or_variant_has_no_proof_but_others_have():
    ours = edit(KELP, COPY, [Put("spray_ready/small", {"tip_mm": "1"})], AT)
    asked = join(ours, edit(KELP, OTHER, [Put("spray_ready/small", {"tip_mm": "2"})], AT))
    with pytest.raises(OpenQuestion, match="two answers to spray-ready 'small'"):
        proof(asked, "small")
    assert proof(asked) == proof(KELP)
    mixes = join(
        edit(NEAT, COPY, [Put("mix", parts((weak, 1), (strong, 1)))], AT),
        edit(NEAT, OTHER, [Put("mix", parts((weak, 2), (strong, 1)))], AT),
    )
    with pytest.raises(OpenQuestion, match="Kelp neat: two answers to the mix"):
        mix_facts(mixes)


def test_cycles_and_endless_nesting_are_refused():
    one = formula(20, "One", [(weak, 1)])
    two = formula(21, "Two", [(one, 1)])
    back = edit(one, COPY, [Put("mix", parts((two, 1), (weak, 1)))], AT)
    with pytest.raises(CyclicMix) as refused:
        proofs(back, finder(back, two))
    assert refused.value.path == (back.id, two.id, back.id)
    nested = [one]
    for number in range(150):
        nested.append(formula(1000 + number, f"Nest {number}", [(nested[-1], 1), (weak, 1)]))
    with pytest.raises(DeepMix):
        proofs(nested[-1], finder(*nested))


def test_a_recipe_proves_its_coats_in_order_and_its_clear_only():
    first, second = RECIPE.coats_order
    same = edit(RECIPE, COPY, [Put("title", "Kelp"), Add("grounds", {"kind": "material", "id": strong.id})], AT)
    assert recipe_proof(same) == recipe_proof(RECIPE)
    turned = edit(RECIPE, COPY, [Put("coats_order", [second, first])], AT)
    shinier = edit(RECIPE, COPY, [Put("clear", {"of": {"kind": "material", "id": weak.id}, "count": "3"})], AT)
    assert len({recipe_proof(one) for one in (RECIPE, turned, shinier)}) == 3
    forgotten = edit(RECIPE, COPY, [Put("coats_order", [first])], AT)
    assert recipe_proof(forgotten) == recipe_proof(RECIPE)
    other = edit(RECIPE, OTHER, [Put("coats_order", [second])], AT)
    with pytest.raises(OpenQuestion, match="two answers to coats_order"):
        recipe_proof(join(turned, other))
