"""The predicted grid and the ladder as plain results, in words and as pictures."""

import json
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from sprayout_core.difference import ciede2000

SVG = "{http://www.w3.org/2000/svg}"


def test_each_cell_has_words_numbers_and_how_sure_it_is(pearl):
    _, out, _ = pearl("grid", "Damson", "--coats", "1,3", "--json")
    told = json.loads(out)
    assert {cell["ground"] for cell in told["cells"]} == {"silver", "white of contrast card", "black of contrast card"}
    for cell in told["cells"]:
        assert cell["said"] and not cell["hatched"] and 0 < cell["interval"] < 3
        assert cell["rests_on"] == {"violet": 6, "moss": 2}
    _, out, _ = pearl("grid", "Damson", "--coats", "1,3")
    assert "+-" in out and "left out in turn" in out and "1 coat " in out


def test_a_light_of_its_own(pearl):
    day = json.loads(pearl("grid", "Damson", "--over", "silver", "--coats", "2", "--json")[1])
    lamp = json.loads(pearl("grid", "Damson", "--over", "silver", "--coats", "2", "--light", "tungsten", "--json")[1])
    assert day["view"] != lamp["view"]
    assert float(ciede2000(np.array(day["cells"][0]["lab"]), np.array(lamp["cells"][0]["lab"]))) > 1


def test_what_rests_on_nothing_is_hatched_with_the_panel_to_spray(pearl, tmp_path):
    picture = tmp_path / "grid.svg"
    status, out, _ = pearl("grid", "Ember moss", "--coats", "1,2", "--next", "--picture", str(picture))
    assert status == 0
    assert "////" in out and "rests on nothing" in out and out.lower().count("spray ember neat") == 1
    assert "1. ember neat, 1, 2 and 4 coats over white and black" in out
    assert "never read; nothing else can stand in for it" in out
    root = ET.fromstring(picture.read_text(encoding="utf-8"))
    hatched = [one for one in root.iter(f"{SVG}rect") if one.get("fill") == "url(#hatch)"]
    assert len(hatched) == 6
    told = " ".join(one.text or "" for one in root.iter(f"{SVG}text"))
    assert "rests on nothing" in told and "Spray ember neat" in told


def test_two_panels_worth_spraying_differ_and_say_why(pearl):
    told = json.loads(pearl("grid", "Damson", "--coats", "1,2,4", "--next", "--json")[1])["next"]
    assert len({one["panel"] for one in told}) == 2
    assert all(0 < one["takes"] < 1 and "takes away about" in one["reason"] for one in told)
    assert all("coats of" in one["panel"] or "coat of" in one["panel"] for one in told)


def test_a_shop_without_panels_is_told_so(fen, demo_folder, monkeypatch):
    own = json.loads(fen("grid", "Kelp glass bodied", "--coats", "3", "--json")[1])
    assert not [note for note in own["notes"] if "of this shop" in note]
    monkeypatch.setattr("sprayout_library.film.knowing._shop", lambda store: "another")
    other = json.loads(fen("grid", "Kelp glass bodied", "--coats", "3", "--json")[1])
    assert [note for note in other["notes"] if "no panel of this shop was read" in note]
    assert other["cells"][0]["interval"] > 1.5 * own["cells"][0]["interval"]


def test_extrapolation_is_told_once_by_the_coats_where_it_begins(pearl):
    notes = json.loads(pearl("grid", "Moss neat", "--coats", "1 to 9", "--json")[1])["notes"]
    beyond = [note for note in notes if "extrapolation" in note]
    assert beyond == ["from 5 coats on there is more moss than was ever read: an extrapolation"]


def test_a_ladder_runs_from_the_second_alone(pearl, tmp_path):
    picture = tmp_path / "ladder.svg"
    words = ("ladder", "violet", "moss", "--over", "silver", "--coats", "2,4")
    told = json.loads(pearl(*words, "--json")[1])
    assert [one["ratio"] for one in told["rungs"]] == ["0:1", "1:1", "2:1", "3:1", "4:1", "5:1", "6:1"]
    alone = json.loads(pearl("grid", "moss", "--over", "silver", "--coats", "2,4", "--json")[1])["cells"]
    assert [one["lab"] for one in told["rungs"][0]["cells"]] == [one["lab"] for one in alone]
    assert told["rungs"][0]["step"] == "" and all(one["step"] for one in told["rungs"][1:])
    status, out, _ = pearl(*words, "--picture", str(picture))
    assert status == 0 and "0:1" in out and "dE00" in out
    root = ET.fromstring(picture.read_text(encoding="utf-8"))
    assert "violet neat to moss neat over silver" in root.find(f"{SVG}title").text


def test_only_the_rungs_with_an_unread_dye_rest_on_nothing(pearl):
    told = json.loads(pearl("ladder", "ember", "moss", "--over", "silver", "--ratios", "0:1,1:1,1:0", "--json")[1])
    assert [bool(one["cells"][0]["hatched"]) for one in told["rungs"]] == [False, True, True]
    assert [one["step"] for one in told["rungs"]] == ["", "", ""]


def test_a_ladder_of_chosen_ratios(pearl):
    told = json.loads(pearl("ladder", "violet", "moss", "--over", "silver", "--ratios", "1:2, 5:2", "--json")[1])
    assert [one["ratio"] for one in told["rungs"]] == ["1:2", "5:2"]
    damson = json.loads(pearl("grid", "Damson", "--over", "silver", "--coats", "3", "--json")[1])["cells"][0]
    assert told["rungs"][1]["cells"][0]["lab"] == damson["lab"]


@pytest.mark.parametrize(
    "words",
    [
        ("grid", "Damson", "--coats", "2"),
        ("ladder", "violet", "moss", "--over", "silver"),
        ("depth", "violet", "moon pearl", "--coats", "1 to 3"),
    ],
)
def test_json_stays_json_beside_a_picture(pearl, tmp_path, words):
    picture = tmp_path / "beside.svg"
    status, out, _ = pearl(*words, "--json", "--picture", str(picture))
    assert status == 0 and json.loads(out)
    assert picture.read_text(encoding="utf-8").startswith("<svg")


def test_a_picture_never_replaces_a_file(pearl, tmp_path):
    there = tmp_path / "mine.svg"
    there.write_text("mine", encoding="utf-8")
    status, _, err = pearl("grid", "Damson", "--picture", str(there))
    assert status == 1 and "a file already" in err
    assert there.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("ladder", "violet", "moss", "--over", "nowhere"), "is called"),
        (("ladder", "violet", "nobody", "--over", "silver"), "is called"),
        (("ladder", "violet", "moss", "--over", "silver", "--ratios", "1"), "is no ratio"),
        (("ladder", "violet", "moss", "--over", "silver", "--ratios", "0:0"), "is no ratio"),
        (
            ("ladder", "violet", "moss", "--over", "silver", "--ratios", ",".join(f"{n}:1" for n in range(20))),
            "too many",
        ),
        (("ladder", "violet", "moss", "--over", "silver", "--coats", "0"), "no list of coats"),
        (("depth", "violet", "moss"), "never seen to hide"),
        (("depth", "violet", "moon pearl", "--over", "silver"), "a white and a black"),
        (("depth", "violet", "nobody"), "is called"),
    ],
)
def test_refusals_say_what_to_do(pearl, words, told):
    status, out, err = pearl(*words)
    assert status == 1 and not out
    assert told in err.lower()


def test_depth_against_coverage_is_charted(pearl, tmp_path):
    picture = tmp_path / "depth.svg"
    told = json.loads(pearl("depth", "violet", "moon pearl", "--json")[1])
    assert [one["ratio"] for one in told["lines"]] == ["1:8", "1:4", "1:2", "1:1"]
    for one in told["lines"]:
        assert one["coverage"] == sorted(one["coverage"]) and max(one["coverage"]) < 1
    chroma = [one["chroma"][2] for one in told["lines"]]
    assert chroma == sorted(chroma), "more dye against pearl is deeper"
    assert "moon pearl: up to 7.1 neat coats' worth" in " ".join(told["notes"])
    status, out, _ = pearl("depth", "violet", "moon pearl", "--coats", "1 to 4", "--picture", str(picture))
    assert status == 0 and "hides" in out and "from 1:8 to 1:1" in out
    root = ET.fromstring(picture.read_text(encoding="utf-8"))
    assert len(list(root.iter(f"{SVG}circle"))) == 16


def test_a_metallic_ground_never_calibrated_is_a_guess_and_hatched(pearl_folder, tmp_path, sit_down):
    """One reading of bare brass: the colour is shown beneath the hatching, with its wide interval."""
    import shutil

    from tests.library.film.pearl_shop import NM

    shutil.copytree(pearl_folder, tmp_path / "shop")
    call = sit_down(tmp_path, "--library", str(tmp_path / "shop"))
    call("material", "brass", "--role", "metallic")
    call("recipe", "Violet brass", "--over", "brass", "--coat", "3 Violet neat")
    call("panel", "Violet brass", "--label", "BR", "--steps", "0", "--stage", "cleared")
    values = ";".join(f"{0.3 + 0.001 * (nm - 400):.5f}" for nm in NM)
    head = ";".join(["Name", *(f"{nm:.0f}" for nm in NM)])
    (tmp_path / "brass.csv").write_text(f"{head}\nBR/0;{values}\n", encoding="utf-8")
    tells = [word for one in ("scale=unit", "geometry=45:0", "stage=cleared") for word in ("--set", one)]
    assert call("import", "brass.csv", *tells, "--yes")[0] == 0
    asked = ("grid", "Violet neat", "--over", "brass", "--over", "silver", "--coats", "1,2", "--next")
    told = json.loads(call(*asked, "--json")[1])
    brass, silver = told["cells"][:2], told["cells"][2:]
    assert all("spray one panel of a wide-band dye" in one["hatched"] and one["lab"] for one in brass)
    assert not any(one["hatched"] for one in silver)
    assert min(one["interval"] for one in brass) > max(one["interval"] for one in silver)
    assert told["next"][0]["panel"] == "a wide-band dye (brown, grey-violet), 2 coats over brass"
    _, out, _ = call(*asked, "--picture", "brass.svg")
    assert "//// a guess: " in out and "Little is left" not in out
    root = ET.fromstring((tmp_path / "brass.svg").read_text(encoding="utf-8"))
    assert len([one for one in root.iter(f"{SVG}rect") if one.get("fill") == "url(#hatch)"]) == 2


def test_a_geometry_no_ground_was_read_in_is_refused_not_an_empty_grid(pearl):
    status, out, err = pearl("grid", "Violet neat", "--geometry", "45as15")
    assert status == 1 and not out and "no ground was read at 45as15" in err.lower()


def test_a_piece_like_no_step_of_a_card_is_told_so_first(pearl):
    status, out, _ = pearl("coats", "M-S/4", "--card", "V-S")
    assert status == 0 and out.startswith("M-S/4 looks like no step of V-S")
    assert "film really there" not in out
    assert json.loads(pearl("coats", "M-S/4", "--card", "V-S", "--json")[1])["alike"] is False
