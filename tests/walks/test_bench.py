"""The painter at the bench: a job in an hour, an over-pour, a leftover."""

import re


def shop_with_a_recipe(person):
    bo = person("bo")
    bo.says("create", "bench", "--shop", "Corner Booth (invented)")
    bo.says("mix", "Moss glass = 6 weak moss : 1 strong moss", "--new", "weak moss=dye", "--new", "strong moss=dye")
    bo.says("mix", "Moss glass bodied = 7 clear carrier : 3 Moss glass", "--new", "clear carrier=carrier")
    bo.says("material", "silver", "--role", "metallic")
    bo.says("recipe", "Moss frame", "--over", "silver", "--coat", "3 Moss glass bodied, laid medium")
    return bo


def test_a_job_an_over_pour_and_a_leftover(person):
    bo = shop_with_a_recipe(person)
    need = ("need", "Moss frame", "--area", "0.35", "--lands", "50-65", "--film", "8-12")
    assert "--solids 30" in bo.refused(*need)
    told = bo.says(*need, "--solids", "20")
    assert re.search(r"of it the mix +\d+ to \d+ ml", told)

    bo.says("scale", "bench", "--step", "0.1g", "--holds", "600g")
    assert 'material "weak moss" --density' in bo.refused("pour", "Moss glass", "44ml", "--in", "bench")
    for name, density in (("weak moss", "0.97"), ("strong moss", "1.01"), ("clear carrier", "1.04")):
        bo.says("material", name, "--density", density)
    poured = bo.says("pour", "Moss glass bodied", "126ml", "--in", "bench", "--really", "strong moss=9.7g")
    assert "too much" in poured and "sprayout rescue C1" in poured
    rescued = bo.says("rescue", "C1", "--step", "0.1g", "--done")
    assert "C2 takes C1 whole" in rescued and "Furthest" not in rescued

    assert "C2" in bo.says() and "C1" not in bo.says()
    begun = bo.says(
        "spray", "start", "Moss frame", "--cup", "C2", "--piece", "T1 over silver", "--piece", "T2 over silver"
    )
    assert "air" in begun and "data sheet" in begun, "spraying is cautioned"
    for _ in range(3):
        bo.says("spray", "coat", "all")
    bo.says("spray", "coat", "T2")
    bo.says("spray", "undo")
    bo.says("spray", "judge", "compare", "warmer", "T1", "--against", "T2", "--light", "D65")
    assert "2 panels saved: T1, T2" in bo.says("spray", "finish")
    shown = bo.sees("show", "T2")["document"]
    assert [coat["count"] for coat in shown["coats"]] == ["3"] or shown["coats"][0]["count"] in (3, "3")

    bo.says("cup", "C2", "--take", "120g", "--into", "sprayed")
    left = bo.sees("cup", "C2")
    assert left["unit"] == "g"
    later = bo.says("pour", "Moss glass bodied", "150ml", "--from", "C2")
    assert re.search(r"C2 +\d", later), "the leftover goes in first"
    bo.says("label", "C2", "--out", "labels.pdf")
    assert (bo.folder / "labels.pdf").read_bytes().startswith(b"%PDF")
    bo.says("sheet", "Moss frame", "--out", "sheet.pdf")
    assert (bo.folder / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_a_cup_mixed_ahead_goes_into_the_printed_column(person):
    bo = shop_with_a_recipe(person)
    for name, density in (("weak moss", "0.97"), ("strong moss", "1.01"), ("clear carrier", "1.04")):
        bo.says("material", name, "--density", density)
    bo.says("scale", "bench", "--step", "0.1g", "--holds", "600g")
    bo.says("cups", "columns", "large", "7:3 1=100 2=200")
    bo.says("pour", "Moss glass", "40ml", "--in", "bench", "--done")
    assert "7:3 column" in bo.says("pour", "Moss glass bodied", "100ml", "--in", "large", "--from", "C1")
    assert "C1 holds" in bo.refused("pour", "Moss glass bodied", "120ml", "--in", "large", "--from", "C1")
