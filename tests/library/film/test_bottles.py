"""A new bottle against the old lot, and one's own shelf."""

import json

import pytest
from tests.library.film.pearl_shop import STRONGER

from sprayout_library.film.shelf import strength_from_words

DYE = "01a212d3-6fc5-7a8c-8b1a-82d94071143f"


@pytest.fixture
def own(pearl, tmp_path, monkeypatch, machine):
    """The pearl shop with a machine of its own, whose shelf is empty; what was learned is shared."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    monkeypatch.setattr("sprayout_library.film.keeping.home", lambda: machine)
    return pearl


def check(own, *words):
    status, out, err = own("bottle", *words, "--json")
    assert status == 0, err
    return json.loads(out)


def test_a_stronger_lot_is_found_with_its_ratio(own):
    told = check(own, "violet", "NEW-1", "NEW-2", "--old", "OLD", "--mix", "Damson")
    strength = told["strength"]
    assert abs(strength["value"] - STRONGER) < 2 * strength["uncertainty"]
    assert told["distinguishable"] and "stronger" in told["words"]
    (damson,) = told["mixes"]
    exact = {one["material"]: float(one["exact"]) for one in damson["parts"]}
    assert exact["violet"] == pytest.approx(5 / strength["value"], abs=0.006) and exact["moss"] == 2
    assert "parts of carrier" in damson["remark"]


def test_the_old_lot_is_not_distinguishable_from_itself(own):
    told = check(own, "violet", "OLD", "--mix", "Damson")
    assert not told["distinguishable"]
    assert told["words"] == "not distinguishable from the old lot: pour as written"
    assert [(one["written"], one["exact"]) for one in told["mixes"][0]["parts"]] == [("5", "5"), ("2", "2")]
    assert "old lot beside" in told["advice"]


def test_the_new_panels_do_not_stand_for_the_old_lot(own):
    """Learned together with the new ones, the old lot would look stronger than it is."""
    alone = check(own, "violet", "NEW-1", "NEW-2")["strength"]
    assert abs(alone["value"] - STRONGER) < 2 * alone["uncertainty"]


def test_it_is_told_in_words_and_kept_on_the_shelf(own):
    status, out, _ = own("bottle", "violet", "NEW-1", "NEW-2", "--old", "OLD", "--mix", "Damson", "--keep")
    assert status == 0
    assert "exactly" in out and "simple, within what is known" in out and "On your shelf now" in out
    assert "checked on NEW-1, NEW-2" in own("shelf")[1]
    assert json.loads(own("shelf", "--json")[1])[0]["strength"] == pytest.approx(STRONGER, abs=0.1)
    shelved = json.loads(own("shelf", "for", "Damson", "--json")[1])
    assert [one["on_shelf"] for one in shelved["materials"]] == [True, False]
    assert float(shelved["mixes"][0]["parts"][0]["exact"]) < 5


def test_a_recipe_from_the_shelf_leaves_the_shared_one_alone(own):
    before = own("show", "Damson moon card")[1]
    own("shelf", "have", "violet", "--lot", "L7", "--strength", "1.25 +- 0.04", "--product", "plum dye")
    status, out, _ = own("shelf", "for", "Damson moon card")
    assert status == 0
    assert "plum dye, lot L7; strength 1.25 +- 0.04" in out and "not on your shelf" in out
    assert "0.8 +-" in out
    assert own("show", "Damson moon card")[1] == before
    assert own("shelf", "empty", "violet")[0] == 0
    assert "Nothing on your shelf" in own("shelf")[1]


def test_a_bottle_never_checked_counts_as_equal(own):
    own("shelf", "have", "violet")
    told = json.loads(own("shelf", "for", "Damson", "--json")[1])
    assert [(one["written"], one["exact"]) for one in told["mixes"][0]["parts"]] == [("5", "5"), ("2", "2")]
    assert told["materials"][0]["strength"] is None
    assert "never checked" in own("shelf")[1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("bottle", "violet"), "no panel of the new bottle"),
        (("bottle", "violet", "--lot", "7"), "cup with lot 7"),
        (("bottle", "moss", "NEW-1"), "holds no moss"),
        (("bottle", "violet", "NEW-1", "--old", "NEW-1"), "of the new and of the old"),
        (("bottle", "violet", "NEW-9"), "is called"),
        (("bottle", "ember", "NEW-1"), "nothing was learned about"),
        (("bottle", "violet", "NEW-1", "--geometry", "d:8"), "no spectrum to judge by"),
        (("shelf", "have", "violet", "--strength", "much"), "is no strength"),
        (("shelf", "have", "nobody"), "is called"),
        (("shelf", "empty", "moss"), "is on your shelf"),
        (("shelf", "for", "nothing"), "is called"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_refusals_say_what_to_do(own, words, told):
    status, _, err = own(*words)
    assert status == 1
    assert told in err.lower() and "\n  " in err


def test_a_shelf_spoilt_by_hand_is_named(own, tmp_path):
    own("shelf", "have", "violet")
    path = tmp_path / "home" / "shop.json"
    facts = json.loads(path.read_text(encoding="utf-8"))
    next(iter(facts["shelf"].values()))["strength"] = -1
    path.write_text(json.dumps(facts), encoding="utf-8")
    status, _, err = own("shelf")
    assert status == 1 and "spoilt by hand" in err


@pytest.mark.parametrize(
    ("words", "value"),
    [("1.15 +- 0.08", (1.15, 0.04)), ("1.15±0.08", (1.15, 0.04)), ("1.2", (1.2, 0.06)), (" 0.9 +- 0 ", (0.9, 0.0))],
)
def test_strengths_as_people_write_them(words, value):
    assert strength_from_words(words) == pytest.approx(value)


def test_panels_of_a_lot_are_found_by_their_cups(bench):
    """The lot is told when a cup is poured; a spray day ties pieces to cups."""
    from sprayout_core.documents import Batch, Material, Panel, Poured, SprayedCoat
    from sprayout_library.film.bottles import panels_of_lot

    def cup(key, lot):
        return Batch.model_construct(id=key, poured=[Poured(kind="material", id=DYE, lot=lot, amount_ml="10")])

    def panel(key, *cups, **more):
        coats = [SprayedCoat.model_construct(formula="x", count="2", batch=each) for each in cups]
        return Panel.model_construct(id=key, coats=coats, withdrawn=more.get("withdrawn"))

    class Shelf:
        def documents(self, kind):
            cups = [cup("c1", "L7"), cup("c2", "L6"), cup("c3", None)]
            panels = [panel("p1", "c1"), panel("p2", "c2"), panel("p3", "c1", "c2"), panel("p4", None), panel("p5"),
                      panel("p6", "c1", withdrawn={})]  # fmt: skip
            return iter(cups if kind == "batch" else panels)

    material = Material.model_construct(id=DYE, title="violet")
    assert [one.id for one in panels_of_lot(Shelf(), material, " l7")] == ["p1"]
