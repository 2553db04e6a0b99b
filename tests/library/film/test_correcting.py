"""Correcting on the demo's library: a recipe from its panel, a cup by adding only."""

import json
import re

import pytest


@pytest.fixture
def shop(fen):
    """The first shop with KF-1 as standard, and a cup; recorded once, asked for each time."""
    if "standard" not in fen("show", "Kelp fade")[1]:
        assert fen("standard", "Kelp fade", "KF-1")[0] == 0
        for words in (("weak teal", "1.02"), ("strong teal", "1.05"), ("clear carrier", "1")):
            assert fen("material", words[0], "--density", words[1])[0] == 0
        assert fen("scale", "bench", "--step", "0.1g")[0] == 0
        assert fen("pour", "Kelp glass bodied", "200g", "--in", "bench", "--done", "--label", "C1")[0] == 0
        assert fen("pour", "Kelp glass bodied", "200ml", "--done", "--label", "C2")[0] == 0
    return fen


def test_a_recipe_is_corrected_in_lines_that_can_be_typed(shop):
    """KF-4 was sprayed too strong; the standard was 5:2, and that is among the answers."""
    status, out, err = shop("correct", "Kelp fade", "--panel", "KF-4")
    assert (status, err) == (0, "")
    assert "KF-4 as measured  2.8" in out
    assert 'sprayout mix "Kelp glass = 5 weak teal : 2 strong teal"' in out
    assert "earlier version" in out and "no promise" in out
    found = json.loads(shop("correct", "Kelp fade", "--panel", "KF-4", "--json")[1])
    by_change = {one["change"]: one for one in found["ways"]}
    assert by_change["another dye ratio"]["difference"] < 0.3 < by_change["as written"]["difference"]
    assert by_change["another body"]["lines"][0].startswith("Kelp glass bodied = ")
    assert found["ways"][0]["change"] in ("another body", "another dye ratio")  # the smaller change wins
    assert found["ways"][0]["expected"] <= min(one["expected"] for one in found["ways"]) + 0.3


def test_coats_that_were_said_are_kept_and_what_cannot_come_near_is_told(shop):
    asked = ("correct", "C1", "--toward", "KF-1", "--coats", "6")
    found = json.loads(shop(*asked, "--over", "bright aluminium", "--json")[1])
    assert {one["coats"] for one in found["ways"]} == {6} and found["ways"][0]["difference"] < 1
    status, out, _ = shop(*asked, "--over", "graphite")
    assert status == 0 and "nothing that is added brings it near" in out and "Do not add to it for that" in out
    far = shop("correct", "Kelp fade", "--panel", "KF-4", "--toward", "20 0 0")[1]
    assert "comes near it" in far


def test_a_weighed_cup_is_corrected_in_whole_steps_of_the_scale(shop):
    found = json.loads(shop("correct", "C1", "--panel", "KF-4", "--step", "0.1g", "--json")[1])
    assert found["unit"] == "g"
    best = found["ways"][0]
    assert best["difference"] <= found["before"]
    for one in found["ways"]:
        assert all(re.fullmatch(r"\d+(\.\d)?", amount) for amount in one["additions"].values())
    told = json.loads(shop("correct", "C1", "--panel", "KF-4", "--step", "0.1g", "--holds", "202g", "--json")[1])
    assert all(sum(map(float, one["additions"].values())) <= 3.2 for one in told["ways"])


def test_what_was_added_is_recorded(shop):
    told = json.loads(shop("correct", "C2", "--panel", "KF-4", "--step", "1ml", "--json")[1])
    added = told["ways"][0]["additions"]
    assert added
    status, out, err = shop("correct", "C2", "--panel", "KF-4", "--step", "1ml", "--done", "1", "--label", "C5")
    assert (status, err) == (0, "")
    assert "C5 takes C2 whole" in out
    assert "added to, toward KF-1" in shop("show", "C5")[1]  # so that nobody brings it back to its mix
    after = json.loads(shop("correct", "C5", "--panel", "KF-4", "--step", "1ml", "--json")[1])
    held, before = after["held"], told["held"]
    for name, amount in before.items():
        assert float(held[name]) == pytest.approx(float(amount) + float(added.get(name, 0)))
    assert "empty" in shop("correct", "C2", "--panel", "KF-4")[2]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("correct", "Kelp fade"), "--panel"),
        (("correct", "Kelp fade", "--panel", "KF-1"), "is the standard itself"),
        (("correct", "Kelp fade", "--panel", "DF-1"), "no panel of kelp fade"),
        (("correct", "Kelp fade", "--panel", "KF-2"), "no standard over bronze"),
        (("correct", "Kelp fade", "--panel", "KF-4", "--step", "1g"), "is for a cup"),
        (("correct", "Kelp fade", "--panel", "KF-4", "--toward", "nothing"), "is called"),
        (("correct", "C1"), "no panel was sprayed"),
        (("correct", "C1", "--panel", "KF-4", "--step", "1ml"), "counted in g"),
        (("correct", "C1", "--panel", "KF-4", "--holds", "10g"), "is full"),
        (("correct", "C1", "--panel", "KF-4", "--with", "two-pack gloss"), "nothing was learned"),
        (("correct", "bronze"), "is called"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_refused_in_words(shop, words, told):
    status, _, err = shop(*words)
    assert status == 1, err
    assert told in err.lower()
