"""The main job through the commands, as a new user would."""

import json

import pytest

HEAD = ";".join(str(nm) for nm in range(400, 701, 10))
OPTIONS = ("--set", "scale=percent", "--set", "geometry=45:0", "--set", "stage=bare")


def table(*rows):
    lines = [f"Piece;{HEAD}"]
    lines += [
        ";".join([label, *(f"{level + nm / 50:.2f}".replace(".", ",") for nm in range(31))]) for label, level in rows
    ]
    return "\n".join([*lines, ""])


def test_bare_command_teaches_where_nothing_is(shop):
    status, out, _ = shop()
    assert status == 0 and "sprayout demo" in out and "sprayout create" in out


def test_a_mix_reads_back_with_names_glued_to_numbers(bench):
    _, out, _ = bench("show", "Kelp glass bodied")
    assert "9 clear carrier : 2 Kelp glass by volume" in out
    assert "10/77" in out and "4/77" in out and "9/11" in out


def test_a_basis_that_nobody_said_is_a_gap(bench):
    assert "by volume or by mass" in bench("gaps", "Kelp glass")[1]
    bench("mix", "Kelp glass = 5 weak teal : 2 strong teal by volume")
    assert "by volume or by mass" not in bench("gaps", "Kelp glass")[1]
    bench("mix", "Kelp glass = 9 weak teal : 5 strong teal")
    assert "by volume or by mass" in bench("gaps", "Kelp glass")[1]


def test_unknown_materials_are_asked_for_by_name(bench):
    status, _, err = bench("mix", "Fen moss = 3 moss dye : 1 clear carrier")
    assert status == 1 and "'moss dye'" in err and "--new" in err
    assert bench("show", "Fen moss")[0] == 1


def test_status_follows_from_panels(bench):
    assert "Sprayed" in bench("show", "Kelp glass")[1]
    bench("mix", "Kelp glass = 10 weak teal : 4 strong teal")
    _, out, _ = bench("show", "Kelp glass")
    assert "10 weak teal : 4 strong teal" in out and "Sprayed" in out
    bench("mix", "Kelp glass = 6 weak teal : 5 strong teal")
    assert "Changed since it was sprayed" in bench("show", "Kelp glass")[1]
    assert "Changed since it was sprayed" in bench("show", "Kelp glass bodied")[1]


def test_import_asks_first_then_takes_each_reading_once(bench, tmp_path):
    (tmp_path / "p.csv").write_text(table(("KF-1", 12.0), ("nobody", 20.0)), encoding="utf-8")
    status, out, err = bench("import", "p.csv", "--yes")
    assert status == 1 and "--set scale=percent" in out and "Nothing was written" in err
    status, out, err = bench("import", "p.csv", *OPTIONS)
    assert status == 0 and "Nothing was written" in out
    status, out, err = bench("import", "p.csv", *OPTIONS, "--yes")
    assert status == 3 and "1 reading taken in" in out and "line 3 waits: no panel is called 'nobody'" in out
    status, out, _ = bench("import", "p.csv", *OPTIONS, "--yes")
    assert "0 readings taken in, 1 known already" in out
    assert "L* " in bench("show", "KF-1")[1]


def test_two_panels_are_compared_in_words_then_numbers(bench, tmp_path):
    bench("panel", "Kelp fade", "--over", "bronze", "--label", "KF-2")
    (tmp_path / "p.csv").write_text(table(("KF-1", 12.0), ("KF-2", 16.0)), encoding="utf-8")
    bench("import", "p.csv", *OPTIONS, "--yes")
    status, out, _ = bench("compare", "KF-1", "KF-2")
    assert status == 0 and "lighter" in out and "dE00" in out and "D65/10°" in out
    data = json.loads(bench("compare", "KF-1", "KF-2", "--json")[1])
    assert data["colour"]["numbers"][0]["dL*"] > 0
    other = json.loads(bench("compare", "KF-1", "KF-2", "--light", "tungsten", "--json")[1])
    assert other["colour"]["numbers"][0]["view"] == "A/10°"


def test_bare_and_cleared_are_never_compared(bench, tmp_path):
    bench("panel", "Kelp fade", "--over", "bronze", "--label", "KF-2")
    (tmp_path / "a.csv").write_text(table(("KF-1", 12.0)), encoding="utf-8")
    (tmp_path / "b.csv").write_text(table(("KF-2", 16.0)), encoding="utf-8")
    bench("import", "a.csv", *OPTIONS, "--yes")
    bench("import", "b.csv", *OPTIONS[:-1], "stage=cleared", "--yes")
    _, out, _ = bench("compare", "KF-1", "KF-2")
    assert "bare" in out and "cleared: not compared" in out and "dE00" not in out


def test_versions_are_compared_cup_first(bench):
    bench("mix", "Kelp glass = 6 weak teal : 5 strong teal")
    _, out, _ = bench("compare", "Kelp glass")
    assert out.index("In the cup") < out.index("In the colour")
    assert "strong teal: 2 of 7 parts (28.6 %) before, 5 of 11 parts (45.5 %) now" in out
    _, out, _ = bench("history", "Kelp glass")
    assert out.index("version 2") < out.index("version 1")


def test_two_shops_offline_and_back(bench, tmp_path):
    """Different things, a note against a mix, different parts of one mix, 10:4 for 5:2: as issue A tells it."""
    here, there = ("--library", str(tmp_path / "lib")), ("--library", str(tmp_path / "other"))
    assert bench("sync", "--to", str(tmp_path / "shared"))[0] == 0
    assert bench("join", str(tmp_path / "shared"), "other", "--shop", "Mill Yard (invented)")[0] == 0
    steps = (
        (here, "mix", "Fen moss = 3 weak teal : 1 clear carrier"),
        (there, "mix", "Yard violet = 3 strong teal : 1 clear carrier"),
        (here, "note", "Kelp glass", "settles"),
        (there, "mix", "Kelp glass = 9 weak teal : 5 strong teal"),
    )
    for where, *words in steps:
        assert bench(*where, *words)[0] == 0
    for where in (here, there, here):
        assert bench(*where, "sync")[0] == 0
    assert "No two answers" in bench(*here, "answers")[1]
    bench(*here, "mix", "Kelp glass = 18 weak teal : 10 strong teal")
    bench(*there, "mix", "Kelp glass bodied = 8 clear carrier : 2 Kelp glass")
    bench(*here, "mix", "Kelp glass bodied = 9 clear carrier : 4 Kelp glass")
    for where in (here, there, here):
        assert bench(*where, "sync")[0] == 0
    questions = json.loads(bench(*here, "answers", "--json")[1])
    assert [(one["title"], one["about"]) for one in questions] == [("Kelp glass bodied", "mix")]
    shown = bench(*there, "show", "Kelp glass")[1]
    assert "settles" in shown and "18 weak teal : 10 strong teal" in shown
    assert "Two answers" in bench(*there, "show", "Kelp glass bodied")[1]
    assert heads(tmp_path) == 1
    assert bench(*there, "choose", "Kelp glass bodied", "both")[0] == 0
    for where in (there, here):
        bench(*where, "sync")
    assert "Kelp glass bodied (" in bench(*here, "list", "mixes")[1]
    assert heads(tmp_path) == 1


def test_two_answers_written_at_different_scales_can_be_chosen_between(bench, tmp_path):
    here, there = ("--library", str(tmp_path / "lib")), ("--library", str(tmp_path / "other"))
    bench("sync", "--to", str(tmp_path / "shared"))
    bench("join", str(tmp_path / "shared"), "other", "--shop", "Mill Yard (invented)")
    bench(*here, "mix", "Kelp glass = 6 weak teal : 2 strong teal")
    bench(*there, "mix", "Kelp glass = 6 weak teal : 3 strong teal")
    for where in (here, there):
        bench(*where, "sync")
    status, out, _ = bench(*here, "sync")
    assert out.count("two answers: Kelp glass") == 1
    status, out, err = bench(*here, "answers")
    assert status == 0 and "a)" in out and "b)" in out, err
    assert bench(*here, "choose", "Kelp glass", "theirs")[0] == 0
    bench(*here, "sync")
    bench(*there, "sync")
    assert heads(tmp_path) == 1


def heads(tmp_path):
    from sprayout_library.store import Store

    found = set()
    for copy in ("lib", "other"):
        with Store.open(tmp_path / copy) as store:
            found.add(store.head)
    return len(found)


def test_cautions_go_along(bench):
    bench("recipe", "Kelp fade", "--clear", "two-pack gloss")
    _, out, _ = bench("show", "Kelp fade")
    assert "isocyanate" in out and "safety data sheet" in out
    assert "safe to" not in out


def test_withdrawn_and_brought_back(bench):
    assert "withdrawn" in bench("withdraw", "Kelp fade")[1]
    assert "Withdrawn" in bench("show", "Kelp fade")[1]
    bench("withdraw", "Kelp fade", "--bring-back")
    assert "Withdrawn" not in bench("show", "Kelp fade")[1]


BAD = [
    (("mix", "5:2:1"), 1, "which is which"),
    (("mix", "Fen = 5:2:1"), 1, "which is which"),
    (("mix", "5 weak teal : 2 strong teal"), 1, "has no name"),
    (("mix", "Fen = -1 weak teal : 2 strong teal"), 1, ""),
    (("mix", "Fen = 0 weak teal : 2 strong teal"), 1, ""),
    (("mix", "Fen = 1 weak teal : 2 weak teal"), 1, ""),
    (("mix", "Kelp glass = 1 Kelp glass bodied : 2 weak teal"), 1, "contains itself"),
    (("mix", "Fen = 1 weak teal : 2 nothing", "--new", "nothing=potion"), 1, "says no role"),
    (("material", "new thing"), 1, "what is it for"),
    (("material", "weak teal", "--density", "heavy"), 1, "is not a number"),
    (("material", "weak teal", "--density", "0"), 1, "not above zero"),
    (("material", "weak teal", "--solids", "120"), 1, "more than all of it"),
    (("recipe", "New one"), 1, "is new"),
    (("recipe", "New one", "--over", "bronze", "--coat", "Kelp glass"), 1, "how many coats"),
    (("recipe", "New one", "--over", "bronze", "--coat", "5 nobody's mix"), 1, "no mix is called"),
    (("recipe", "New one", "--over", "gold leaf", "--coat", "5 Kelp glass"), 1, "is called 'gold leaf'"),
    (("panel", "Kelp fade"), 1, "over which ground"),
    (("panel", "Kelp fade", "--over", "two-pack gloss"), 1, "not sprayed over that ground"),
    (("panel", "Kelp fade", "--over", "bronze", "--label", "KF-1"), 1, "labelled 'KF-1' already"),
    (("panel", "Kelp fade", "--over", "bronze", "--at", "yesterday"), 1, "is no time"),
    (("panel", "Kelp fade", "--over", "bronze", "--steps", "1,1"), 1, "twice"),
    (("ready", "Kelp glass", "small", "--strain-pour", "200"), 1, "200"),
    (("ready", "Kelp glass", "small", "--reduce", "lots"), 1, "no amount of reducer"),
    (("ready", "Kelp glass", "small"), 1, "nothing was said"),
    (("ready", "Kelp glass", "small", "--reduce", "100%", "--of", "whole"), 1, "whole cannot be reducer"),
    (("show", "Kelp gless"), 1, "Did you mean Kelp glass"),
    (("show", "…bad"), 1, "is called"),
    (("compare", "Kelp glass"), 1, "one version only"),
    (("compare", "Kelp glass", "KF-1"), 1, "not compared"),
    (("compare", "Kelp glass@9", "Kelp glass"), 1, "no version 9"),
    (("compare", "KF-1", "KF-1", "--light", "candle"), 1, "no light is called"),
    (("import", "nowhere.csv"), 1, "is not there"),
    (("import", "lib"), 1, "is no plain file"),
    (("import", "x.csv", "--set", "scale"), 1, "is no option"),
    (("choose", "Kelp glass", "a"), 1, "no two answers"),
    (("sync",), 1, "not shared yet"),
    (("create", "lib"), 1, "not empty"),
    (("list", "unicorns"), 1, "nothing a library holds"),
    (("help", "unicorns"), 1, "no help about"),
    (("shwo", "x"), 2, "Did you mean show"),
    (("show",), 2, "Missing argument"),
    (("mix", "Fen = 1 weak teal : 1 strong teal", "--nwe", "x"), 2, "No such option"),
]


@pytest.mark.parametrize(("words", "status", "told"), BAD, ids=[" ".join(words)[:40] for words, _, _ in BAD])
def test_what_cannot_be_is_refused_in_words_and_changes_nothing(settled, settled_folder, words, status, told):
    from sprayout_library.store import Store

    with Store.open(settled_folder / "lib") as store:
        before = store.head
    got, _, err = settled(*words)
    assert got == status, err
    assert told.lower() in err.lower()
    assert "Traceback" not in err and len(err.strip()) > 10
    with Store.open(settled_folder / "lib") as store:
        assert store.head == before
