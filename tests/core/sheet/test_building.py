import pytest

from sprayout_core.documents import digest, from_tree, proof, tree
from sprayout_core.sheet import Job, PourLine, Said, bench_sheet, mix_part, parse_code, told

LIBRARY = "0193aa10-2c3d-7e4f-8a5b-6c7d8e9f0a1b"


def number(n):
    return f"0193aa11-0000-7abc-9def-{n:012x}"


DYE, BASE, CARRIER, REDUCER, CLEAR, SILVER, WEAK, GLASS, RECIPE = map(number, range(1, 10))


def asked(document, atom, values, remove):
    """The document as a join leaves it when two copies changed one atom."""
    plain = tree(document)
    remove(plain)
    plain["seen"] = {**plain["seen"], "k7f3q2": 90, "m2x9ab": 2}
    plain["questions"] = {atom: {"k7f3q2.90": {"value": values[0]}, "m2x9ab.2": {"value": values[1]}}}
    plain["edits"] = {atom: {"k7f3q2.90": "2026-03-03T09:10:00Z", "m2x9ab.2": "2026-03-03T10:10:00Z"}}
    return from_tree(plain)


def test_a_recipe_brings_every_mix_it_reaches_nested_first(shelf):
    sheet = bench_sheet(shelf[RECIPE], LIBRARY, shelf.get)
    assert [mix.title for mix in sheet.mixes] == ["Weak fern", "Moss glass"]
    assert [str(mix.ratio) for mix in sheet.mixes] == [
        "19 clear base : 2 fern dye (by volume)",
        "3.5 Weak fern : 1.5 glass carrier (by volume)",
    ]
    assert sheet.missing == ()
    assert sheet.notes == ("Look at it under the lamp.",)


def test_the_schedule_is_told_from_the_record(shelf):
    sheet = bench_sheet(shelf[RECIPE], LIBRARY, shelf.get, Said(keyed=frozenset({SILVER})))
    assert told(sheet).endswith(
        "Over fine silver (keyed ground): about 4 coats of Moss glass (with small gun, laid medium, "
        "dry to the touch, at least 8 min between coats), "
        "then 2 coats of Weak fern (laid mist, 7 µm dry a coat), then Glass clear, number of coats not recorded."
    )
    assert [step.role for step in sheet.steps] == ["colour", "colour", "clear, polished after"]


def test_the_gun_facts_are_the_formulas_own(shelf):
    (variant,) = mix_part(shelf[GLASS], shelf.get).spray_ready
    assert (variant.gun, *variant.facts()) == (
        "small gun",
        "reduce 7 % slow thinner, on top",
        "strain at the pour 190 µm (about 80 mesh)",
        "strain in the gun 240 µm (about 60 mesh)",
        "1.1 mm tip",
        "laid medium",
    )


def test_the_code_leads_back_to_the_exact_version(shelf):
    code = parse_code(bench_sheet(shelf[RECIPE], LIBRARY, shelf.get).code.qr_text)
    assert code.document == RECIPE
    assert digest(shelf[RECIPE]).removeprefix("sha256:").startswith(code.digest)
    assert LIBRARY.endswith(code.library)


def test_cautions_are_those_of_every_material_reached(shelf):
    carried = {block.about: block.carried_by for block in bench_sheet(shelf[RECIPE], LIBRARY, shelf.get).cautions}
    assert carried == {
        "Two-pack, isocyanate": ("Glass clear",),
        "Solvent": ("slow thinner", "Glass clear"),
        "Skin and eyes": ("fern dye",),
        "Spraying": (),
    }


def test_the_job_is_poured_and_versions_are_said(shelf):
    job = Job("300 ml cup", (PourLine("Weak fern", "140", "ml", "140"),), "200 ml", "one string off the stick")
    said = Said(shop="Harbour", versions={GLASS: "version 2"}, statuses={GLASS: "sprayed"}, pieces=("fork",))
    sheet = bench_sheet(shelf[GLASS], LIBRARY, shelf.get, said, {GLASS: job})
    (_, glass) = sheet.mixes
    assert (glass.cup, glass.total, glass.version, glass.status) == (
        "300 ml cup",
        "200 ml",
        "version 2",
        "sprayed",
    )
    assert (sheet.version, sheet.status, sheet.shop, sheet.pieces) == (
        "version 2",
        "sprayed",
        "Harbour",
        ("fork",),
    )


def test_what_is_not_here_is_a_gap_and_no_crash(shelf):
    del shelf[CARRIER], shelf[CLEAR]
    sheet = bench_sheet(shelf[RECIPE], LIBRARY, shelf.get)
    assert sheet.missing == ("…000003", "…000005")
    assert "1.5 …000003" in str(sheet.mixes[1].ratio)


def test_a_mix_that_contains_itself_across_documents_ends(shelf):
    plain = tree(shelf[WEAK])
    plain["mix"]["items"][GLASS] = {"kind": "formula", "ratio": 1}
    shelf[WEAK] = from_tree(plain)
    assert {mix.title for mix in bench_sheet(shelf[GLASS], LIBRARY, shelf.get).mixes} == {
        "Weak fern",
        "Moss glass",
    }


def test_two_answers_to_a_mix_leave_nothing_to_pour(shelf):
    ours = {
        "basis": "volume",
        "items": {DYE: {"kind": "material", "ratio": 1}, BASE: {"kind": "material", "ratio": 9}},
    }
    theirs = {
        "basis": "volume",
        "items": {DYE: {"kind": "material", "ratio": 1}, BASE: {"kind": "material", "ratio": 8}},
    }

    def remove(plain):
        del plain["mix"]["basis"], plain["mix"]["items"]

    shelf[WEAK] = asked(shelf[WEAK], "mix", (ours, theirs), remove)
    job = Job("cup", (PourLine("fern dye", "5", "ml"),), "50 ml")
    said = Said(who={"k7f3q2": "ours", "m2x9ab": "Quay"}.get)
    sheet = bench_sheet(shelf[RECIPE], LIBRARY, shelf.get, said, {WEAK: job})
    weak = sheet.mixes[0]
    assert (weak.ratio, weak.pours, weak.cup, weak.total) == (None, (), "", "")
    (question,) = sheet.open_questions()
    assert str(question) == (
        "Weak fern: ratio: 1 fern dye : 9 clear base (by volume) (ours); "
        "or 1 fern dye : 8 clear base (by volume) (Quay)"
    )


def test_a_coat_with_two_answers_keeps_its_place(shelf):
    first, _ = shelf[RECIPE].coats_order

    def remove(plain):
        del plain["coats"][first]

    values = ({"formula": GLASS, "count": "4"}, {"formula": GLASS, "count": "6", "laid": "wet"})
    recipe = asked(shelf[RECIPE], f"coats/{first}", values, remove)
    sheet = bench_sheet(recipe, LIBRARY, shelf.get)
    assert [bool(step.two_answers) for step in sheet.steps] == [True, False, False]
    assert [answer.says for answer in sheet.steps[0].two_answers.answers] == [
        "Moss glass, 4, role colour",
        "Moss glass, 6, role colour, laid wet",
    ]
    assert len(sheet.open_questions()) == 1


def pinned(shelf, pin):
    plain = tree(shelf[RECIPE])
    plain["coats"][plain["coats_order"][0]]["pinned"] = pin
    return from_tree(plain)


JOB = Job("cup", (PourLine("Weak fern", "140", "ml"),), "200 ml")


def test_nothing_is_poured_from_another_version_than_the_pinned_one(shelf):
    sheet = bench_sheet(pinned(shelf, "p1:" + "0" * 64), LIBRARY, shelf.get, jobs={GLASS: JOB})
    weak, glass = sheet.mixes
    assert "pins another version" in glass.warning
    assert (glass.pours, glass.total, weak.warning) == ((), "", "")
    assert "do not pour from this" in told(sheet)


def test_the_pinned_version_itself_is_poured(shelf):
    recipe = pinned(shelf, proof(shelf[GLASS], "small"))
    _, glass = bench_sheet(recipe, LIBRARY, shelf.get, jobs={GLASS: JOB}).mixes
    assert (glass.warning, glass.pours) == ("", JOB.pours)


@pytest.mark.parametrize(("scale", "shown"), [("2", "14 Weak fern"), ("1/3", "7 Weak fern")])
def test_a_ratio_is_shown_as_it_was_written_where_a_decimal_says_it(shelf, scale, shown):
    plain = tree(shelf[GLASS])
    plain["mix"]["scale"] = scale
    assert str(mix_part(from_tree(plain), shelf.get).ratio).startswith(shown)


def test_dry_grams_per_litre_stand_beside_the_parts(shelf):
    plain = tree(shelf[GLASS])
    plain["mix"]["items"][SILVER] = {"kind": "material", "g_per_l": "12.5"}
    ratio = mix_part(from_tree(plain), shelf.get).ratio
    assert str(ratio).endswith("1.5 glass carrier, with 12.5 g per l fine silver (by volume)")


def test_an_open_slot_is_named(shelf):
    plain = tree(shelf[GLASS])
    plain["mix"]["items"]["slot.pearl"] = {"kind": "slot", "ratio": 1}
    assert "(pearl to choose)" in str(mix_part(from_tree(plain), shelf.get).ratio)
