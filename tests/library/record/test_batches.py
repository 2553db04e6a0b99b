"""Cups: what is left is exact through any chain, a rescue restores the ratio, wrong cups are caught."""

import random
from fractions import Fraction

import pytest
from tests.library.spray_shop import SprayShop

from sprayout_core.compare import Add
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import parse_amount
from sprayout_core.ratio import exact
from sprayout_library.record.batches import (
    Really,
    check_against,
    next_label,
    rescue_plan,
    rescued_facts,
    stretch_plan,
    take_out,
    taken_text,
)
from sprayout_library.record.cups import catalysed


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        shop = SprayShop(tmp_path_factory.mktemp("cups"), patch)
        shop.stock(weak_teal="dye", strong_teal="dye", carrier="carrier", thinner="reducer", set_two="hardener")
        shop.dense = shop.material("heavy", "dye", density_g_per_ml="1.25")
        shop.light = shop.material("light", "carrier", density_g_per_ml="0.8")
        shop.dye = shop.mix("Reed = 5 weak teal : 2 strong teal")
        shop.body = shop.mix("Reed bodied = 9 carrier : 2 Reed")
        shop.both = shop.mix("Marsh = 4 heavy : 1 light")
        shop.two_pack = shop.mix("Hard coat = 4 carrier : 1 set two")
        yield shop
        shop.close()


def names(shop, amounts):
    return {shop.names.label(key): amount for key, amount in amounts.items()}


def taken(shop, cup, words, into="sprayed"):
    amount = None if words is None else parse_amount(words)
    after = shop.writer.edited(
        shop.get(cup.id), [take_out(shop.shelf, shop.shelf.batches[cup.id], amount, into, shop.at)]
    )
    shop.writer.save([after], "taken")
    return after


def test_what_is_left_is_poured_less_taken_less_poured_on(shop):
    first = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"))
    taken(shop, first, "12.5 ml")
    second = shop.cup(shop.body, ("carrier", "90 ml"), (first, "20 ml"))
    assert shop.shelf.left(first.id) == Fraction("37.5")
    assert shop.shelf.left(second.id) == 110
    assert names(shop, shop.shelf.contents(second.id)) == {
        "carrier": 90, "weak teal": Fraction(100, 7), "strong teal": Fraction(40, 7)
    }  # fmt: skip
    assert shop.shelf.off(second) is None, "2 parts of a sound cup are as good as 2 parts from tins"


@pytest.mark.parametrize("seed", [1, 2])
def test_remainders_are_exact_through_any_chain(shop, seed):
    """Kept beside by plain bookkeeping: each cup a dict of exact amounts, mixed by share."""
    draw = random.Random(seed)
    books, cups, taken_by = {}, [], []
    for _ in range(9):
        poured = [("weak teal", draw.randint(1, 40)), ("carrier", draw.randint(1, 40))]
        books[len(cups)] = {name: Fraction(amount) for name, amount in poured}
        for _ in range(draw.randint(0, 2)):
            if not cups:
                break
            source = draw.randrange(len(cups))
            left = sum(books[source].values())
            if left < 2 or any(one is cups[source] for one, _ in poured):
                continue
            amount = draw.randint(1, int(left) - 1)
            share = Fraction(amount) / left
            for name, held in books[source].items():
                books[len(cups)][name] = books[len(cups)].get(name, 0) + held * share
                books[source][name] = held * (1 - share)
            poured.append((cups[source], amount))
        cups.append(
            shop.unsaved_cup(
                shop.body, *((what, f"{amount} ml") for what, amount in poured), label=f"{seed}-{len(cups)}"
            )
        )
        if draw.random() < 0.5:
            held = sum(books[len(cups) - 1].values())
            out = draw.randint(1, max(1, int(held) // 3))
            share = Fraction(out) / held
            books[len(cups) - 1] = {name: amount * (1 - share) for name, amount in books[len(cups) - 1].items()}
            taken_by.append((cups[-1], f"{out} ml"))
            at = {"amount_ml": str(out), "at": shop.at}
            cups[-1] = shop.writer.edited(cups[-1], [Add("taken_out", at)])
    shop.writer.save(cups, "a chain")
    shelf = shop.shelf
    for place, cup in enumerate(cups):
        assert shelf.left(cup.id) == sum(books[place].values())
        got = names(shop, shelf.left_in(cup.id))
        assert got.keys() == books[place].keys()
    # in all, nothing came out of nowhere: what was poured from tins is what is left plus what was taken out
    tins = sum(exact(one.amount_ml) for cup in cups for one in cup.poured if one.kind == "material")
    out = sum(exact(words.split()[0]) for _, words in taken_by)
    assert sum(shelf.left(cup.id) for cup in cups) + out == tins


def test_a_chain_with_grams_in_it_is_counted_in_grams_by_density(shop):
    cup = shop.cup(shop.both, ("heavy", "40 ml"), ("light", "10 g"))
    assert shop.shelf.unit(cup.id) == "g"
    assert shop.shelf.poured(cup.id) == 40 * Fraction("1.25") + 10
    # 60 g in 40 + 12.5 ml
    assert shop.shelf.density(cup.id) == Fraction(60) / Fraction("52.5")
    taken(shop, cup, "5.25 ml")
    assert shop.shelf.left(cup.id) == 54


def test_without_a_density_grams_and_millilitres_are_not_mixed(shop):
    cup = shop.cup(shop.dye, ("weak teal", "40 ml"), ("strong teal", "16 g"))
    with pytest.raises(SprayoutError, match="density of weak teal is not known"):
        shop.shelf.left(cup.id)


@pytest.mark.parametrize(
    ("words", "said"),
    [("71 ml", "71 ml is more than the 70 ml left in"), ("80.5 ml", "80.5 ml is more"), ("1 g", "density")],
)
def test_more_than_is_left_is_not_taken(shop, words, said):
    cup = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"))
    with pytest.raises(SprayoutError, match=said):
        take_out(shop.shelf, cup, parse_amount(words), "sprayed", shop.at)
    assert shop.shelf.left(cup.id) == 70


def test_the_rest_empties_it_and_then_nothing_is_left_to_take(shop):
    cup = taken(shop, shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml")), None)
    assert shop.shelf.left(cup.id) == 0
    assert shop.shelf.left_in(cup.id) == {}
    with pytest.raises(SprayoutError, match="is empty"):
        take_out(shop.shelf, shop.shelf.batches[cup.id], None, "", shop.at)


def test_two_shops_that_both_poured_the_last_of_a_cup_are_told_of_it_by_its_label(shop):
    cup = shop.cup(shop.dye, ("weak teal", "5 ml"), ("strong teal", "2 ml"), label="LAST")
    shop.cup(shop.body, ("carrier", "18 ml"), (cup, "4 ml"))
    shop.cup(shop.body, ("carrier", "18 ml"), (cup, "4 ml"))
    with pytest.raises(SprayoutError, match="cup 'LAST' gave 1 more than was in it"):
        shop.shelf.left(cup.id)


# Over-pour example of the arithmetic worked in tests/core/mix: s = max(poured / parts), add s x parts - poured.
def test_a_rescue_restores_the_ratio_exactly_and_takes_the_old_cup_whole(shop):
    old = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "23 ml"))
    taken(shop, old, "7.3 ml")
    plan = rescue_plan(shop.shelf, shop.shelf.batches[old.id])
    # nine tenths are left: 45 and 20.7; 20.7 is two parts of 10.35, so weak teal must come to 51.75
    assert names(shop, plan.additions) == {"weak teal": Fraction("6.75")}
    assert plan.total == Fraction("72.45")
    additions = [Really("material", key, amount, "ml") for key, amount in plan.additions.items()]
    facts = rescued_facts(shop.shelf, shop.shelf.batches[old.id], additions, next_label(shop.names), shop.at)
    new = shop.save("batch", facts)
    shelf = shop.shelf
    assert shelf.off(new) is None
    assert (shelf.left(old.id), shelf.left(new.id)) == (0, plan.total)
    assert (new.takes_whole, new.proofs) == (old.id, old.proofs)


def test_no_smaller_total_restores_the_ratio(shop):
    cup = shop.cup(shop.dye, ("weak teal", "61 ml"), ("strong teal", "20 ml"))
    plan = rescue_plan(shop.shelf, cup)
    held = shop.shelf.left_in(cup.id)
    meant = shop.shelf.meant(cup)
    smaller = plan.total - Fraction(1, 1000)
    assert any(meant[key] * smaller < held[key] for key in held), "a smaller total would take something out again"
    assert all(meant[key] * plan.total >= held[key] for key in held)


def test_what_does_not_fit_comes_out_first(shop):
    cup = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "25 ml"))
    plan = rescue_plan(shop.shelf, cup, Fraction(70))
    assert plan.total == 70
    assert 75 - plan.take_out + sum(plan.additions.values()) == 70


def test_hardener_in_the_cup_or_in_a_cup_poured_into_it_ends_every_rescue(shop):
    hard = shop.cup(shop.two_pack, ("carrier", "40 ml"), ("set two", "12 ml"))
    on = shop.cup(shop.two_pack, ("carrier", "10 ml"), (hard, "20 ml"))
    assert hard.catalysed == "yes"
    for cup in (hard, on):
        assert catalysed(cup, shop.shelf)
        with pytest.raises(SprayoutError, match="hardener is in the cup"):
            rescue_plan(shop.shelf, cup)
        with pytest.raises(SprayoutError, match="hardener is in the cup"):
            stretch_plan(shop.shelf, cup, Fraction(500))


def test_what_does_not_belong_in_is_named_and_not_rescued(shop):
    cup = shop.cup(shop.dye, ("weak teal", "50 ml"), ("carrier", "20 ml"))
    with pytest.raises(SprayoutError, match="'carrier' is in the cup and not in the mix"):
        rescue_plan(shop.shelf, cup)


def test_a_stretch_keeps_the_ratio_and_reaches_the_amount(shop):
    cup = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"))
    plan = stretch_plan(shop.shelf, cup, Fraction(105))
    assert names(shop, plan.additions) == {"weak teal": 25, "strong teal": 10}


def test_a_cup_keeps_what_it_was_meant_to_be_after_the_mix_was_written_anew(shop):
    from sprayout_core.compare import Put

    formula = shop.mix("Fen = 3 weak teal : 1 strong teal")
    cup = shop.cup(formula, ("weak teal", "30 ml"), ("strong teal", "10 ml"))
    weak, strong = (shop.names.find(name).id for name in ("weak teal", "strong teal"))
    items = {weak: {"kind": "material", "ratio": 1}, strong: {"kind": "material", "ratio": 1}}
    shop.edit(formula, Put("mix", {"basis": "volume", "items": items}))
    assert shop.shelf.meant(cup) == {weak: Fraction(3, 4), strong: Fraction(1, 4)}
    assert shop.shelf.off(cup) is None


def test_the_bodied_cup_against_the_neat_mix_and_the_other_way(shop):
    neat = shop.cup(shop.dye, ("weak teal", "50 ml"), ("strong teal", "20 ml"))
    bodied = shop.cup(shop.body, ("carrier", "90 ml"), (neat, "20 ml"))
    find = shop.store.find
    assert check_against(shop.shelf, bodied, shop.dye, find, None).dye_times == Fraction(11, 2)
    assert check_against(shop.shelf, neat, shop.body, find, None).dye_times == Fraction(2, 11)
    right = check_against(shop.shelf, neat, shop.dye, find, None)
    assert (right.same, right.sentence) == (True, "")


# common practice, no source: a bodied mix sprayed unreduced through a 1.2 mm tip and the same mix with about 5 %
# reducer for an airbrush are two spray-ready variants of one formula
def test_unreduced_and_reduced_for_the_airbrush_are_two_variants_of_one_formula(shop):
    body = shop.ready(shop.body, "small", tip_mm="1.2")
    body = shop.ready(body, "airbrush", reduce="5%", reducer="thinner")
    assert set(body.spray_ready) == {"small", "airbrush"}
    straight = shop.cup(
        body, ("carrier", "90 ml"), ("weak teal", "14.3 ml"), ("strong teal", "5.7 ml"), variant="small"
    )
    thinned = shop.cup(body, ("carrier", "90 ml"), ("weak teal", "14.3 ml"), ("strong teal", "5.7 ml"),
                       ("thinner", "5.5 ml"), variant="airbrush")  # fmt: skip
    assert straight.formula == thinned.formula
    assert straight.proofs[body.id] != thinned.proofs[body.id]
    share = shop.shelf.meant(thinned)[shop.names.find("thinner").id]
    assert share == Fraction(5, 105)
    assert shop.names.find("thinner").id not in shop.shelf.meant(straight)


# common practice, no source: two strainers, one at the pour and one in the gun cup
def test_two_strainers_one_at_the_pour_one_in_the_gun_cup(shop):
    dye = shop.ready(shop.dye, "strained", strain_pour="190um", strain_gun="125 um")
    strain = dye.spray_ready["strained"].strain
    assert (strain.pour.opening_um, strain.gun.opening_um) == ("190", "125")


def test_labels_are_given_once(shop):
    free = next_label(shop.names)
    shop.cup(shop.dye, ("weak teal", "5 ml"), ("strong teal", "2 ml"), label=free)
    assert next_label(shop.names) != free
    with pytest.raises(SprayoutError, match="another cup or panel"):
        next_label(shop.names, free.lower())


def test_an_amount_without_an_exact_text_of_that_length_is_refused():
    assert taken_text(Fraction(1, 3)) == "1/3"
    with pytest.raises(SprayoutError, match="no exact text"):
        taken_text(Fraction(1, 3**60))
