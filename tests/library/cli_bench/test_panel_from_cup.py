"""A panel recorded from a poured cup in one command: it proves what that cup was, not what the mix is today."""

import pytest

from sprayout_core.documents import proof
from sprayout_library.store import Store

NEW = ("panel", "Weir frame", "--over", "silver", "--label", "P9")


def opened(shop):
    with Store.open(shop.folder / "lib") as store:
        panels = {one.label: one for one in store.documents("panel")}
        cups = {one.label: one for one in store.documents("batch")}
        mixes = {one.name: one for one in store.documents("formula")}
        return panels, cups, mixes


def test_it_pins_what_the_cup_pinned_and_takes_out_what_was_sprayed(shop):
    _, _, before = opened(shop)
    shop.said("mix", "Weir glass = 1 weak teal : 1 strong teal")
    shop.said("ready", "Weir bodied", "small", "--tip", "1.4")
    told = shop.said(*NEW, "--cup", "B1", "--used", "B1=40 ml")
    assert "it proves what was poured in B1 (Weir bodied)" in told
    assert "B1: 70 ml left" in told
    panels, cups, mixes = opened(shop)
    panel, cup = panels["P9"], cups["B1"]
    assert dict(panel.proofs) == dict(cup.proofs)
    assert panel.proofs[mixes["Weir glass"].id] == proof(before["Weir glass"], None) != proof(mixes["Weir glass"], None)
    assert list(panel.poured[mixes["Weir glass"].id].values()) == [5, 2]
    (coat,) = panel.coats
    assert (coat.batch, coat.spray_ready, coat.count) == (cup.id, "small", "4 to 5")
    assert [one.into for one in cup.taken_out.values()] == ["sprayed"]
    assert "Weir bodied, through small, from B1" in shop.said("show", "P9")


def test_a_cup_made_ready_otherwise_is_told(shop):
    shop.said("pour", "Weir bodied", "110ml", "--done", "--label", "RAW")
    told = shop.said(*NEW, "--cup", "raw")
    assert "RAW was not made ready for a gun; the recipe sprays it through small" in told
    assert "What went out of RAW was not said" in told


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--cup", "N1"), "N1 is Weir glass, and this recipe sprays Weir bodied"),
        (("--cup", "nothing"), "nothing"),
        (("--used", "B1=40 ml"), "B1 is not among the cups"),
        (("--cup", "B1", "--used", "B1=4000 ml"), "more than the 110 ml left in B1"),
        (("--cup", "B1", "--used", "B1"), "does not say how much"),
        (("--cup", "B1", "--used", "B1=1 ml", "--used", "b1=rest"), "said twice"),
        (("--cup", "B1", "--at", "2020-01-01T00:00:00Z"), "B1 was poured at"),
        (("--cup", "B1", "--coat", "2 Weir glass"), "this recipe sprays Weir glass"),
    ],
)
def test_refused_and_nothing_changed(settled, more, words):
    before = opened(settled)
    status, out, err = settled(*NEW, *more)
    assert status == 1 and words in err and not out
    assert opened(settled) == before


def test_two_cups_of_one_mix_are_a_session(shop):
    shop.said("pour", "Weir bodied", "110ml", "--through", "small", "--done", "--label", "B2")
    status, _, err = shop(*NEW, "--cup", "B1", "--cup", "B2")
    assert status == 1 and "B1 and B2 both hold Weir bodied" in err and "spray start" in err
