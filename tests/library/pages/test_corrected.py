import re
from fractions import Fraction

import pytest
from tests.library.pages_shop import reading, spectrum

from sprayout_core.compare import Put
from sprayout_core.documents import Batch, SprayedCoat
from sprayout_library.record import Writer, panel_facts
from sprayout_library.record.cups import Shelf


def toward(visitor, built, **more):
    """The page of a cup held against KF-1."""
    return visitor.get(
        f"/pour/cup/{built.cup.id}/colour", params={"against": built.panels["KF-1"].id, "coats": "5", **more}
    )


def listed(page, way=0):
    """What a way's form holds beside its token."""
    form = re.findall(r'<form method="post".*?</form>', page, re.DOTALL)[way]
    return dict(re.findall(r'<input type="hidden" name="((?:listed-|aim)[^"]*)" value="([^"]*)"', form))


def test_a_cup_without_a_piece_asks_what_it_is_to_be_brought_to(visitor, built):
    page = visitor.get(f"/pour/cup/{built.cup.id}/colour")
    assert page.status_code == 200 and "No piece was sprayed out of this cup yet" in page.text
    assert f'<option value="{built.panels["KF-1"].id}">KF-1, over bright aluminium</option>' in page.text
    assert f"/pour/cup/{built.cup.id}/colour" in visitor.get(f"/pour/cup/{built.cup.id}").text


def test_ways_to_a_piece_are_listed_as_additions_only(visitor, built):
    page = toward(visitor, built)
    assert page.status_code == 200 and "Toward KF-1" in page.text
    assert "Add nothing" in page.text or "<strong>Add " in page.text
    for amount in re.findall(r'name="listed-[^"]+" value="([^"]+)"', page.text):
        value, unit = amount.split()
        assert unit == "ml" and Fraction(value) > 0 and Fraction(value) % Fraction("0.5") == 0  # whole steps of the cup


def test_the_same_ways_stand_there_as_the_command_tells(visitor, built):
    from sprayout_library.film.pots import PotAims, correct_cup
    from sprayout_library.record import Names

    store = built.shop.store
    aims = PotAims(None, "KF-1", "bright aluminium", 5)
    found = correct_cup(store, Names(store), store.get(built.cup.id), aims)
    page = toward(visitor, built).text
    for way in found.ways:
        assert f"{way.difference:.1f} from it" in page
    assert len(re.findall(r'<p class="words-first"><strong>Add ', page)) == len(found.ways)


@pytest.fixture
def sprayed(own, built):
    """A piece really sprayed out of the cup, read, and a standard that it missed: (visitor, its store, the piece)."""
    visitor, store = own
    visitor.fill(
        f"/share/answers/{built.kelp.id}",
        {"about": "mix", "answer": "a",
         "shown": re.search(r'name="shown" value="([^"]+)"', visitor.get(f"/share/answers/{built.kelp.id}").text)[1]},
    )  # fmt: skip
    store.refresh()
    writer, ground = Writer(store, "ada"), built.grounds[0]
    standard = Put(f"standards/{ground}", {"panel": built.panels["KF-1"].id})
    writer.save([writer.edited(store.get(built.kelp_fade.id), [standard])], "a standard")
    coats = [SprayedCoat(formula=built.bodied.id, count="5", batch=built.cup.id)]
    facts = panel_facts(store.get(built.kelp_fade.id), ground, store.find, coats, label="T-1", title="T-1",
                        sprayed_at="2026-05-05T09:00:00Z", stage={"surface": "bare"})  # fmt: skip
    made = writer.new("panel", facts)
    writer.save([made, reading(writer, made, [("45:0", spectrum(0.38, 520, scale=0.9))])], "sprayed from the cup")
    store.refresh()
    return visitor, store, made


def test_a_piece_sprayed_out_of_the_cup_is_held_against_its_standard_at_once(sprayed, built):
    visitor, _, made = sprayed
    page = visitor.get(f"/pour/cup/{built.cup.id}/colour")
    assert page.status_code == 200
    assert f'<option value="{made.id}" selected>T-1, over bright aluminium</option>' in page.text
    assert "Toward KF-1" in page.text and "Learned from T-1 too" in page.text
    other = visitor.get(
        f"/pour/cup/{built.cup.id}/colour", params={"panel": made.id, "against": built.panels["KF-2"].id}
    )
    assert "Toward KF-2" in other.text


def test_what_was_added_is_kept_as_it_was_listed(own, built):
    visitor, store = own
    page = toward(visitor, built).text
    wanted = listed(page)
    (key, amount) = next((name.removeprefix("listed-"), text) for name, text in wanted.items() if name != "aim")
    told = visitor.fill(f"/pour/cup/{built.cup.id}/colour", wanted)
    assert told.url.path.startswith("/pour/cup/") and not told.url.path.endswith("/colour")
    assert "Added to, toward KF-1" in told.text and "meant off its mix" in told.text
    store.refresh()
    made = store.get(told.url.path.rpartition("/")[2])
    assert isinstance(made, Batch) and made.takes_whole == built.cup.id
    assert {one.id: one.amount_ml for one in made.poured}[key] == amount.removesuffix(" ml")
    assert Shelf(store).left(built.cup.id) == 0
    again = visitor.fill(f"/pour/cup/{built.cup.id}/colour", wanted)
    assert again.status_code == 422  # the cup is empty by now


def test_what_really_went_in_is_kept_in_its_place(own, built):
    visitor, store = own
    wanted = listed(toward(visitor, built).text)
    key = next(name.removeprefix("listed-") for name in wanted if name != "aim")
    told = visitor.fill(f"/pour/cup/{built.cup.id}/colour", {**wanted, f"really-{key}": "7 ml", "label": "C9"})
    store.refresh()
    made = store.get(told.url.path.rpartition("/")[2])
    assert made.label == "C9" and {one.id: one.amount_ml for one in made.poured}[key] == "7"


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"against": "none", "coats": "4"}, "does not stand here any more"),
        ({"L": "50"}, "over which ground"),
        ({"L": "50", "a": "x", "b": "1", "coats": "4", "over": "bronze"}, "bronze"),
        ({"coats": "0"}, "no number of coats"),
        ({"coats": "²"}, "no number of coats"),
        ({"panel": "none"}, "does not hang here any more"),
        ({"against": "KF-1", "step": "5 cats"}, "Write ml"),
    ],
)
def test_what_cannot_be_understood_is_told_on_the_page(visitor, built, query, said):
    page = visitor.get(f"/pour/cup/{built.cup.id}/colour", params=query)
    assert page.status_code == 422 and said.casefold() in page.text.casefold()


@pytest.mark.parametrize("form", [{}, {"listed-none": "1 ml"}, {"listed-": "1 ml"}, {"really-x": "1 ml"}])
def test_nothing_is_kept_that_was_not_listed(own, built, form):
    visitor, store = own
    head = store.newest()
    assert visitor.fill(f"/pour/cup/{built.cup.id}/colour", form).status_code in (404, 422)
    assert store.newest() == head


def test_hardener_is_never_added_here(own, built):
    visitor, store = own
    from sprayout_library.record import Writer

    writer = Writer(store, "ada")
    hard = writer.new("material", {"title": "hardener two", "role": "hardener"})
    writer.save([hard], "a hardener")
    refused = visitor.fill(f"/pour/cup/{built.cup.id}/colour", {f"listed-{hard.id}": "1 ml"})
    assert refused.status_code == 422 and "a pour of its own" in refused.text


def test_a_sound_cup_is_not_asked_to_be_brought_back_by_its_rounding(own, built):
    """4 : 1 poured to three figures is a hair off; that is no fault of the cup."""
    visitor, store = own
    page = visitor.fill("/pour", {"mix": built.dusk.id, "amount": "33.3 ml", "tool": ""})
    store.refresh()
    shelf = Shelf(store)
    _, off = shelf.off(shelf.batches[page.url.path.rpartition("/")[2]])
    assert 0 < abs(off) < Fraction(1, 100)
    assert "It is as it was meant" in page.text and "Added: the new cup" not in page.text


def test_nothing_told_of_a_correction_becomes_markup(own, built):
    visitor, _ = own
    wanted = listed(toward(visitor, built).text)
    told = visitor.fill(f"/pour/cup/{built.cup.id}/colour", {**wanted, "aim": "<script>alert(1)</script>"}).text
    assert "&lt;script&gt;" in told and "<script>alert" not in told
