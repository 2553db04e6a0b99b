"""What the five stumbled over when they came again: what is told to type works, and nothing unsaid is counted."""

import re

from tests.walks.booth import measured
from tests.walks.test_elsewhere import FILM, TOLD, sender

from sprayout_library.film.gathering import gathered
from sprayout_library.store import Store


def test_a_panel_without_a_code_is_found_by_what_was_told(person):
    ada = sender(person)
    told = ada.says("panel", "Moss frame", "--over", "silver")
    end = re.search(r"rows named (\S+) find it\), or sprayout show (\S+)$", told.strip().splitlines()[-1])
    assert end[1] == end[2]
    assert end[1] in ada.says("show", end[2])
    ada.table("more.csv", [(end[1], measured("silver", FILM, 4))])
    assert "1 reading taken in" in ada.says("import", "more.csv", *TOLD)


def test_a_step_card_read_as_a_whole_teaches_no_count_of_coats(person):
    ada = sender(person)
    ada.table("whole.csv", [("SC-1", measured("silver", FILM, 1))])
    with Store.open(ada.folder / "mosses") as store:
        before = gathered(store)
    waits = ada.tries("import", "whole.csv", *TOLD)
    assert waits.status == 3
    assert "SC-1 is a step card, and no step is named" in waits.told
    ada.says("inbox", "SC-1", "--to", "SC-1")  # told by hand that it is of the card as a whole
    with Store.open(ada.folder / "mosses") as store:
        after = gathered(store)
    assert len(after.steps) == len(before.steps)
    assert ["step card" in why for _, why in after.left_out] == [True]
    told = ada.says("typed", "SC-1", "30", "-20", "12", "D65/10", "45:0", "bare")
    assert "SC-1 is a step card" in told and "SC-1/6" in told
    assert "step card" not in ada.says("typed", "SC-1/6", "31", "-20", "12", "D65/10", "45:0", "bare")


def test_names_that_nothing_goes_by_are_told_in_the_painters_words(person):
    ada = sender(person)
    assert 'sprayout material "gloss" --role ROLE' in ada.refused("recipe", "Moss frame", "--clear", "2 gloss")
    assert "No cup is called 'C9'" in ada.refused("cup", "C9")
    assert '--new "thin carrier=carrier"' in ada.refused("mix", "Thin = 1 thin carrier : 1 Moss glass")
    assert "what is it for?\n" in ada.refused("material", "gold")


def test_a_mix_poured_from_its_materials_is_said_by_them(person):
    ada = sender(person)
    told = ada.refused("pour", "Moss glass bodied", "90ml", "--really", "Moss glass=30 ml")
    assert "poured from its materials" in told and "--from CODE" in told


def test_a_spray_day_cautions_of_the_clear_and_asks_what_went_out(person):
    ada = sender(person)
    ada.says("material", "gloss", "--role", "clear", "--caution", "isocyanate")
    ada.says("recipe", "Moss frame", "--clear", "2 gloss")
    assert "which says nothing about it" in ada.says("pour", "Moss glass bodied", "90ml")
    ada.says("material", "weak moss", "--caution", "solvent")
    assert "solvent: weak moss" in ada.says("pour", "Moss glass bodied", "90ml")
    ada.says("pour", "Moss glass bodied", "90ml", "--done")
    ada.says("pour", "Moss glass bodied", "40ml", "--done")
    begun = ada.says("spray", "start", "Moss frame", "--cup", "C1", "--cup", "C2", "--piece", "T1 over silver")
    assert "isocyanate: gloss" in begun and "air-fed" in begun
    ada.says("spray", "coat", "all", "--cup", "C1")
    done = ada.says("spray", "finish", "--used", "C1=30 ml")
    assert "went out of C2 was not said" in done


def test_a_chosen_mix_reads_as_its_answer_was_told(person):
    ada, bo = sender(person), person("bo")
    place = ada.machine / "shared"
    ada.says("sync", "--to", place, "--yes")
    bo.says("join", place, "copy", "--shop", "Tide Yard (invented)")
    bo.says("mix", "Moss glass = 8 weak moss : 2 strong moss by volume")
    bo.says("sync")
    ada.says("mix", "Moss glass = 7 weak moss : 1 strong moss")
    assert "two answers" in ada.says("sync")
    told = ada.says("choose", "Moss glass", "ours")
    assert "7 weak moss : 1 strong moss by volume stands now" in told
    ada.says("sync")
    taken = bo.says("sync")
    assert re.search(r"Moss glass, in the cup: strong moss: 1 of 5 parts .* before, 1 of 8 parts", taken), taken
    shown = ada.says("show", "Moss glass")
    assert "(mix)" in shown and "7 weak moss : 1 strong moss" in shown
    assert "as_typed" not in ada.sees("show", "Moss glass")["document"]["mix"]
    assert "two answers to the mix" in ada.says("history", "Moss glass")


def test_a_step_that_is_the_standard_is_what_is_compared_with(person):
    ada = sender(person)
    ada.says("typed", "SC-1", "30", "-20", "12", "D65/10", "45:0", "bare")
    ada.says("typed", "SC-1/6", "50", "-20", "12", "D65/10", "45:0", "bare")
    ada.says("panel", "Moss frame", "--over", "silver", "--label", "MF-2")
    ada.says("typed", "MF-2", "30", "-20", "12.5", "D65/10", "45:0", "bare")
    told = ada.says("standard", "Moss frame", "SC-1/6")
    [hint] = re.findall(r"sprayout compare (\S+) TRIAL", told)
    assert "standard over silver  SC-1/6" in ada.says("show", "Moss frame")
    for words in (("compare", "MF-2"), ("compare", hint, "MF-2")):
        told = ada.says(*words)
        assert "MF-2: out at 45:0" in told and "MF-2 against SC-1/6" in told
    whole = ada.says("compare", "SC-1", "MF-2")
    assert "MF-2: " not in whole, "the card as a whole is not the standard"
    assert "SC-1/6 against SC-1/1" in ada.says("compare", "SC-1/1", "SC-1/6")
    assert "has no step or zone '9'" in ada.refused("compare", "SC-1/9", "MF-2")


def test_history_tells_who_sprayed_what_a_packet_brought(person):
    ada, cy = sender(person), person("cy")
    ada.says("pack", "Moss frame", "--to", cy.folder / "moss.packet")
    cy.says("create", "mine", "--shop", "Harbour Finishing (invented)")
    cy.says("unpack", "moss.packet", "--take")
    told = cy.says("history")
    assert re.search(r"panel +MF-1 .*, ada, Reed Works \(invented\); taken in by cy, Harbour Finishing", told), told
