"""Watching, typing, what waits and mappings offered again, through the commands, as a new user would."""

import json

import pytest

HEAD = "Piece;" + ";".join(str(nm) for nm in range(400, 701, 20)) + "\n"
SET = ("--set", "scale=percent", "--set", "geometry=45:0", "--set", "stage=bare")


def table(*rows):
    return HEAD + "".join(
        f"{name};" + ";".join(f"{level + nm / 5:.2f}" for nm in range(16)) + "\n" for name, level in rows
    )


@pytest.fixture
def exports(tmp_path):
    (tmp_path / "exports").mkdir()
    return tmp_path / "exports"


def watch(shop, *more):
    return shop("watch", "exports", "--once", "--quiet", "0.05", *more)


def test_one_pass_over_a_folder_tells_what_waits_and_why(shop, exports):
    (exports / "a.csv").write_text(table(("KF-1/2", 10), ("KF-2", 20)), encoding="utf-8")
    (exports / "b.csv").write_text("nothing, of, note\n", encoding="utf-8")
    status, out, err = watch(shop, *SET)
    assert (
        status == 3 and "a.csv: 1 reading taken in (KF-1)." in out and "line 3 waits: no panel is called 'KF-2'" in out
    )
    assert "b.csv: not taken: " in out and "1 file not taken, 1 reading waiting for a panel" in err
    status, out, err = watch(shop)
    assert "As told for this folder last time: --set geometry=45:0" in out and "Nothing new." in out and status == 3
    out = shop("inbox")[1]
    assert "1 reading waiting" in out and "a.csv, line 3" in out and "1 file not taken" in out
    data = json.loads(shop("inbox", "--json")[1])
    assert [one["label"] for one in data["waiting"]] == ["KF-2"] and len(data["not_taken"]) == 1
    shop("panel", "Kelp fade", "--label", "KF-2")
    (exports / "b.csv").unlink()
    status, out, _ = watch(shop)
    assert status == 0 and "1 reading that waited found KF-2." in out
    assert "1 reading" in shop("show", "KF-2")[1]


def test_what_waits_is_told_by_hand_or_dropped(shop, exports):
    (exports / "a.csv").write_text(table(("s1", 10), ("s2", 20), ("white tile", 80)), encoding="utf-8")
    watch(shop, *SET)
    code = next(line.split()[0] for line in shop("inbox")[1].splitlines() if " s1 " in line)
    status, out, _ = shop("inbox", code, "--to", "KF-1/2")
    assert status == 0 and "1 reading taken in for KF-1; 2 waiting." in out
    assert shop("inbox", "s2", "--to", "KF-1/9")[0] == 1
    assert shop("inbox", "s2", "--to", "KF-9")[0] == 1
    assert "2 readings waiting" in shop("inbox")[1]
    assert shop("inbox", "s2", "--to", "KF-1/5")[0] == 0
    assert shop("inbox", "white tile", "--drop")[0] == 0
    assert "Nothing waits." in shop("inbox")[1]
    assert watch(shop)[0] == 0
    status, out, _ = shop("import", "exports/a.csv", *SET, "--panel", "KF-1", "--yes")
    assert status == 3 and "0 readings taken in, 2 known already" in out and "KF-1 is a step card" in out
    assert shop("inbox", "s1")[0] == 2
    assert shop("inbox", "nobody", "--drop")[0] == 1


def test_trying_again_finds_panels(shop, exports):
    (exports / "a.csv").write_text(table(("KF-2", 20)), encoding="utf-8")
    watch(shop, *SET)
    assert "No panel was found" in shop("inbox", "--again")[1]
    shop("panel", "Kelp fade", "--label", "KF-2")
    assert json.loads(shop("inbox", "--again", "--json")[1]) == {"placed": 1, "waiting": 0}


def test_an_import_lets_unknown_rows_wait_and_the_watch_knows_the_file(shop, exports):
    (exports / "a.csv").write_text(table(("KF-1/2", 10), ("KF-2", 20)), encoding="utf-8")
    status, out, err = shop("import", "exports/a.csv", *SET, "--yes")
    assert status == 3 and "1 reading taken in" in out and "sprayout inbox" in err
    assert "1 reading waiting" in shop("inbox")[1]
    status, out, _ = watch(shop, "--set", "scale=percent", "--set", "geometry=de:8", "--set", "stage=cleared")
    assert "Nothing new." in out, "what was imported under other options is not taken a second time"


def test_what_was_told_is_offered_again_never_used_unasked(shop, exports):
    (exports / "a.csv").write_text(table(("KF-1/2", 10)), encoding="utf-8")
    assert shop("import", "exports/a.csv", "--yes", "--as-before")[0] == 1
    assert shop("import", "exports/a.csv", *SET, "--yes")[0] == 0
    (exports / "b.csv").write_text(table(("KF-1/2", 12)), encoding="utf-8")
    status, _, err = shop("import", "exports/b.csv", "--yes")
    assert status == 1 and "scale=percent" in err and "--as-before" in err
    status, out, _ = shop("import", "exports/b.csv", "--yes", "--as-before")
    assert status == 0 and "1 reading taken in" in out and "scale percent" in out
    (exports / "c.csv").write_text(table(("KF-1/2", 14)).replace("400;", "390;"), encoding="utf-8")
    _, _, err = shop("import", "exports/c.csv", "--yes")
    assert "--as-before" not in err, "other headings are another table"


def test_an_import_under_json_asks_nothing(shop, exports):
    (exports / "a.csv").write_text(table(("KF-1/2", 10), ("KF-2", 20)), encoding="utf-8")
    status, out, _ = shop("import", "exports/a.csv", *SET, "--json")
    data = json.loads(out)
    assert status == 3 and len(data["taken"]) == 1 and data["waiting"] == 1 and data["left_out"][0]["line"] == 3


def test_a_pattern_of_file_names_tells_the_panel(shop, exports):
    (exports / "run-KF-1_2.csv").write_text(table(("top", 10)), encoding="utf-8")
    assert watch(shop, *SET, "--names", "*.csv")[0] == 1
    status, out, _ = watch(shop, *SET, "--names", "run-{panel}_{place}.csv")
    assert status == 0 and "1 reading taken in (KF-1)" in out


def test_typed_readings_say_so_and_are_taken_once(shop):
    words = ("typed", "KF-1/2", "41.2", "-20.5", "3.4", "D65/10", "45:0", "bare", "--at", "2026-03-02T09:10:00Z")
    status, out, _ = shop(*words)
    assert status == 0 and "KF-1/2, bare, D65/10°, typed: 45:0: L* 41.2, a* -20.5, b* 3.4" in out
    assert "known already" in shop(*words)[1]
    shown = shop("show", "KF-1")[1]
    assert "typed" in shown and "L* 41.20" in shown
    several = "45as15 110.2 -30 5.1; 45as45 52 -24 3.9; D65/10 cleared"
    status, out, _ = shop("typed", "KF-1", several, "--instrument", "bench", "--json")
    assert status == 0 and len(json.loads(out)["taken"]) == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("41.2", "-20.5", "D65/10", "45:0", "bare"), "three are wanted"),
        (("41.2", "-20.5", "3.4", "45:0", "bare"), "D65/10"),
        (("41.2", "-20.5", "3.4", "D65/10", "bare"), "geometry"),
        (("41.2", "-20.5", "3.4", "D65/10", "45:0"), "stage"),
        (("45as15 50 0 0 bare; 45as45 50 0 0 cleared; D65/10",), "stage"),
    ],
)
def test_typing_assumes_nothing(shop, words, told):
    status, _, err = shop("typed", "KF-1", *words)
    assert status == 1 and told in err
    assert "0 readings" in shop("show", "KF-1")[1]


def test_a_typed_reading_needs_a_known_panel(shop):
    status, _, err = shop("typed", "KF-7", "41.2", "-20.5", "3.4", "D65/10", "45:0", "bare")
    assert status == 1 and "o panel is called 'KF-7'" in err


def test_the_library_itself_is_not_watched(shop):
    status, _, err = shop("watch", ".", "--once", "--quiet", "0.05", *SET)
    assert status == 1 and "library itself" in err


def test_the_preview_says_where_rows_belong(shop, tmp_path):
    (tmp_path / "a.csv").write_text(table(("KF-1/2", 10), ("nobody", 20)), encoding="utf-8")
    before = sorted(path for path in (tmp_path / "lib").rglob("*") if path.is_file())
    status, out, _ = shop("import", "a.csv", *SET, "--look")
    assert status == 0
    assert "of KF-1/2" in out and "would wait: no panel is called" in out
    assert sorted(path for path in (tmp_path / "lib").rglob("*") if path.is_file()) == before


def test_a_step_card_read_as_a_whole_waits_for_its_step(shop, tmp_path):
    (tmp_path / "a.csv").write_text(table(("KF-1", 10)), encoding="utf-8")
    assert "would wait: KF-1 is a step card, and no step is named" in shop("import", "a.csv", *SET)[1]
    for more in ((), ("--panel", "KF-1")):
        status, out, _ = shop("import", "a.csv", *SET, "--yes", *more)
        assert status == 3
        assert "0 readings taken in" in out
        assert "Tell which one, such as KF-1/5" in out
    assert shop("inbox", "KF-1", "--to", "KF-1/2")[0] == 0
    assert "step 2" in shop("show", "KF-1")[1]


def test_a_spectrum_too_short_for_a_colour_is_kept_and_its_panel_still_shown(shop, tmp_path):
    (tmp_path / "a.csv").write_text("Piece;400;410;420;430;440;450\nKF-1/2;10;11;12;13;14;15\n", encoding="utf-8")
    assert shop("import", "a.csv", *SET, "--yes")[0] == 0
    status, out, _ = shop("show", "KF-1")
    assert status == 0
    assert "no colour: the spectrum reaches from 400 to 450 nm" in out
