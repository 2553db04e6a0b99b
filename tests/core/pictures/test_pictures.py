import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from sprayout_core.pictures import (
    Bar,
    Cell,
    Curve,
    Dot,
    Marked,
    PictureError,
    Swatch,
    cells,
    chart,
    differences,
    plane,
    spectra,
    swatches,
    travel,
)

SVG = "{http://www.w3.org/2000/svg}"
NASTY = '<script>alert("x")</script> & \x00\x1b\ud800'
TEAL, VIOLET = "#2f8f95", "#7559c3"


def curves(label="trial"):
    return [
        Curve("standard", [400, 550, 700], [0.2, 0.5, 0.1], TEAL),
        Curve(label, [400, 550, 700], [0.21, 0.48, 0.1], VIOLET),
    ]


def pictures(label="trial"):
    return {
        "spectra": spectra(curves(label)),
        "travel": travel(curves(label)),
        "plane": plane([Dot("standard", -20, -10, TEAL), Dot(label, -19, -11, VIOLET)]),
        "bars": differences([Bar("face", 0.4, 1.0, "in"), Bar(label, 1.3, 1.0, "out", "darker")]),
        "cells": cells(
            [("standard", [Cell(TEAL, (TEAL, VIOLET), ("dark teal", "+- 0.4")), Cell(hatched=label)])],
            ["1 coat", label],
            "Predicted",
            [label],
        ),
        "chart": chart(
            [Marked(label, [10, 40], [12, 30], ["1", label], [TEAL, VIOLET])],
            "coverage",
            "depth",
            label,
            f"standard; {label}",
        ),
        "swatches": swatches([Swatch("standard", TEAL, ("L* 54.3",)), Swatch(label, VIOLET)]),
    }


@pytest.mark.parametrize("name", pictures())
def test_every_picture_is_whole_svg_with_its_words(name):
    text = pictures()[name]
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    title, told = root.find(f"{SVG}title").text, root.find(f"{SVG}desc").text
    assert root.get("aria-label") == f"{title}. {told}"
    assert "standard" in told or "face" in told
    assert "trial" in told
    assert "trial" in {one.text for one in root.iter(f"{SVG}text")} or name in ("plane", "bars")


@pytest.mark.parametrize("name", pictures())
def test_what_people_write_is_never_markup(name):
    text = pictures(NASTY)[name]
    root = ET.fromstring(text)
    assert "<script" not in text
    assert not [one for one in root.iter() if "script" in one.tag]
    assert 'alert("x")' in root.find(f"{SVG}desc").text


@pytest.mark.parametrize("name", pictures())
def test_everything_lies_on_the_paper(name):
    root = ET.fromstring(pictures("a trial with a rather long name, third coat")[name])
    width, height = float(root.get("width")), float(root.get("height"))
    for one in root.iter():
        for key, limit in (
            ("x", width),
            ("x1", width),
            ("x2", width),
            ("cx", width),
            ("y", height),
            ("y1", height),
            ("y2", height),
            ("cy", height),
        ):
            assert 0 <= float(one.get(key, 0)) <= limit
    for one in root.iter(f"{SVG}text"):
        start = {"end": float(one.get("x")) - 6.0 * len(one.text), "middle": float(one.get("x")) - 3.0 * len(one.text)}
        assert start.get(one.get("text-anchor"), float(one.get("x"))) >= -1
        if one.get("text-anchor", "start") == "start" and one.get("font-weight") is None:
            assert float(one.get("x")) + 6.0 * len(one.text) <= width


def test_the_words_hold_the_numbers():
    told = ET.fromstring(pictures()["bars"]).find(f"{SVG}desc").text
    assert told == "face: 0.40 in, limit 1; trial: 1.30 out: darker, limit 1"
    assert "most 0.500 at 550 nm" in pictures()["spectra"]
    assert "0.5 at 550°" in pictures()["travel"]


def test_labels_do_not_sit_on_each_other():
    same = [Curve(str(place), [0, 1], [5.0, 5.0]) for place in range(6)]
    root = ET.fromstring(travel(same))
    heights = sorted(
        float(one.get("y"))
        for one in root.iter(f"{SVG}text")
        if one.text in "012345" and one.get("text-anchor") is None
    )
    assert len(heights) == 6
    assert min(b - a for a, b in pairwise(heights)) >= 14.9


@pytest.mark.parametrize(
    "draw",
    [
        lambda: spectra([]),
        lambda: spectra([Curve("one", [400, 500], [0.1, float("nan")])]),
        lambda: spectra([Curve("one", [500, 400], [0.1, 0.2])]),
        lambda: spectra([Curve("one", [400, 500], [0.1])]),
        lambda: spectra([Curve("one", [400, 500], [0.1, 0.2], 'red" onload="x')]),
        lambda: travel([]),
        lambda: plane([]),
        lambda: plane([Dot("one", float("inf"), 0, TEAL)]),
        lambda: plane([Dot("one", 0, 0, "teal")]),
        lambda: differences([]),
        lambda: differences([Bar("face", -1)]),
        lambda: differences([Bar("face", 1, state="maybe")]),
        lambda: swatches([]),
        lambda: swatches([Swatch("one", "#12345")]),
    ],
)
def test_what_cannot_be_drawn_is_refused(draw):
    with pytest.raises(PictureError):
        draw()


def test_one_flat_curve_and_one_dot_can_be_drawn():
    ET.fromstring(spectra([Curve("black", [400, 700], [0.0, 0.0])]))
    ET.fromstring(plane([Dot("grey", 0.0, 0.0, "#808080")]))
    ET.fromstring(differences([Bar("face", 0.0)]))


def test_a_cell_that_rests_on_nothing_is_hatched_and_says_what_to_spray():
    text = cells(
        [("silver", [Cell(hatched="spray moss neat"), Cell(TEAL, told=("dark teal",))])], ["1 coat", "2 coats"]
    )
    root = ET.fromstring(text)
    hatched = [one for one in root.iter(f"{SVG}rect") if one.get("fill") == "url(#hatch)"]
    assert len(hatched) == 1
    assert "silver, 1 coat: rests on nothing, spray moss neat" in root.find(f"{SVG}desc").text
    assert "silver, 2 coats: dark teal" in root.find(f"{SVG}desc").text


def test_both_ends_of_what_a_cell_may_be_are_drawn():
    root = ET.fromstring(cells([("silver", [Cell(TEAL, ("#111111", "#eeeeee"))])], ["1 coat"]))
    fills = [one.get("fill") for one in root.iter(f"{SVG}rect")]
    assert fills.index(TEAL) < fills.index("#111111") < fills.index("#eeeeee")


@pytest.mark.parametrize(
    "draw",
    [
        lambda: cells([], ["1 coat"]),
        lambda: cells([("silver", [Cell(TEAL)])], ["1 coat", "2 coats"]),
        lambda: cells([("silver", [Cell("teal")])], ["1 coat"]),
        lambda: chart([], "x", "y", "t", "d"),
        lambda: chart([Marked("a", [1.0], [float("nan")], ["1"], [TEAL])], "x", "y", "t", "d"),
        lambda: chart([Marked("a", [1.0, 2.0], [1.0, 2.0], ["1"], [TEAL, TEAL])], "x", "y", "t", "d"),
        lambda: chart([Marked("a", [1.0], [1.0], ["1"], ["teal"])], "x", "y", "t", "d"),
    ],
)
def test_a_grid_or_chart_that_cannot_be_drawn_is_refused(draw):
    with pytest.raises(PictureError):
        draw()
