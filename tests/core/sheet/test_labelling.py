from sprayout_core.documents import digest, from_tree, proofs, tree
from sprayout_core.sheet import cup_label, panel_label

LIBRARY = "0193aa10-2c3d-7e4f-8a5b-6c7d8e9f0a1b"


def number(n):
    return f"0193aa11-0000-7abc-9def-{n:012x}"


DYE, BASE, CARRIER, REDUCER, CLEAR, SILVER, WEAK, GLASS, RECIPE, CUP, PANEL = map(number, range(1, 12))
PROOF = "p1:" + "ab" * 32


def test_a_cup_says_what_it_is_and_carries_the_cautions(shelf):
    batch = shelf.put(
        "batch",
        CUP,
        formula=GLASS,
        spray_ready="small",
        proofs=proofs(shelf[GLASS], shelf.get, "small"),
        poured=[{"kind": "material", "id": CARRIER, "amount_ml": "60"}],
        label="M4",
        poured_at="2026-03-02T23:30:00-05:00",
        catalysed="yes",
    )
    label = cup_label(batch, LIBRARY, shelf.get, "110 ml left")
    assert (label.thing, label.title, label.mark) == ("cup", "Moss glass", "M4")
    assert label.lines == (
        "3.5 Weak fern : 1.5 glass carrier (by volume)",
        "small gun, reduce 7 % slow thinner, on top, strain at the pour 190 µm (about 80 mesh), "
        "strain in the gun 240 µm (about 60 mesh), 1.1 mm tip, laid medium",
        "hardener is in: pot life runs",
        "110 ml left",
        "poured 2026-03-02",
    )
    assert "SOLVENT" in label.caution
    assert "SKIN" in label.caution
    assert digest(batch).removeprefix("sha256:").startswith(label.code.digest)


def test_a_cup_never_shows_the_ratio_of_a_later_version(shelf):
    pinned = proofs(shelf[GLASS], shelf.get, "small")
    poured = [{"kind": "material", "id": CARRIER, "amount_ml": "60"}]
    batch = shelf.put("batch", CUP, formula=GLASS, spray_ready="small", proofs=pinned, poured=poured)
    plain = tree(shelf[WEAK])  # the nested mix changes, not the formula itself
    plain["mix"]["items"][DYE]["ratio"] = 3
    shelf[WEAK] = from_tree(plain)
    assert cup_label(batch, LIBRARY, shelf.get).lines == ("the mix has changed since: scan for what is in",)


def test_a_cup_of_an_unknown_formula_still_has_its_label(shelf):
    batch = shelf.put(
        "batch",
        CUP,
        formula=number(99),
        proofs={number(99): PROOF},
        poured=[{"kind": "material", "id": CLEAR, "amount_ml": "60"}],
    )
    label = cup_label(batch, LIBRARY, shelf.get)
    assert label.title == "…000063"
    assert "ISOCYANATE" in label.caution


def test_a_panel_says_its_ground_and_its_coats(shelf):
    panel = shelf.put(
        "panel",
        PANEL,
        recipe=RECIPE,
        ground={"kind": "material", "id": SILVER},
        shape="flat",
        coats=[{"formula": GLASS, "count": "5"}, {"formula": WEAK, "count": "2"}],
        clear={"kind": "material", "id": CLEAR},
        stage={"surface": "cleared"},
        label="P7",
        sprayed_at="2026-03-03T09:10:00Z",
        proofs={GLASS: PROOF, WEAK: PROOF},
    )
    label = panel_label(panel, LIBRARY, shelf.get)
    assert (label.thing, label.title, label.mark, label.caution) == ("panel", "Moss frame", "P7", "")
    assert label.lines == (
        "over fine silver",
        "coats: Moss glass: 5, Weak fern: 2",
        "clear: Glass clear",
        "flat, cleared",
        "sprayed 2026-03-03",
    )
