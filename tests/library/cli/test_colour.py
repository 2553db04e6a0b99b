"""Colour at the command line: lights, repeats, agreement of shops, verdicts, pictures."""

import json

import pytest

OPTIONS = (
    "--set",
    "scale=unit",
    "--set",
    "geometry=45:0",
    "--set",
    "stage=bare",
    "--set",
    "repeats=replicates",
    "--yes",
)
GRID = list(range(400, 701, 10))


def curve(centre, height, floor=0.08):
    return [floor + height * 2.718281828 ** (-(((nm - centre) / 55) ** 2)) for nm in GRID]


def put(folder, name, rows):
    lines = [",".join(["Piece", *map(str, GRID)])]
    lines += [",".join([label, *(f"{value:.5f}" for value in values)]) for label, values in rows]
    (folder / name).write_text("\n".join([*lines, ""]), encoding="utf-8")


@pytest.fixture
def measured(bench, tmp_path):
    """Two panels, one measured three times and the other three times a little off."""
    bench("panel", "Kelp fade", "--over", "bronze", "--label", "KF-2")
    first = [("KF-1", curve(500, 0.400 + 0.0008 * n)) for n in range(3)]
    second = [("KF-2", curve(503, 0.380 + 0.0007 * n)) for n in range(3)]
    put(tmp_path, "p.csv", first + second)
    assert bench("import", "p.csv", *OPTIONS)[0] == 0
    return bench


def test_two_panels_in_two_lights(measured):
    status, out, _ = measured("compare", "KF-1", "KF-2", "--light", "daylight", "--light", "tungsten")
    assert status == 0 and "D65/10°" in out and "A/10°" in out
    data = json.loads(measured("compare", "KF-1", "KF-2", "--light", "daylight", "--light", "tungsten", "--json")[1])
    views = [one["view"] for one in data["colour"]["numbers"]]
    assert views == ["D65/10°", "A/10°"]
    assert all(len(one["white"]) == 3 for one in data["colour"]["numbers"])
    assert any("within 1" in line for line in data["colour"]["words"])


def test_whether_it_is_real_is_said_where_repeats_tell(measured):
    _, out, _ = measured("compare", "KF-1", "KF-2")
    assert "a real difference of" in out


def test_repeats_tell_their_scatter(measured):
    data = json.loads(measured("repeats", "KF-1", "--json")[1])
    assert data[0]["count"] == 3 and 0 < data[0]["mean_difference_from_mean"] <= data[0]["largest"] < 1


def test_a_panel_travels_through_lights(measured):
    status, out, _ = measured("lights", "KF-1")
    assert status == 0 and "in tungsten:" in out and "in shop LED:" in out
    home = json.loads(measured("lights", "KF-1", "--json")[1])[0]
    assert home["lights"][0]["light"] == "daylight" and home["lights"][0]["cie76"] == 0


def test_a_panel_against_its_standard_is_in_near_or_out(measured):
    assert measured("compare", "KF-2")[0] == 1
    assert measured("standard", "Kelp fade", "KF-1", "--within", "9")[0] == 0
    assert "KF-2: in" in measured("compare", "KF-2")[1]
    measured("standard", "Kelp fade", "--within", "0.2")
    assert "KF-2: out" in measured("compare", "KF-2")[1]


def test_shops_agree_or_not_on_shared_panels(measured, tmp_path):
    measured("sync", "--to", str(tmp_path / "shared"))
    measured("join", str(tmp_path / "shared"), "other", "--shop", "Mill Yard (invented)")
    put(tmp_path, "q.csv", [("KF-1", curve(500, 0.42)), ("KF-2", curve(503, 0.40))])
    assert measured("import", "q.csv", *OPTIONS)[0] == 0
    status, out, err = measured("agree", "Fen Lane (invented)", "Mill Yard (invented)")
    assert status == 0, err
    assert "2 panels" in out and "bias" in out and "five shared panels" in out


@pytest.mark.parametrize("what", ["spectra", "plane"])
def test_pictures_are_svg_with_words(measured, tmp_path, what):
    assert measured("draw", what, "KF-1", "KF-2", "--to", "x.svg")[0] == 0
    text = (tmp_path / "x.svg").read_text(encoding="utf-8")
    assert text.startswith("<svg") and 'role="img"' in text and "KF-2" in text
    status, _, err = measured("draw", what, "KF-1", "--to", "x.svg")
    assert status == 1 and "a file already" in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("draw", "travel", "KF-1", "--to", "t.svg"), "has no reading"),
        (("agree", "Fen Lane (invented)", "bronze"), "no shop is called"),
        (("compare", "KF-1", "KF-1", "--light", "moonlight"), "no light is called"),
        (("lights", "Kelp fade"), "no panel is called"),
        (("lights", "KF-1"), "has no spectrum"),
        (("repeats", "KF-1"), "not measured twice"),
        (("draw", "spectra", "KF-1", "--to", "t.svg"), "has no reading"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_drawn_or_told_is_refused(settled, words, told):
    status, _, err = settled(*words)
    assert status == 1 and told in err.lower()


def test_a_light_of_ones_own_and_another_formula(measured, tmp_path):
    rows = ["nm,power", *(f"{nm},{1 + nm / 1000}" for nm in range(380, 781, 20))]
    (tmp_path / "booth.csv").write_text("\n".join(rows), encoding="utf-8")
    words = ("compare", "KF-1", "KF-2", "--light", "booth.csv", "--difference", "cmc-2-1", "--json")
    status, out, err = measured(*words)
    assert status == 0, err
    one = json.loads(out)["colour"]["numbers"][0]
    assert one["view"] == "booth/10°" and one["formula"] == "cmc-2-1"
    (tmp_path / "broken.csv").write_text("nm,power\n400,1\n420,bright\n", encoding="utf-8")
    status, _, err = measured("compare", "KF-1", "KF-2", "--light", "broken.csv")
    assert status == 1 and "broken.csv, line 3" in err
    status, _, err = measured("compare", "KF-1", "KF-2", "--difference", "wishful")
    assert status == 1 and "no plugin knows" in err.lower()


def test_defaults_are_told_and_changed(measured):
    assert "ciede2000" in measured("defaults")[1]
    assert measured("defaults", "--light", "D50", "--observer", "2", "--difference", "cie76")[0] == 0
    one = json.loads(measured("compare", "KF-1", "KF-2", "--json")[1])["colour"]["numbers"][0]
    assert one["view"] == "D50/2°" and one["formula"] == "cie76"
    assert measured("defaults", "--light", "candle")[0] == 1


def test_a_reading_for_another_light_is_told_as_such(measured):
    """Coordinates for another light say nothing of the colour here, alone at their geometry or beside others."""
    assert measured("typed", "KF-1", "45as15 110 -30 5; 45:0 41 -20 3", "D50/2", "cleared")[0] == 0
    status, out, err = measured("show", "KF-1")
    assert status == 0, err
    assert "L*a*b* for D50/2° says nothing about D65/10°" in out
    assert len(json.loads(measured("repeats", "KF-1", "--json")[1])) == 1
