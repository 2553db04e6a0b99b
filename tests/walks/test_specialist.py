"""The specialist: a weak and a strong dye become a recipe over four grounds, chosen by eye, shown to others."""

from tests.walks.booth import GROUNDS, measured

FIRST = {"weak moss": 0.26, "strong moss": 0.04}
SECOND = {"weak moss": 0.21, "strong moss": 0.09}
TOLD = ("--set", "scale=percent", "--set", "geometry=45:0", "--set", "stage=bare", "--yes")


def test_from_two_dyes_to_a_recipe_that_others_see(person):
    ada = person("ada")
    assert "sprayout create FOLDER" in ada.says()
    ada.says("create", "mosses", "--shop", "Reed Works (invented)")
    neat = ada.says(
        "mix", "Moss glass = 13 weak moss : 2 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye"
    )
    assert "Never sprayed" in neat and "sprayout recipe" in neat
    ada.says("mix", "Moss glass bodied = 3 Moss glass : 7 clear carrier", "--new", "clear carrier=carrier")
    assert "is it metallic, solid or sealer?" in ada.refused("material", "silver", "--role", "ground")
    for ground, role in (("silver", "metallic"), ("bronze", "metallic"), ("pale sealer", "sealer"), ("slate", "solid")):
        ada.says("material", ground, "--role", role)
    ada.says("material", "gloss", "--role", "clear", "--caution", "isocyanate")

    over = [word for ground in GROUNDS for word in ("--over", ground)]
    assert '--clear "gloss"' in ada.refused("recipe", "Moss fade", *over, "--coat", "2 gloss")
    ada.says("recipe", "Moss fade", *over, "--coat", "3 Moss glass bodied", "--clear", "gloss")
    assert 'sprayout panel "Moss fade"' in ada.says()

    rows = []
    for place, ground in enumerate(GROUNDS, 1):
        ada.says("panel", "Moss fade", "--over", ground, "--label", f"MF-{place}")
        rows.append((f"MF-{place}", measured(ground, FIRST, 3)))
    assert "No reading yet" in ada.says()
    ada.table("first.csv", rows)
    asked = ada.refused("import", "first.csv")
    assert "--set scale=percent" in asked and "Nothing was written" in asked
    assert "4 readings taken in" in ada.says("import", "first.csv", *TOLD)

    shown = ada.says("show", "Moss fade")
    assert all(f"over {ground}  sprayed" in shown for ground in GROUNDS)
    assert "asthma" in shown, "a two-pack clear carries its caution"

    assert 'sprayout show "Moss glass"' in ada.says("mix", "Moss glass = 7 weak moss : 3 strong moss")
    assert "Changed since it was sprayed" in ada.says("show", "Moss glass")
    ada.says("panel", "Moss fade", "--over", "silver", "--label", "MF-5")
    ada.table("second.csv", [("MF-5", measured("silver", SECOND, 3))])
    ada.says("import", "second.csv", *TOLD)
    words = ada.says("compare", "MF-1", "MF-5")
    assert words.index("MF-5 against MF-1:") < words.index("dE00"), "words first, numbers after"
    assert "darker" in words

    ada.says("judge", "order", "greener", "MF-5", "MF-1", "--light", "direct sun")
    assert "MF-5 is now the standard of Moss fade over silver" in ada.says("standard", "Moss fade", "MF-5")

    assert "There is nothing to learn" in ada.refused("reach", "70 -30 50")
    ada.says("panel", "Moss fade", "--over", "silver", "--label", "SC-1", "--steps", "0,1,2,4")
    ada.table("card.csv", [(f"SC-1/{coats}", measured("silver", SECOND, coats)) for coats in (0, 1, 2, 4)])
    ada.says("import", "card.csv", *TOLD)
    assert "predicted at 45:0" in ada.says("grid", "Moss glass bodied", "--coats", "2,3,4")
    assert "coats" in ada.says("coats", "MF-5")

    ada.says("sync", "--to", ada.machine / "shared")
    told = ada.says("pack", "Moss fade", "--to", "moss.packet")
    assert "What a stranger would have to guess" in told

    bo = person("bo")
    bo.says("join", ada.machine / "shared", "mosses", "--shop", "Weir Lane (invented)")
    assert "standard over silver  MF-5" in bo.says("show", "Moss fade")
    assert "greener first: MF-5, MF-1" in bo.says("show", "MF-5")
