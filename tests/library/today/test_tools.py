import json
from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Dropper, MarkedCup, PrintedColumn, PrintedCup, Scale, calibrated
from sprayout_library.machine import Facts
from sprayout_library.today.tools import Gun, forget_tool, keep_tool, tools

KEPT = {
    "cups": [
        PrintedCup("600", (PrintedColumn((5, 2), {"1": Fraction(100), "2": Fraction(200)}),)),
        MarkedCup("beaker", Fraction(10), Fraction(600)),
        calibrated("jar", [(Fraction(20), Fraction(58)), (Fraction(40), Fraction(121))]),
    ],
    "scales": [Scale("bench", Fraction(1, 10), Fraction(2000)), Scale("fine", Fraction(1, 100))],
    "droppers": [Dropper.counted("straw", 30, Fraction(1))],
    "guns": [Gun("small", Fraction("1.2")), Gun("wide", Fraction("1.4"), Fraction(200), Fraction(250))],
}


@pytest.fixture
def facts(tmp_path):
    facts = Facts(tmp_path / "shop.json")
    facts.put("by", "ada")
    for kind, several in KEPT.items():
        for tool in several:
            keep_tool(kind, tool, facts)
    return facts


def test_every_tool_comes_back_exactly_as_it_was(facts):
    found = tools(facts)
    for kind, several in KEPT.items():
        assert getattr(found, kind) == {tool.name: tool for tool in several}
    assert facts.get("by") == "ada"


def test_they_are_plain_facts_without_floats(facts):
    def walk(value):
        assert not isinstance(value, float)
        for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
            walk(inner)

    walk(json.loads(facts.path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("cups", {"columns": [{"parts": ["five"], "marks_ml": {"1": "70"}}]}),
        ("cups", {"step_ml": "10"}),
        ("cups", {"weighed": [["20"]]}),
        ("cups", "a string"),
        ("scales", {"step_g": 0.1}),
        ("scales", {"step_g": "tenth"}),
        ("droppers", {}),
        ("guns", {"tip_mm": None}),
    ],
)
def test_one_spoilt_by_hand_is_named_and_the_file_left_alone(facts, kind, row):
    facts.change(lambda kept: kept[kind].update(broken=row))
    before = facts.path.read_bytes()
    with pytest.raises(SprayoutError, match="is not as it was written") as caught:
        tools(facts)
    assert caught.value.fault.place == f"shop.json/{kind}/broken"
    assert facts.path.read_bytes() == before


def test_names_are_found_in_any_case_and_unknown_ones_told_with_what_there_is(facts):
    assert tools(facts).pours_with(" BENCH ").name == "bench"
    with pytest.raises(SprayoutError, match="no cup and no scale") as caught:
        tools(facts).pours_with("bucket")
    assert "600, beaker, jar, bench, fine" in caught.value.fault.remedy


def test_a_cup_and_a_scale_do_not_share_a_name(facts):
    with pytest.raises(SprayoutError, match="among the scales already"):
        keep_tool("cups", MarkedCup("bench", Fraction(10), Fraction(100)), facts)


def test_forgetting(facts):
    forget_tool("cups", "jar", facts)
    assert set(tools(facts).cups) == {"600", "beaker"}
    with pytest.raises(SprayoutError, match="nothing is called 'jar'"):
        forget_tool("cups", "jar", facts)
