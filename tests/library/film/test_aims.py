"""What a painter asks for, in words: wishes, and targets of every grade."""

import shutil

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sprayout_core.errors import SprayoutError
from sprayout_library.film.aims import aim, wish_from_words
from sprayout_library.record import Names, Writer
from sprayout_library.store import Store


@pytest.mark.parametrize(
    ("words", "moves", "never"),
    [
        ("lighter, not redder", {"lighter": 3.0}, ("redder",)),
        ("2 darker and a little cleaner", {"lighter": -2.0, "cleaner": 1.5}, ()),
        ("much warmer; not greener, not lighter", {"yellower": 6.0}, ("greener", "lighter")),
        ("1,5 bluer", {"yellower": -1.5}, ()),
        ("BUT duller", {"cleaner": -3.0}, ()),
        ("", {}, ()),
    ],
)
def test_wishes(words, moves, never):
    wish = wish_from_words(words)
    assert (dict(wish.moves), wish.never) == (moves, never)
    assert wish_from_words(wish.words) == wish


@pytest.mark.parametrize("words", ["shinier", "not 2 redder", "lighter, darker", "redder, not redder", "3", "not"])
def test_no_wish(words):
    with pytest.raises(SprayoutError):
        wish_from_words(words)


@given(st.text(max_size=40))
def test_any_words_are_a_wish_or_refused(words):
    try:
        wish_from_words(words)
    except SprayoutError as error:
        assert error.fault.problem


def test_a_wish_is_broken_where_it_shows():
    wish = wish_from_words("lighter, not redder")
    start = np.array([40.0, 5.0, -10.0])
    assert wish.broken_by(start, np.array([43.0, 9.0, -10.0])) == ["redder"]
    assert wish.broken_by(start, np.array([43.0, 5.2, -10.0])) == []
    assert wish.broken_by(start, np.array([43.0, 1.0, -10.0])) == []


def test_a_card_is_an_aim_with_its_doubt_and_a_meter_wins(demo_folder, tmp_path):
    shutil.copytree(demo_folder / "fen-lane", tmp_path / "lib")
    with Store.open(tmp_path / "lib") as store:
        names, writer = Names(store), Writer(store, "ada")
        panel = names.find("KF-2", "panel").id
        bare = {"panel": panel, "stage": {"surface": "bare"}}
        lab = {"lab": [41.0, -12.0, 3.5], "illuminant": "D65", "observer": 10}
        seen = {"geometry": "45:0", "coordinates": lab, "uncertainty": 2.6}
        made = writer.new("panel", {"title": "CARD-1", "label": "CARD-1", "stage": {"surface": "bare"}})
        card = writer.new("reading", bare | {"panel": made.id, "grade": "image-derived", "measured": [seen]})
        beside = writer.new("reading", bare | {"grade": "image-derived", "measured": [seen]})
        writer.save([made, card, beside], "a card")
        store.refresh()
        names = Names(store)
        aimed = aim(store, names, "CARD-1", ["45:0"])
        assert "a card in a picture, give or take 2.6" in aimed.words
        assert aimed.target.grade.uncertainty == 2.0
        assert aimed.target.colours["45:0"] == pytest.approx([41.0, -12.0, 3.5])
        assert "known by a spectrum" in aim(store, names, "KF-2", ["45:0"]).words
        moved = aim(store, names, "CARD-1", ["45:0"], wish_from_words("2 lighter"))
        assert moved.target.colours["45:0"] == pytest.approx([43.0, -12.0, 3.5])
        with pytest.raises(SprayoutError, match="measured at 45:0"):
            aim(store, names, "CARD-1", ["d:8"])
