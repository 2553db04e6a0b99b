import json

import pytest

from sprayout_library.cli.main import run

BEGINNING = (
    ("create", "lib", "--shop", "Fen Lane (invented)"),
    ("mix", "Weak teal neat = 1 weak teal", "--new", "weak teal=dye"),
    ("mix", "Teal twin = 3 weak teal"),
    ("material", "bronze", "--role", "metallic", "--tag", "baseline ground"),
    ("material", "graphite", "--role", "metallic", "--tag", "baseline ground"),
    ("recipe", "Teal wall", "--over", "bronze", "--coat", "3 Weak teal neat"),
    ("panel", "Teal wall", "--over", "bronze", "--label", "TW-1"),
)


def begun(folder):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
        patch.chdir(folder)
        for words in BEGINNING:
            assert run(["--by", "ada", *words]) == 0
    return folder


@pytest.fixture(scope="module")
def wall(tmp_path_factory):
    return begun(tmp_path_factory.mktemp("wall"))


@pytest.fixture
def told(wall, monkeypatch, capsys):
    """Type a command that changes nothing in the library of all these tests."""
    return typing(wall, monkeypatch, capsys)


@pytest.fixture
def own(tmp_path, monkeypatch, capsys):
    """Type a command in a library of this test's own."""
    return typing(begun(tmp_path), monkeypatch, capsys)


def typing(folder, monkeypatch, capsys):
    monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "machine"))
    monkeypatch.chdir(folder)

    def call(*words):
        capsys.readouterr()
        status = run(["--by", "ada", *words])
        said = capsys.readouterr()
        return status, said.out, said.err

    return call


def test_the_stock_wall(told):
    status, out, _ = told("stock", "--json")
    assert status == 0
    assert [(one["ground"], one["panels"]) for one in json.loads(out)] == [("bronze", ["TW-1"]), ("graphite", [])]
    assert "1 of 2 panels" in told("stock")[1]


def test_doubles(told):
    [double] = json.loads(told("doubles", "--json")[1])
    assert sorted(double["names"]) == ["Teal twin", "Weak teal neat"]


def test_find(told):
    [panel] = json.loads(told("find", "wall", "--kind", "panel", "--json")[1])["found"]
    assert (panel["label"], panel["because"]) == ("TW-1", ["of Teal wall: its name"])
    found = json.loads(told("find", "--same-mix-as", "Weak teal neat", "--json")[1])["found"]
    assert {one["label"] or one["title"] for one in found} == {"Teal twin", "Teal wall", "TW-1"}
    assert told("find", "--uses", "weak teal", "--between", "5", "15")[1].startswith("Nothing found")


@pytest.mark.parametrize(
    "words",
    [(), ("--near", "50 0 0"), ("--near", "-3 0 0"), ("--near", "nothing"), ("--at", "45:0"), ("--uses", "nobody"),
     ("--near", "TW-1"), ("--uses", "weak teal", "--between", "15", "5"), ("--between", "1", "2"), ("???",),
     ("--near", "50 0 0", "--light", "moonlight")],
)  # fmt: skip
def test_what_cannot_be_found_is_refused_in_words(told, words):
    status, _, err = told("find", *words)
    assert status == 1
    assert err.strip() and "fault in sprayout" not in err


@pytest.mark.parametrize("lights", [("tungsten", "D65"), ("D65", "tungsten")])
def test_a_colour_known_in_one_of_two_lights_is_refused_in_any_order(own, lights):
    """An answer to fewer lights than were asked for would be a silent wrong one."""
    own("typed", "TW-1", "41.2", "-20.5", "3.4", "D65/10", "45:0", "bare", "--at", "2026-03-02T09:10:00Z")
    status, _, err = own("find", "--near", "TW-1", *(word for light in lights for word in ("--light", light)))
    assert status == 1
    assert "no colour at 45:0 under A/10" in err


def test_a_comparison_tells_of_the_light_in_which_nothing_is_known(own):
    for label, lightness in (("TW-8", "41.2"), ("TW-9", "43.2")):
        own("panel", "Teal wall", "--over", "bronze", "--label", label)
        own("typed", label, lightness, "-20.5", "3.4", "D65/10", "45:0", "bare", "--at", "2026-03-02T09:10:00Z")
    status, out, _ = own("compare", "TW-8", "TW-9", "--light", "D65", "--light", "tungsten")
    assert status == 0
    assert "dE00" in out
    assert "nothing is said under A/10" in out
