"""The painter elsewhere: a packet in, the colour sprayed again, "am I there yet?", and a report back."""

import re

from tests.walks.booth import measured

FILM = {"weak moss": 0.19, "strong moss": 0.08}
TOLD = ("--set", "scale=percent", "--set", "geometry=45:0", "--set", "stage=bare", "--yes")


def sender(person):
    """A shop with a recipe, its standard, a step card and all readings."""
    ada = person("ada")
    ada.says("create", "mosses", "--shop", "Reed Works (invented)")
    ada.says("mix", "Moss glass = 5 weak moss : 2 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
    ada.says("mix", "Moss glass bodied = 3 Moss glass : 8 clear carrier", "--new", "clear carrier=carrier")
    ada.says("material", "silver", "--role", "metallic")
    ada.says("recipe", "Moss frame", "--over", "silver", "--coat", "4 Moss glass bodied")
    ada.says("panel", "Moss frame", "--over", "silver", "--label", "MF-1")
    ada.says("panel", "Moss frame", "--over", "silver", "--label", "SC-1", "--steps", "0,1,2,4,6")
    rows = [(f"SC-1/{coats}", measured("silver", FILM, coats)) for coats in (0, 1, 2, 4, 6)]
    ada.table("moss.csv", [("MF-1", measured("silver", FILM, 4)), *rows])
    ada.says("import", "moss.csv", *TOLD)
    ada.says("standard", "Moss frame", "MF-1", "--within", "1.5")
    return ada


def test_a_packet_is_reproduced_and_reported_back(person):
    ada, cy = sender(person), person("cy")
    ada.says("pack", "Moss frame", "--to", cy.folder / "moss.packet")

    looked = cy.says("unpack", "moss.packet")
    assert "Moss frame" in looked and "What you would have to guess" in looked
    assert "No library is in use yet" in looked
    cy.says("create", "mine", "--shop", "Harbour Finishing (invented)")
    cy.says("unpack", "moss.packet", "--take")
    assert "Nothing in it is new here" in cy.says("unpack", "moss.packet", "--take"), "twice is nothing"
    assert "standard over silver  MF-1" in cy.says("show", "Moss frame")

    # Three coats so far, with a hand that lays a fifth more than the sender's.
    cy.says("panel", "Moss frame", "--over", "silver", "--label", "HF-1")
    cy.table("cy.csv", [("HF-1", measured("silver", FILM, 3, heavy=1.2))])
    cy.says("import", "cy.csv", *TOLD)
    told = cy.says("coats", "HF-1", "--card", "SC-1", "--laid", "3", "--wanted", "4")
    [found] = re.findall(r"HF-1 is ([\d.]+) coats", told)
    assert abs(float(found) - 3.6) < 0.25, told
    assert re.search(r"coats are about (1\d|2\d) % heav", told), told

    words = cy.says("compare", "MF-1", "HF-1")
    assert "HF-1: in at 45:0" in words and "limit 1.5" in words
    cy.says("note", "HF-1", "third coat of four, laid wet")

    # Back to the sender: the panel and its reading, in a packet.
    cy.says("pack", "Moss frame", "--to", ada.folder / "back.packet")
    back = ada.says("unpack", "back.packet", "--take")
    assert "Taken in" in back
    assert "third coat of four" in ada.says("show", "HF-1")
    assert "HF-1" in ada.says("show", "Moss frame")
