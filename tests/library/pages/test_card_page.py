"""A scanned card (invented, rendered) through the pages: dropped, looked at, pieces assigned, taken in."""

import re
import shutil

import pytest
from tests.library.cli_cards.conftest import machine, rendering
from tests.library.cli_cards.test_cards import TARGET
from tests.library.pages.conftest import Visitor

from sprayout_library.cli.main import run
from sprayout_library.store import Store

__all__ = ["machine", "rendering"]


@pytest.fixture
def shop(machine, tmp_path, monkeypatch):
    """(visitor, library, scan): the shop copied, with its known colours recorded."""
    shutil.copytree(machine / "machine", tmp_path / "machine")
    shutil.copytree(machine / "lib", tmp_path / "lib")
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    monkeypatch.chdir(machine)
    if run(["--library", str(tmp_path / "lib"), "card", "target"]) == 0:
        run(["--library", str(tmp_path / "lib"), *TARGET])
    return Visitor(tmp_path / "lib"), tmp_path / "lib", (machine / "scan.jpg").read_bytes()


def readings(library):
    with Store.open(library) as store:
        return list(store.documents("reading"))


def dropped(visitor, content, page="/look/readings", name="scan.jpg"):
    reply = visitor.fill(page, files={"file": (name, content, "image/jpeg")})
    assert reply.url.path == "/look/card", reply.text
    return dict(reply.url.params)["drop"]


def test_a_card_is_looked_at_assigned_and_taken_in_once(shop):
    visitor, library, scan = shop
    token = dropped(visitor, scan)
    shown = visitor.get("/look/card", params={"drop": token, "stage": "bare"})
    assert shown.status_code == 200 and "image-derived" in shown.text
    laid = dict(re.findall(r'name="lay-([^"]+)" value="([^"]*)"', shown.text))
    assert laid["piece/piece"] == "KF-1" and laid["step card/3"] == "KF-2/3"
    assert "give or take" in shown.text and "Take them in: 9 readings" in shown.text
    seen = visitor.get(re.search(r'src="(/look/card/seen[^"]*)"', shown.text)[1].replace("&amp;", "&"))
    assert seen.headers["content-type"] == "image/png" and seen.content.startswith(b"\x89PNG")
    assert readings(library) == []  # looking writes nothing

    form = {"drop": token, "stage": "bare", **{f"lay-{cell}": words for cell, words in laid.items()}}
    wrong = visitor.fill("/look/card", {**form, "do": "take", "lay-piece/piece": "KF-9"})
    assert wrong.status_code in (404, 422) and "KF-9" in wrong.text and readings(library) == []
    twice = visitor.fill("/look/card", {**form, "do": "take", "lay-piece/piece": "KF-2/3"})
    assert "lies in two cells" in twice.text and readings(library) == []
    fewer = visitor.fill("/look/card", {**form, "do": "look", "lay-piece/piece": ""})
    assert "Take them in: 8 readings" in fewer.text and "but of which piece?" in fewer.text

    taken = visitor.fill("/look/card", {**form, "do": "take", "lay-piece/piece": ""})
    assert "8 readings taken in" in taken.text
    assert len(readings(library)) == 8
    assert {one.grade for one in readings(library)} == {"image-derived"}
    again = visitor.fill("/look/card", {**form, "do": "take"})
    assert again.status_code == 422 and "not kept here any more" in again.text

    token = dropped(visitor, scan, "/look/card")
    known = visitor.get("/look/card", params={"drop": token, "stage": "bare"})
    assert known.text.count("known already") == 8 and "Take them in: 1 reading<" in known.text
    assert "1 reading taken in" in visitor.fill("/look/card", {"drop": token, "stage": "bare", "do": "take"}).text
    assert len(readings(library)) == 9


NO_CARDS = [b"", b"name;400\nKF-1;3\n", b"\xff\xd8\xff not a picture", b"\x89PNG\r\n\x1a\n" + b"0" * 99]


@pytest.mark.parametrize("content", NO_CARDS)
def test_what_is_no_card_is_told(shop, content):
    visitor, library, _ = shop
    reply = visitor.fill("/look/card", files={"file": ("a.jpg", content, "image/jpeg")})
    if reply.status_code == 200:
        token = dict(reply.url.params)["drop"]
        reply = visitor.get("/look/card", params={"drop": token, "stage": "bare"})
    assert reply.status_code == 422 and 'role="alert"' in reply.text
    assert readings(library) == []


@pytest.mark.parametrize("path", ["?drop=x", "/seen", "/seen?drop=x", "?drop=x&stage=bare"])
def test_a_picture_that_is_not_here_is_told(shop, path):
    visitor, _, _ = shop
    assert visitor.get(f"/look/card{path}").status_code == 422
