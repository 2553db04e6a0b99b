"""How many coats is this, without a meter: one picture of piece and step card, or readings that a card gave."""

import json

import pytest

TARGET = ("card", "target", "chart.csv", "--set", "geometry=45:0", "--set", "illuminant=D65", "--set", "observer=10",
          "--set", "stage=bare")  # fmt: skip


@pytest.fixture
def known(shop):
    if "chart:" not in shop("card", "target")[1]:
        assert shop(*TARGET)[0] == 0
    return shop


def test_from_one_picture_of_both(known):
    """The piece was painted as two coats; whoever laid three lays them a third light."""
    status, out, err = known("coats", "scan.jpg", "--laid", "3")
    assert (status, err) == (0, "")
    assert "KF-1 is 2.0 coats of KF-2" in out or "KF-1 is 1.9 coats" in out or "KF-1 is 2.1 coats" in out
    assert "light; 3 more medium coats land within" in out
    assert "one light, one frame" in out
    told = json.loads(known("coats", "scan.jpg", "--laid", "3", "--wanted", "3", "--json")[1])
    assert told["heavy"] == pytest.approx(-1 / 3, abs=0.1)
    assert told["more"] in (1, 2)
    assert "in the picture itself" in known("coats", "scan.jpg", "--card", "KF-2")[2]


def test_from_readings_that_a_card_gave(known):
    if "image-derived" not in known("show", "KF-1")[1]:
        assert known("card", "read", "scan.jpg", "--stage", "bare", "--yes")[0] == 0
    told = json.loads(known("coats", "KF-1", "--json")[1])
    assert told["card"] == "KF-2" and told["grade"] == "image-derived"
    assert told["low"] < 2 < told["high"]
    assert told["high"] - told["low"] > 0.3  # a card's colours are known within two or more
    assert told["laid"] == 5 and told["wanted"] == 5
