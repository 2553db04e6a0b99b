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


def test_forgiveness_falls_with_coats(fen):
    found = json.loads(fen("forgive", "Kelp glass bodied", "--over", "bronze", "--json")[1])
    assert [one["one_more"] for one in found] == sorted((one["one_more"] for one in found), reverse=True)


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
