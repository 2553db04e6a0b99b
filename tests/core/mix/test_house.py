"""House ratios: filling makes an ordinary formula with lineage; a change of the pattern flags what now differs."""

import pytest
from tests.core.documents.invented import AT, COPY, OTHER, document, finder, formula, material, panel, parts, thing

from sprayout_core.compare import Put, Sprayed, edit, fillings, join
from sprayout_core.documents import OpenQuestion, OpenSlot, Thing, proof, read, write
from sprayout_core.mix import Follows, HouseError, composition, fill, filled_mix, house_filling, open_slots

weak = material(1, "Weak violet")
strong = material(2, "Strong violet")
carrier = material(3, "Clear carrier", role="carrier")
neat = formula(4, "Iris neat", [(weak, 5), (strong, 2)])


def pattern_mix(carrier_parts=9, dye_parts=2):
    items = {
        carrier.id: {"kind": "material", "ratio": carrier_parts},
        "slot.dye": {"kind": "slot", "ratio": dye_parts},
        "slot.pearl": {"kind": "slot", "g_per_l": "12"},
    }
    return {"basis": "volume", "items": items, "order": ["slot.dye", carrier.id, "slot.pearl"], "scale": "3"}


pearl = material(5, "Fine pearl", role="pearl", density_g_per_ml="3")
house = document("formula", 10, title="House glass", mix=pattern_mix(), spray_ready={"small": {"tip_mm": "1.3"}})
SLOTS = {"dye": Thing(kind="formula", id=neat.id), "pearl": Thing(kind="material", id=pearl.id)}
MADE = {"title": "Iris glass", "copy": COPY, "provenance": {"at": AT, "tool": "a test"}, "id": thing(11)}
iris = fill(house, SLOTS, **MADE)
FIND = finder(weak, strong, carrier, pearl, neat, house, iris)


def changed(of, mix):
    return edit(of, COPY, [Put("mix", mix)], AT)


def test_an_unfilled_one_has_no_composition_and_names_the_open_slot():
    assert open_slots(house) == ("dye", "pearl")
    with pytest.raises(OpenSlot, match=r"the slot (dye|pearl) is open"):
        composition(house, FIND)


def test_filling_makes_an_ordinary_formula_with_lineage():
    assert open_slots(iris) == ()
    assert sum(composition(iris, FIND).values()) == 1
    filling = iris.provenance.filling
    assert (filling.pattern, filling.proof) == (house.id, proof(house))
    assert filling.slots == SLOTS
    assert iris.mix.order == [neat.id, carrier.id, pearl.id]
    assert iris.mix.scale == "3"
    assert iris.mix.items[pearl.id].g_per_l == "12"
    assert iris.spray_ready["small"].tip_mm == "1.3"
    assert read(write(iris)) == iris


@pytest.mark.parametrize(
    ("slots", "says"),
    [
        ({"dye": SLOTS["dye"]}, "the slot pearl of House glass is open"),
        ({**SLOTS, "flake": SLOTS["pearl"]}, "House glass has no slot 'flake'. It has: dye, pearl."),
        ({**SLOTS, "dye": Thing(kind="material", id=carrier.id)}, "what goes into dye stands in the mix already"),
        ({**SLOTS, "dye": SLOTS["pearl"]}, "stands in the mix already"),
    ],
)
def test_what_cannot_be_filled_says_why(slots, says):
    with pytest.raises(HouseError) as refused:
        fill(house, slots, **MADE)
    assert says in str(refused.value)


def test_an_ordinary_formula_is_no_house_ratio():
    with pytest.raises(HouseError, match="has no open slot"):
        filled_mix(neat, SLOTS)
    with pytest.raises(HouseError, match="was not filled from"):
        house_filling(neat, house)


def test_changing_the_pattern_flags_the_fillings_that_now_differ():
    assert house_filling(iris, house).follows is Follows.SAME
    rewritten = edit(house, COPY, [Put("mix/scale", "1"), Put("title", "House glass, old")], AT)
    assert house_filling(iris, rewritten).follows is Follows.SAME
    thinner = changed(house, pattern_mix(7, 2))
    found = house_filling(iris, thinner)
    assert found.follows is Follows.PATTERN_CHANGED
    assert found.now["items"][carrier.id]["ratio"] == 7
    again = fill(thinner, SLOTS, **{**MADE, "id": thing(12)})
    assert house_filling(again, thinner).follows is Follows.SAME
    slotless = changed(house, parts((carrier, 9), (neat, 2)))
    assert house_filling(iris, slotless).follows is Follows.PATTERN_CHANGED


def test_a_filling_may_go_its_own_way():
    own = changed(iris, parts((carrier, 5), (neat, 2)))
    assert house_filling(own, house).follows is Follows.OWN_WAY


def test_two_answers_to_the_pattern_leave_it_open():
    asked = join(changed(house, pattern_mix(7, 2)), edit(house, OTHER, [Put("mix", pattern_mix(5, 2))], AT))
    assert house_filling(iris, asked).follows is Follows.OPEN
    with pytest.raises(OpenQuestion):
        fill(asked, SLOTS, **MADE)


def test_which_fillings_were_sprayed():
    moss = fill(house, {**SLOTS, "dye": Thing(kind="material", id=weak.id)}, **{**MADE, "id": thing(13)})
    sprayed = panel(20, iris, FIND, "small")
    found = fillings(house, [iris, moss, neat], [sprayed], finder(weak, strong, carrier, pearl, neat, moss))
    assert [(one.filling.formula, one.filling.follows, one.status.state) for one in found] == [
        (iris.id, Follows.SAME, Sprayed.SPRAYED),
        (moss.id, Follows.SAME, Sprayed.NEVER),
    ]
