"""Composition: exact through nested mixes, the same however a mix is written, refused where it cannot be known."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.core.documents.invented import AT, COPY, OTHER, document, finder, formula, material, parts

from sprayout_core.compare import Put, changes, edit, join
from sprayout_core.documents import (
    CyclicMix,
    DeepMix,
    Layer,
    MissingDocument,
    MissingVariant,
    Mix,
    OpenQuestion,
    OpenSlot,
)
from sprayout_core.mix import LineError, NeedsDensity, as_sprayed, by_mass, composition, grams, parse_line
from sprayout_core.ratio import smallest_integers

weak = material(1, "Weak moss")
strong = material(2, "Strong moss")
carrier = material(3, "Clear carrier", role="carrier")
pearl = material(4, "Fine pearl", role="pearl")
dye = formula(10, "Moss neat", [(weak, 4), (strong, 1)])
bodied = formula(11, "Moss glass", [(carrier, 6), (dye, 1)])
FIND = finder(weak, strong, carrier, pearl, dye, bodied)


def shares(mix):
    return {FIND(key).title: share for key, share in composition(mix, FIND).items()}


def test_common_practice_dye_mix_inside_carrier():
    """Common practice, no source."""
    assert shares(bodied) == {
        "Clear carrier": Fraction(30, 35),
        "Weak moss": Fraction(4, 35),
        "Strong moss": Fraction(1, 35),
    }


def test_common_practice_a_bare_three_part_ratio_is_refused():
    """Common practice, no source: told in another order, 4:2:1 has dye to pearl 2:1, and 4:1 the other way."""
    for bare in ("4:2:1", "Moss = 4:2:1", "4 : 2 : 1 by volume"):
        with pytest.raises(LineError) as refused:
            parse_line(bare)
        assert refused.value.fault.remedy
    named = {part.name: part.amount for part in parse_line("4 dye : 2 pearl : 1 carrier").parts}
    turned = {part.name: part.amount for part in parse_line("4 dye : 2 carrier : 1 pearl").parts}
    assert named["dye"] / named["pearl"] == 2
    assert turned["dye"] / turned["pearl"] == 4


def test_common_practice_dye_mix_carrier_and_pearl_in_one_cup():
    """Common practice, no source."""
    cup = formula(12, "Moss pearl", [(dye, 4), (carrier, 1), (pearl, 2)])
    assert shares(cup) == {
        "Weak moss": Fraction(16, 35),
        "Strong moss": Fraction(4, 35),
        "Clear carrier": Fraction(5, 35),
        "Fine pearl": Fraction(10, 35),
    }


def test_common_practice_the_bodied_mix_taken_by_mistake():
    """Common practice, no source: a seventh of the dye, and it does not compare equal."""
    meant = formula(12, "Moss pearl", [(dye, 4), (carrier, 1), (pearl, 2)])
    mistaken = formula(12, "Moss pearl", [(bodied, 4), (carrier, 1), (pearl, 2)])
    assert shares(mistaken) == {
        "Weak moss": Fraction(16, 245),
        "Strong moss": Fraction(4, 245),
        "Clear carrier": Fraction(31, 49),
        "Fine pearl": Fraction(2, 7),
    }
    assert shares(mistaken)["Weak moss"] == shares(meant)["Weak moss"] / 7
    assert composition(mistaken, FIND) != composition(meant, FIND)


def test_common_practice_reducer_on_top_of_the_bodied_mix():
    """Common practice, no source: 5 % on top of the mix, not within it."""
    ready = {
        "small": {"reduce": {"of": "mix", "parts": "0.05"}},
        "within": {"reduce": {"of": "whole", "parts": "0.05"}},
    }
    thinned = formula(11, "Moss glass", [(carrier, 6), (dye, 1)], spray_ready=ready)
    assert as_sprayed(thinned, FIND, "small") == {
        carrier.id: Fraction(40, 49),
        weak.id: Fraction(16, 147),
        strong.id: Fraction(4, 147),
        "reducer": Fraction(1, 21),
    }
    assert as_sprayed(thinned, FIND, "within")["reducer"] == Fraction(1, 20)


def test_common_practice_order_and_straining_are_in_the_work_not_in_the_cup():
    """Common practice, no source: carrier into the cup first, the dye strained in after."""
    dye_first = formula(12, "Moss glass", [(dye, 1), (carrier, 6)])
    dye_first = edit(dye_first, COPY, [Put("mix/order", [dye.id, carrier.id])], AT)
    strained = {"strain": {"pour": {"opening_um": "190"}}}
    after = edit(dye_first, COPY, [Put("mix/order", [carrier.id, dye.id]), Put("spray_ready/small", strained)], AT)
    told = [one for one in changes(dye_first, after) if not one.record]
    assert {one.layer for one in told} == {Layer.WORK}
    assert {one.place for one in told} == {"mix/order", "spray_ready/small"}
    assert composition(dye_first, FIND) == composition(after, FIND)


def test_grams_of_a_mix_by_volume():
    """Worked from volume parts and densities as in ASTM D5201 (ideal mixing); 4:1:1, 120 g in all."""
    base = material(5, "Base", density_g_per_ml="0.95")
    hardener = material(6, "Hardener", role="hardener", density_g_per_ml="1.05")
    reducer = material(7, "Reducer", role="reducer", density_g_per_ml="0.86")
    mix = formula(13, "Ready", [(base, 4), (hardener, 1), (reducer, 1)])
    weighed = grams(mix, finder(base, hardener, reducer), 120)
    assert [f"{float(weighed[one.id]):.4f}" for one in (base, hardener, reducer)] == ["79.8599", "22.0665", "18.0736"]
    assert sum(weighed.values()) == 120


def test_grams_per_litre_of_dry_pearl_counts_by_its_density():
    dry = material(8, "Dry pearl", role="pearl", density_g_per_ml="3")
    mix = parts((carrier, 3), (dye, 1))
    mix["items"][dry.id] = {"kind": "material", "g_per_l": "15"}
    flat = composition(document("formula", 14, title="Dry", mix=mix), finder(weak, strong, carrier, dry, dye))
    assert flat[dry.id] == Fraction(5, 1005)
    assert flat[carrier.id] == Fraction(3, 4) * Fraction(1000, 1005)
    with pytest.raises(NeedsDensity, match=r"Fine pearl .* density_g_per_ml"):
        mix["items"][pearl.id] = {"kind": "material", "g_per_l": "15"}
        composition(document("formula", 14, title="Dry", mix=mix), finder(weak, strong, carrier, pearl, dry, dye))


def test_a_nested_mix_by_mass_counts_by_its_volume():
    heavy = material(8, "Heavy", density_g_per_ml="2")
    light = material(9, "Light", density_g_per_ml="1")
    nested = formula(15, "By mass", [(heavy, 1), (light, 1)], basis="mass")
    outer = formula(16, "By volume", [(nested, 1), (light, 1)])
    find = finder(heavy, light, nested)
    assert composition(outer, find) == {heavy.id: Fraction(1, 6), light.id: Fraction(5, 6)}
    assert by_mass(outer, find) == {heavy.id: Fraction(2, 7), light.id: Fraction(5, 7)}


def test_what_has_no_composition_says_why():
    with pytest.raises(MissingDocument, match="is not here"):
        composition(bodied, finder(carrier))
    one = edit(dye, COPY, [Put("mix", parts((weak, 3), (strong, 1)))], AT)
    other = edit(dye, OTHER, [Put("mix", parts((weak, 2), (strong, 1)))], AT)
    with pytest.raises(OpenQuestion, match="Moss neat: two answers to the mix"):
        composition(bodied, finder(weak, strong, carrier, join(one, other)))
    house = document(
        "formula", 17, title="House", mix={"basis": "volume", "items": {
            carrier.id: {"kind": "material", "ratio": 5}, "slot.dye": {"kind": "slot", "ratio": 2}}}
    )  # fmt: skip
    with pytest.raises(OpenSlot, match="the slot dye is open"):
        composition(house, FIND)
    with pytest.raises(MissingVariant, match="has no spray-ready 'tiny'"):
        as_sprayed(bodied, FIND, "tiny")


def test_a_cycle_is_refused_with_its_path():
    one = formula(20, "One", [(bodied, 1)])
    outer = document(
        "formula", 21, title="Two", mix={"basis": "volume", "items": {one.id: {"kind": "formula", "ratio": 1}}}
    )
    back = edit(one, COPY, [Put("mix", parts((outer, 1), (weak, 1)))], AT)
    with pytest.raises(CyclicMix) as refused:
        composition(back, finder(back, outer, weak))
    assert refused.value.path == (back.id, outer.id, back.id)


def chain(length):
    nested = [formula(1000, "Nest 0", [(weak, 2), (strong, 3)])]
    for depth in range(1, length):
        nested.append(formula(1000 + depth, f"Nest {depth}", [(nested[-1], 1), (weak, 1)]))
    return nested


def test_mixes_nested_too_deep_are_refused_not_followed():
    nested = chain(100)
    assert sum(composition(nested[-1], finder(weak, strong, *nested)).values()) == 1
    nested = chain(200)
    with pytest.raises(DeepMix, match="more than 100 deep"):
        composition(nested[-1], finder(weak, strong, *nested))


def test_a_lattice_of_mixes_is_walked_once():
    """Two mixes on each level, each of both below: 2^60 paths, 120 mixes."""
    layer = [weak, strong]
    held = [weak, strong]
    for level in range(60):
        layer = [
            formula(2000 + 2 * level + side, f"Level {level}", [(layer[0], 1 + side), (layer[1], 1)]) for side in (0, 1)
        ]
        held += layer
    assert sum(composition(layer[0], finder(*held)).values()) == 1


MATERIALS = [material(100 + number, f"Dye {number}", density_g_per_ml=f"0.{number + 7}") for number in range(5)]
ratios = st.lists(st.integers(1, 40), min_size=2, max_size=5)
scales = st.fractions(min_value=Fraction(1, 50), max_value=50)


def written(ratio, scale, basis="volume"):
    amounts = {MATERIALS[place].id: part * scale for place, part in enumerate(ratio)}
    small = smallest_integers(amounts)
    items = {key: {"kind": "material", "ratio": part} for key, part in small.items()}
    return Mix.model_validate({"basis": basis, "items": items})


@settings(max_examples=60, deadline=None)
@given(ratios, scales, st.sampled_from(["volume", "mass"]))
def test_composition_does_not_change_under_scaling(ratio, scale, basis):
    find = finder(*MATERIALS)
    assert composition(written(ratio, scale, basis), find) == composition(written(ratio, Fraction(1), basis), find)


@settings(max_examples=60, deadline=None)
@given(ratios, st.integers(1, 30), st.integers(1, 30), st.sampled_from(["volume", "mass"]))
def test_composition_does_not_change_under_inlining(ratio, inside, beside, basis):
    inner = document(
        "formula", 300, title="Inner", mix=written(ratio, Fraction(1), basis).model_dump(exclude_none=True)
    )
    small = smallest_integers({"inside": Fraction(inside), "beside": Fraction(beside)})
    outer = formula(301, "Outer", [(inner, small["inside"]), (MATERIALS[0], small["beside"])], basis=basis)
    whole = sum(ratio)
    flat = {MATERIALS[place].id: Fraction(part, whole) * inside for place, part in enumerate(ratio)}
    flat[MATERIALS[0].id] += beside
    inlined = {key: {"kind": "material", "ratio": part} for key, part in smallest_integers(flat).items()}
    find = finder(*MATERIALS, inner)
    assert composition(outer, find) == composition(Mix.model_validate({"basis": basis, "items": inlined}), find)
