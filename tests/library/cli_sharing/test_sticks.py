"""A stick between two copies, and what leaves only after it was asked."""

import json

import click
import pytest
from tests.library.cli_sharing.conftest import Shop

from sprayout_library.cli.desk import Desk

GIT_WORDS = ("commit", "hash", "schema", "ref/", "refs/", "blob", "branch")


def plain(text):
    assert not [word for word in GIT_WORDS if word in text.casefold()], text
    return text


def test_a_stick_carries_both_ways_and_asks_where_two_answers_stand(shops):
    reed, heath = shops
    stick = reed.folder.parent / "all.stick"
    reed.said("mix", "Sedge = 7 weak moss : 2 strong moss")
    heath.said("mix", "Sedge = 8 weak moss : 3 strong moss")
    plain(reed.said("stick", "write", stick))
    taken = plain(heath.said("stick", "take", stick))
    assert "two answers: Sedge" in taken
    assert "1 taken in" in taken
    heath.said("choose", "Sedge", "A")
    plain(heath.said("stick", "write", stick))
    reed.said("stick", "take", stick)
    assert reed.said("answers") == heath.said("answers")
    assert "0 taken in" in reed.said("stick", "take", stick)
    assert json.loads(reed.said("show", "Sedge", "--json")) == json.loads(heath.said("show", "Sedge", "--json"))
    both = reed.said("compare", "Sedge@Heath shop", "Sedge@Reed shop")
    assert "version" in both


def test_a_private_library_is_asked_before_it_leaves(shops, monkeypatch):
    reed, heath = shops
    assert "all there" in reed.said("leaving")
    reed.said("leaving", "--private", "trials for one customer")
    assert reed("sync")[0] == 0, "nothing would leave, so nothing is asked"
    reed.said("mix", "Fern = 1 weak moss : 1 strong moss")
    told = plain(reed.said("leaving"))
    assert "1 document would leave" in told and "private" in told and "guess" in told
    assert json.loads(reed.said("leaving", "--json"))["hub"]["gaps"]["Fern"] > 0
    for words in (("sync",), ("stick", "write", "all.stick")):
        assert "--yes" in reed.refused(*words)
    monkeypatch.setattr("sprayout_library.cli.leaving.on_terminal", lambda: True)
    monkeypatch.setattr(click, "confirm", lambda *_, **__: (_ for _ in ()).throw(click.Abort()))
    assert "Stopped" in reed.refused("sync")
    monkeypatch.setattr(click, "confirm", lambda *_, **__: True)
    heath.said("mix", "Heather = 2 weak moss : 1 strong moss")
    heath.said("sync")
    told = reed.said("sync")
    assert "1 sent" in told and "in  Heather" in told
    reed.said("leaving", "--not-private")
    reed.said("mix", "Moor = 1 weak moss : 3 strong moss")
    monkeypatch.setattr(click, "confirm", lambda *_, **__: pytest.fail("asked"))
    assert "1 sent" in reed.said("sync")


def test_more_than_usual_is_asked_too(shops):
    reed, _ = shops
    reed.said("check")  # this machine is the one that is meant
    desk = Desk(str(reed.library), "ada")
    with desk.store() as store:
        writer = desk.writer(store)
        writer.save([writer.new("material", {"title": f"dye {n}", "role": "dye"}) for n in range(51)], "many")
    assert "51 documents would leave, which is more than usual" in reed.refused("sync")
    assert "51 sent" in reed.said("sync", "--yes")


def test_a_day_names_the_version_that_stood_at_its_end(shops):
    from datetime import datetime

    reed, _ = shops
    reed.said("mix", "Sedge = 6 weak moss : 2 strong moss")
    today = datetime.now().astimezone().date()
    assert "Sedge, version 2" in reed.said("compare", "Sedge@1", f"Sedge@{today}")
    assert "Sedge, version 2" in reed.said("compare", "Sedge@1", "Sedge@9999-12-31")


def test_a_shop_without_a_library_begins_with_a_stick(shops, tmp_path, monkeypatch):
    reed, _ = shops
    reed.said("stick", "write", tmp_path / "all.stick")
    fen = Shop(tmp_path, "fen", monkeypatch)
    whole = (tmp_path / "all.stick").read_bytes()
    (tmp_path / "half.stick").write_bytes(whole[: len(whole) // 2])
    assert "cut off" in fen.refused("join", tmp_path / "half.stick", "library")
    assert not fen.library.exists()
    told = fen.said("join", tmp_path / "all.stick", "library", "--shop", "Fen shop")
    assert "Shared through nothing yet" in told
    fen.said("note", "Sedge", "from the fen")
    fen.said("stick", "write", tmp_path / "back.stick")
    assert "two libraries" not in reed.said("stick", "take", tmp_path / "back.stick")
    assert "from the fen" in reed.said("show", "Sedge")
    assert "Fen shop" in reed.said("shop")
