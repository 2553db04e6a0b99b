"""Two libraries that began apart, two shops of one name, and the machine that works for no shop yet."""

import json

import pytest
from tests.library.cli_sharing.conftest import Shop


@pytest.fixture
def apart_from(shops, tmp_path, monkeypatch):
    """A third machine with a library of its own, of another light, and a shop whose name is taken."""
    other = Shop(tmp_path, "other", monkeypatch)
    other.said("create", "library", "--name", "Moss works", "--shop", "Reed shop", "--light", "A", "--observer", "2")
    other.said("mix", "Bog = 3 bog dye : 1 black dye", "--new", "bog dye=dye", "--new", "black dye=dye")
    return other, *shops


def test_another_library_is_asked_about_before_both_become_one(apart_from, written):
    other, reed, _ = apart_from
    said = other.refused("sync", "--to", written / "shared")
    assert "nother library, 'Reed works'" in said
    assert f"sprayout join {written / 'shared'} FOLDER" in said
    assert "not shared yet" in other.refused("sync")
    reed.said("stick", "write", "all.stick")
    assert "began apart" in other.refused("stick", "take", reed.folder / "all.stick")
    assert "began apart" not in reed.said("sync")


def test_what_the_library_made_first_compares_with_counts_for_all(apart_from, written):
    other, reed, heath = apart_from
    told = other.said("sync", "--to", written / "shared", "--yes")
    assert "what 'Reed works' compares with counts" in told
    for shop in (reed, heath):
        shop.said("sync")
    for shop in (other, reed, heath):
        assert shop.said("defaults").split()[:4] == ["light", "D65", "observer", "10"]
        assert "two libraries are one; Reed works counts" in shop.said()
    heath.said("withdraw", "Moss works")
    assert "two libraries are one" not in heath.said()


def test_two_shops_of_one_name_are_told_apart_until_one_is_renamed(apart_from, written):
    other, reed, _ = apart_from
    assert "two shops are called Reed shop" in other.said("sync", "--to", written / "shared", "--yes")
    reed.said("sync")
    theirs, ours = (
        next(line for line in shop.said("shop").splitlines() if line.lstrip().startswith("*")).split()[3]
        for shop in (other, reed)
    )
    assert theirs in reed.said("history", "Bog")
    assert ours in reed.said("history", "Sedge")
    assert "another shop is called" in other.refused("shop", "--rename", "Heath shop").casefold()
    assert "Bog shop" in other.said("shop", "--rename", "Bog shop")
    other.said("sync")
    reed.said("sync")
    assert "Bog shop" in reed.said("history", "Bog")
    assert theirs not in reed.said("history", "Bog")


def test_a_machine_that_works_for_no_shop_says_later_for_which(tmp_path, monkeypatch):
    alone = Shop(tmp_path, "alone", monkeypatch)
    alone.said("create", "library")
    alone.said("keys", "begin")
    assert "works for none" in alone.said("shop")
    assert "works for no shop" in alone.refused("shop", "--rename", "Booth")
    assert "no shop is called" in alone.refused("shop", "--mine", "Booth").casefold()
    alone.said("shop", "--new", "Booth")
    assert "Booth, this copy" in alone.said("keys", "list")
    assert "called 'booth' already" in alone.refused("shop", "--new", "booth")
    [shop] = json.loads(alone.said("shop", "--json"))
    assert shop["mine"] and shop["copies"] == ["library"]


def test_a_second_machine_of_a_shop_is_told_and_can_say_otherwise(shops, tmp_path, monkeypatch, written):
    reed, _ = shops
    third = Shop(tmp_path, "third", monkeypatch)
    monkeypatch.delenv("SPRAYOUT_LIBRARY", raising=False)
    assert "one more copy of it" in third.said("join", written / "shared", "library", "--shop", "Reed shop")
    third.said("shop", "--new", "Fen shop")
    third.said("sync")
    reed.said("sync")
    found = {one["name"]: one["copies"] for one in json.loads(reed.said("shop", "--json"))}
    assert len(found["Reed shop"]) == 1
    assert found["Fen shop"] == ["library"]
