"""As a new user would: two grounds, our version of, a packet to a second library, gaps and differences there."""

import json

OPTIONS = [word for one in ("geometry=45:0", "stage=bare", "illuminant=D65", "observer=10") for word in ("--set", one)]


def test_a_recipe_travels_with_its_lineage_its_gaps_and_its_difference(shops, kelp):
    dune = shops[1]
    told = kelp.said("derive", "Kelp glass", "Our kelp", "--parts", "5 weak teal : 3 strong teal")
    assert "strong teal: 2 of 7 parts (28.6 %) before, 3 of 8 parts (37.5 %) now" in told
    told = kelp.said("derive", "Kelp over two", "Our two", "--swap", "Kelp glass=Our kelp", "--over", "black")
    assert "grounds: silver is no longer there" in told
    told = kelp.said("pack", "Our two", "Kelp over two", "--to", "two.packet")
    assert "What a stranger would have to guess" in told
    assert "about 5 coats: how many is that?" in told

    file = kelp.folder / "two.packet"
    before = dune.refs()
    told = dune.said("unpack", file, "--look")
    assert "from ada, Tide shop, Tide works" in told
    assert dune.refs() == before
    told = dune.said("unpack", file, "--take")
    assert "Next: sprayout show" in told

    shown = json.loads(dune.said("show", "Our two", "--json"))
    assert shown["status"]["state"] == "never"
    assert any("grounds" in one["text"] for one in shown["derived_from"]["changes"])
    questions = {(gap["about"], gap["question"]) for gap in shown["gaps"]}
    assert ("silver", "which lot was it?") not in questions
    assert ("black", "which lot was it?") in questions
    assert ("black", "what colour is this ground? it has no reading") in questions
    parent = json.loads(dune.said("show", "Kelp over two", "--json"))
    assert parent["status"]["state"] == "sprayed"
    told = dune.said("show", "Our kelp")
    assert "Our version of Kelp glass" in told
    assert "weak teal: 5 of 7 parts (71.4 %) before, 5 of 8 parts (62.5 %) now" in told

    again = dune.refs()
    assert "Nothing in it is new here" in dune.said("unpack", file, "--take")
    assert dune.refs() == again


def test_newer_older_and_two_answers_are_told_before_anything_is_taken(shops, kelp):
    dune = shops[1]
    kelp.said("pack", "Kelp over two", "--to", "first.packet")
    first = kelp.folder / "first.packet"
    dune.said("unpack", first, "--take")
    kelp.said("mix", "Kelp glass = 6 weak teal : 2 strong teal")
    kelp.said("pack", "Kelp over two", "--to", "second.packet")
    second = kelp.folder / "second.packet"
    found = json.loads(dune.said("unpack", second, "--json"))
    fates = {one["name"]: one["fate"] for one in found["documents"]}
    assert fates["Kelp glass"] == "newer"
    assert set(fates.values()) == {"newer", "same"}
    dune.said("unpack", second, "--take")
    found = json.loads(dune.said("unpack", first, "--json"))
    assert {one["name"]: one["fate"] for one in found["documents"]}["Kelp glass"] == "older"
    before = dune.refs()
    dune.said("unpack", first, "--take")
    assert dune.refs() == before
    dune.said("mix", "Kelp glass = 1 weak teal : 9 strong teal")
    kelp.said("mix", "Kelp glass = 9 weak teal : 1 strong teal")
    kelp.said("pack", "Kelp over two", "--to", "third.packet")
    told = dune.said("unpack", kelp.folder / "third.packet", "--look")
    assert "Two answers: 1" in told
    assert "Two answers wait" in dune.said("unpack", kelp.folder / "third.packet", "--take")
    assert "9 weak teal : 1 strong teal" in dune.said("answers")


def test_a_version_that_was_replaced_is_brought_back_as_a_new_one(kelp):
    kelp.said("note", "Kelp glass", "a remark that stays")
    kelp.said("mix", "Kelp glass = 6 weak teal : 5 strong teal")
    assert "changed since" in kelp.said("show", "Kelp glass").lower()
    told = kelp.said("take-back", "Kelp glass@1")
    assert "5 of 7 parts (71.4 %) now" in told
    shown = kelp.said("show", "Kelp glass")
    assert "Sprayed\n" in shown
    assert "a remark that stays" in shown
    assert len(json.loads(kelp.said("history", "Kelp glass", "--json"))) == 4
    assert "stands as in version 1 already" in kelp.said("take-back", "Kelp glass@1")


def test_coats_and_grounds_are_brought_back(kelp):
    kelp.said("recipe", "Kelp over two", "--over", "weak teal", "--coat", "2 Kelp glass")
    kelp.said("take-back", "Kelp over two@1")
    shown = json.loads(kelp.said("show", "Kelp over two", "--json"))
    assert len(shown["document"]["coats"]) == 1
    assert len(shown["document"]["grounds"]) == 2
    assert shown["status"]["state"] == "sprayed"


def test_house_ratios_are_filled_and_flagged_when_the_pattern_changes(kelp):
    kelp.said("mix", "House glass = 4 [dye] : 1 [pearl] : 2 water white", "--new", "water white=carrier")
    kelp.said("material", "fine pearl", "--role", "pearl")
    shown = json.loads(kelp.said("show", "House glass", "--json"))
    assert "slot" in shown["composition_unknown"]
    told = kelp.said("fill", "House glass", "Teal glass", "--slot", "dye=weak teal", "--slot", "pearl=fine pearl")
    assert "4 weak teal : 1 fine pearl : 2 water white" in told
    assert "Fills House glass" in kelp.said("show", "Teal glass")
    assert "never sprayed" in kelp.said("fill", "House glass")
    kelp.said("mix", "House glass = 5 [dye] : 1 [pearl] : 2 water white")
    assert "differs: the pattern changed since" in kelp.said("fill", "House glass")
    kelp.said("mix", "House glass = 4 [dye] : 1 [pearl] : 2 water white")
    assert "differs" not in kelp.said("fill", "House glass")
    kelp.said("mix", "Teal glass = 3 weak teal : 1 fine pearl : 2 water white")
    assert "differs: it was changed itself" in kelp.said("fill", "House glass")


def test_people_and_readings_side_by_side(kelp):
    kelp.said("judge", "order", "lighter", "KF-1", "KF-3/5", "KF-2", "--light", "D65")
    kelp.said("judge", "order", "lighter", "KF-3/5", "KF-1", "KF-2", "--light", "d65", "--who", "bo")
    kelp.said("judge", "order", "lighter", "KF-2", "KF-1", "KF-3/5", "--light", "shop LED", "--who", "bo")
    kelp.said("judge", "pair", "KF-1", "KF-3/5", "--light", "shop LED")
    told = kelp.said(
        "judge", "compare", "warmer", "KF-1", "--against", "KF-2", "--light", "direct sun", "--where", "flop"
    )
    assert "KF-1 is warmer than KF-2 (in direct sun, at the flop; ada)" in told
    [day] = json.loads(kelp.said("eyes", "lighter", "--light", "D65", "--json"))
    assert day["kendall_w"]["w"] == 0.75
    assert day["people_part"] == [{"first": "KF-1", "second": "KF-3/5", "by": ["ada", "bo"]}]
    assert day["missing"] == ["readings: none of the pieces has one"]
    shown = kelp.said("show", "KF-1")
    assert "closest: KF-1 and KF-3/5 (in shop LED; ada)" in shown


def test_the_eye_beside_readings(kelp):
    kelp.said("judge", "order", "lighter", "KF-1", "KF-3/5", "KF-2", "--light", "D65")
    lines = ["Sample,L*,a*,b*", "KF-1,40,-20,-5", "KF-2,60,-20,-5", "KF-3/5,50,-20,-5"]
    (kelp.folder / "p.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    kelp.said("import", "p.csv", *OPTIONS, "--yes")
    [day] = json.loads(kelp.said("eyes", "lighter", "--json"))
    assert day["spearman"]["rho"] == -1.0
    assert day["spearman"]["pieces"] == 3
    assert len(day["readings_part"]) == 3
    told = kelp.said("eyes", "lighter")
    assert "by eye KF-1 before KF-2, measured the other way round (L* 40.00 and 60.00)" in told


def test_a_standard_and_its_limits(kelp):
    told = kelp.said("standard", "Kelp over two", "KF-3/5", "--within", "1.5", "--limit", "45:0=1.2")
    assert "KF-3, step 5 is now the standard of Kelp over two over" in told
    shown = json.loads(kelp.said("show", "Kelp over two", "--json"))["document"]
    [standard] = shown["standards"].values()
    assert standard["step"] == "5"
    assert shown["tolerance"]["limits"] == {"45:0": {"difference": 1.2}, "any": {"difference": 1.5}}
    assert shown["tolerance"]["formula"] == "ciede2000"
    assert "stands so already" in kelp.said("standard", "Kelp over two", "KF-3/5")


def test_libraries_of_one_machine_and_giving_between_them(kelp):
    kelp.said("create", "shared", "--name", "Shared")
    assert "*  Shared" in kelp.said("libraries")
    kelp.said("libraries", "--use", "tide works")
    told = kelp.said("give", "Kelp over two", "--to", "Shared")
    assert "given" in told
    assert (
        json.loads(kelp.said("--library", "Shared", "show", "Kelp over two", "--json"))["status"]["state"] == "sprayed"
    )
    kelp.said("give", "Kelp over two", "--to", "Shared", "--as", "Shared kelp")
    child = json.loads(kelp.said("--library", "Shared", "show", "Shared kelp", "--json"))["document"]
    assert set(child["provenance"]["derived"]) == {"id", "digest", "library"}
    kelp.said("libraries", "--forget", "Shared")
    assert "Shared" not in kelp.said("libraries")
    assert "now in use" in kelp.said("libraries", "--add", "shared")


def test_files_edited_by_hand_become_edits(shops, kelp):
    import subprocess

    subprocess.run(
        ["git", "clone", "-q", str(kelp.library), str(kelp.folder / "plain")], check=True, capture_output=True
    )
    [file] = [one for one in (kelp.folder / "plain").rglob("formula/**/*.json")]
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('"ratio": 5', '"ratio": 9'), encoding="utf-8")
    told = kelp.said("edited", "plain", "--look")
    assert "9 of 11 parts" in told
    kelp.said("edited", "plain")
    assert "9 weak teal : 2 strong teal" in kelp.said("show", "Kelp glass")
    before = kelp.refs()
    assert "Nothing was edited" in kelp.said("edited", "plain")
    assert kelp.refs() == before
    kelp.said("mix", "Kelp glass = 1 weak teal : 1 strong teal")
    file.write_text(text.replace('"ratio": 5', '"ratio": 3'), encoding="utf-8")
    assert "Two answers wait" in kelp.said("edited", "plain")


def test_a_signed_packet_says_so_and_a_signature_that_does_not_fit_is_refused(shops, kelp):
    import shutil

    import pytest

    from sprayout_library.store import Store
    from sprayout_library.trust import begin_signing

    if shutil.which("ssh-keygen") is None:
        pytest.skip("no ssh-keygen on this machine")
    dune = shops[1]
    told = kelp.said("pack", "KF-1")
    assert "signs it" not in told
    assert "not signed" in dune.said("unpack", kelp.folder / "KF-1.packet", "--look")
    kelp("libraries")  # this shop's own machine facts
    with Store.open(kelp.library) as store:
        begin_signing(store)
    assert "KF-1.packet.sig signs it" in kelp.said("pack", "KF-1", "--replace")
    assert "signed by an unknown key (SHA256:" in dune.said("unpack", kelp.folder / "KF-1.packet", "--look")
    kelp.said("pack", "KF-2")
    shutil.copy(kelp.folder / "KF-2.packet.sig", kelp.folder / "KF-1.packet.sig")
    assert "does not fit" in dune.refused("unpack", kelp.folder / "KF-1.packet", "--take")
    (kelp.folder / "KF-1.packet.sig").write_text("no signature", encoding="utf-8")
    dune.refused("unpack", kelp.folder / "KF-1.packet", "--take")
