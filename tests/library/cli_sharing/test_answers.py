"""Two answers as two shops live them: looked at with the evidence, chosen between, and looked at again later."""

import json


def test_looked_at_chosen_and_looked_at_again(apart):
    reed, heath = apart
    heath.said("judge", "compare", "warmer", "SH-1", "--against", "SR-1", "--light", "D65")
    told = heath.said("answers", "Sedge")
    assert "5 weak moss : 1 strong moss by volume" in told
    assert "3 weak moss : 1 strong moss by volume" in told
    assert "SR-1 over silver, Reed shop, 2 March 2026" in told
    assert "SH-1 over silver, Heath shop, 3 March 2026" in told
    assert told.count("SH-1 is warmer than SR-1 (in D65; ada)") == 2
    assert told.count("sprayed last") == 1
    listed = heath.said("answers")
    assert "sprayed: SR-1" in listed
    assert "is warmer" not in listed
    [question] = json.loads(heath.said("answers", "--json"))
    assert {one["sprayed_last"] for one in question["answers"]} == {True, False}

    sheet = heath.said("sheet", "Sedge on silver", "--say")
    assert "Sedge = 3 weak moss : 1 strong moss (by volume); TWO ANSWERS OPEN: this is the one that was" in sheet

    heath.said("choose", "Sedge", "ours", "--because", "closer to the piece on the wall")
    assert "Settled" not in heath.said("answers")
    assert "closer to the piece on the wall" in heath.said("show", "Sedge")
    heath.said("sync")
    reed.said("sync")
    assert "No two answers" in reed.said("answers")

    assert "3 weak moss : 1 strong moss by volume" in reed.said("show", "Sedge")
    reed.said("judge", "compare", "cleaner", "SR-1", "--against", "SH-1", "--light", "direct sun")
    lines = "by eye: SR-1 is cleaner than SH-1 (in direct sun; ada), of both"
    assert lines in reed.said("answers")
    assert f"Chosen for the mix, and since then: {lines}" in reed.said("show", "Sedge")
    assert "Settled, with new evidence since" in reed.said()
    [fresh] = json.loads(reed.said("answers", "--json"))
    assert (fresh["about"], fresh["answers"], fresh["since"]) == ("mix", [], [lines])
    reed.said("choose", "Sedge", "stands", "--because", "sun shows more than the booth")
    assert "No two answers" in reed.said("answers")
    assert "No choice in Sedge has new evidence" in reed.refused("choose", "Sedge", "stands")
    assert "the mix: settled, strong moss 1 of 4 parts (25.0 %); weak moss 3 of" in reed.said("history", "Sedge")


def test_evidence_that_arrives_late_counts_though_it_was_made_before(apart):
    reed, heath = apart
    reed.said("judge", "compare", "lighter", "SR-1", "--against", "SH-1", "--light", "D65")
    heath.said("choose", "Sedge", "theirs")
    assert "Settled" not in heath.said("answers")
    reed.said("sync")
    heath.said("sync")
    assert "SR-1 is lighter than SH-1" in heath.said("answers")
    heath.said("mix", "Sedge = 7 weak moss : 2 strong moss")
    assert "Settled" not in heath.said("answers"), "what was chosen is not what stands any more"


def test_both_are_kept_as_two_mixes(apart):
    reed, heath = apart
    said = heath.said("choose", "Sedge", "both")
    assert "Sedge (Reed shop): kept as a mix of its own" in said
    assert "5 weak moss : 1 strong moss" in heath.said("show", "Sedge (Reed shop)")
    heath.said("sync")
    reed.said("sync")
    assert "No two answers" in reed.said("answers")


def test_out_of_use_against_a_later_edit_is_asked_and_chosen(shops):
    reed, heath = shops
    reed.said("withdraw", "Sedge")
    heath.said("mix", "Sedge = 4 weak moss : 1 strong moss")
    for shop in (reed, heath, reed):
        shop.said("sync")
    told = reed.said("answers", "Sedge")
    assert "stays out of use" in told
    assert "comes back, for it was changed meanwhile: mix" in told
    assert "Heath shop" in told
    reed.said("choose", "Sedge", "b")
    assert "No two answers" in reed.said("answers")
    assert "Withdrawn" not in reed.said("show", "Sedge")


def test_what_is_in_an_open_mix_is_said_without_an_id(apart):
    reed, _ = apart
    line = next(line for line in reed.said("show", "Sedge").splitlines() if "What's in it" in line)
    assert "two answers to the mix. Choose first" in line
    assert "/mix" not in line
    told = reed.said("show", "Sedge").splitlines()
    assert {line.split()[0] for line in told if line.endswith(("  SR-1", "  SH-1"))} >= {"a)", "b)"}
    assert not any(line.strip().startswith("answer ") for line in told)
