"""Looking before spraying, on the demo's library: grid, reach, coats, forgive."""

import json

import pytest


def test_the_grid_predicts_what_a_panel_read(fen):
    """KF-4 was sprayed from 7:5; its own colour must lie within the interval of its prediction."""
    _, out, _ = fen(
        "grid", "7 weak teal : 5 strong teal : 54 clear carrier", "--over", "bright aluminium", "--coats", "5", "--json"
    )
    (cell,) = json.loads(out)["cells"]
    one = cell
    assert cell["ground"] == "bright aluminium" and not cell["hatched"]
    compared = json.loads(fen("compare", "KF-1", "KF-4", "--json")[1])["colour"]["numbers"]
    seen = next(number for number in compared if "trial" in number)["trial"]
    import numpy as np

    from sprayout_core.difference import ciede2000

    assert float(ciede2000(np.array(seen), np.array(one["lab"]))) <= one["interval"]
    assert one["rests_on"]["weak teal"] >= 3


def test_more_coats_are_darker_over_every_ground(fen):
    cells = json.loads(fen("grid", "Kelp glass bodied", "--coats", "1 to 6", "--json")[1])["cells"]
    for ground in {cell["ground"] for cell in cells}:
        lightness = [cell["lab"][0] for cell in cells if cell["ground"] == ground]
        assert lightness == sorted(lightness, reverse=True), ground


def test_a_search_reaches_a_panel(fen):
    found = json.loads(fen("reach", "KF-4", "--over", "bright aluminium", "--json")[1])["ways"]
    assert found[0]["difference"] < 1.0 and found[0]["ground"] == "bright aluminium"
    assert len({(tuple(sorted(one["parts"].items())), one["coats"]) for one in found}) == len(found)


def test_how_many_coats_is_this(fen):
    told = json.loads(fen("coats", "MY-1", "--card", "SC-1", "--laid", "5", "--wanted", "5", "--json")[1])
    assert told["low"] <= 5 * 1.09 <= told["high"]
    assert "heavy" in told["advice"]


def test_coats_in_one_sentence_by_default(fen):
    """MY-1 was counted 5, laid 9 % heavier; the recipe writes 5: nobody has to type either."""
    out = fen("coats", "MY-1")[1]
    assert "MY-1 is 5.5 coats of SC-1" in out
    assert "Your coats are about 10 % heavy; leave it" in out
    out = fen("coats", "SC-1/4")[1]
    assert "One more medium coat lands within 0." in out


def test_coats_by_what_was_learned_where_there_is_no_card_of_the_mix(fen):
    told = json.loads(fen("coats", "KF-4", "--json")[1])
    assert told["card"] == ""
    assert told["low"] <= 5 <= told["high"]
    assert any("no step card" in note for note in told["notes"])
    other = json.loads(fen("coats", "KF-4", "--card", "SC-1", "--json")[1])
    assert any("another version" in note for note in other["notes"])
    assert other["advice"] == ""


def test_coats_of_a_typed_colour(fen):
    seen = json.loads(fen("compare", "KF-1", "MY-1", "--json")[1])["colour"]["numbers"]
    lab = next(number for number in seen if "trial" in number)["trial"]
    told = json.loads(fen("coats", " ".join(f"{value:.2f}" for value in lab), "--card", "SC-1", "--json")[1])
    assert told["coats"] == pytest.approx(5 * 1.09, abs=0.3)
    assert told["grade"] == "typed"


def test_a_recipe_says_how_many_coats_other_shops_needed(fen):
    out = fen("show", "Kelp fade")[1]
    assert "written 5, another shop needed 4." in out
    assert "heavier than the step card's" in out
    told = json.loads(fen("show", "Kelp fade", "--json")[1])["other_shops"]
    assert told["needed"] == pytest.approx(5 / 1.09, abs=told["give"])
    assert "other_shops" not in json.loads(fen("show", "Alder fade", "--json")[1])


def test_a_colour_but_lighter_not_redder(fen):
    told = json.loads(fen("reach", "KF-4", "--but", "2 lighter, not redder", "--json")[1])
    assert "but 2 lighter, not redder" in told["aim"]
    plain = json.loads(fen("reach", "KF-4", "--json")[1])
    assert told["ways"][0]["line"] != plain["ways"][0]["line"]
    assert told["ways"][0]["difference"] < 2 and not told["ways"][0]["against"]
    assert any("clear carrier" in one["line"] for one in told["ways"])
    assert any("equal" in note for note in told["notes"])


def test_what_is_out_of_reach_is_said(fen):
    told = json.loads(fen("reach", "50 60 40", "--over", "bronze", "--json")[1])
    assert any("nothing on hand" in note for note in told["notes"])
    assert "typed" in told["aim"]


def test_forgiveness_falls_with_coats(fen):
    found = json.loads(fen("forgive", "Kelp glass bodied", "--over", "bronze", "--json")[1])["grounds"]
    assert [one["one_more"] for one in found] == sorted((one["one_more"] for one in found), reverse=True)


def test_forgiveness_of_several_grounds_in_words(fen):
    out = fen("forgive", "Kelp glass bodied")[1]
    assert out.count("10 % heavier") == 3
    assert "touchy: 10 % more or less film shows" in out
    assert "The coat after 4 coats over graphite moves it" in out and "over br" in out.split("moves it")[-1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("grid", "nobody's mix"), "is called"),
        (("grid", "clear carrier : 2"), ""),
        (("grid", "3 clear carrier : 1 clear carrier"), ""),
        (("grid", "Kelp glass", "--over", "two-pack gloss"), "has no reading"),
        (("grid", "Kelp glass", "--coats", "many"), "no list of coats"),
        (("grid", "Kelp glass", "--geometry", "15"), ""),
        (("reach", "nothing"), ""),
        (("reach", "40 -20"), ""),
        (("reach", "KF-4", "--with", "bronze"), ""),
        (("coats", "KF-4", "--card", "KF-1"), "fewer than three measured steps"),
        (("coats", "SC-1/9"), ""),
        (("coats", "50 -20 -10"), "--card"),
        (("coats", "KF-1", "--geometry", "d:8"), "was measured at 45:0"),
        (("coats", "no.jpg"), "no.jpg"),
        (("reach", "KF-4", "--but", "shiny"), "no direction"),
        (("reach", "KF-4", "--but", "redder, not redder"), "at once"),
        (("reach", "KF-4", "--but", "not a little redder"), "no direction"),
        (("reach", "KF-4", "--carrier", "moss"), "no carrier"),
        (("reach", "KF-4", "--geometry", "d:8"), "measured at 45:0"),
        (("reach", "500 0 0"), "no colour"),
        (("forgive", "Kelp glass", "--over", "nowhere"), "is called"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_rests_on_nothing_is_refused(fen, words, told):
    status, _, err = fen(*words)
    assert status == 1, err
    assert told in err.lower() and len(err) > 10


def test_an_empty_library_says_what_to_spray(tmp_path, monkeypatch, capsys):
    from sprayout_library.cli.main import run

    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    monkeypatch.chdir(tmp_path)
    run(["create", "lib"])
    run(["mix", "Fen = 1 moss : 2 carrier", "--new", "moss=dye", "--new", "carrier=carrier"])
    capsys.readouterr()
    assert run(["grid", "Fen"]) == 1
    assert "step card" in capsys.readouterr().err
