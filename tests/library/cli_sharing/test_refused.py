"""Bad arguments: each is told in words, none changes anything."""

import pytest

KEY = "SHA256:" + "A" * 43

REFUSED = {
    "check with a name": (("check", "Sedge"), "unexpected extra argument"),
    "stick into a folder": (("stick", "write", "."), "is a folder"),
    "stick where no folder is": (("stick", "write", "nowhere/all.stick"), "is the stick connected"),
    "stick over another file": (("stick", "write", "photo.jpg"), "is no stick file"),
    "stick without a file": (("stick", "write"), "missing argument"),
    "take nothing there": (("stick", "take", "nowhere.stick"), "no such file"),
    "take a folder": (("stick", "take", "."), "is no plain file"),
    "take another file": (("stick", "take", "photo.jpg"), "is no stick of a library"),
    "take one cut off": (("stick", "take", "cut.stick"), "damaged or cut off"),
    "take one without an end": (("stick", "take", "endless.stick"), "carries"),
    "leaving with a name": (("leaving", "Sedge"), "unexpected extra argument"),
    "private for no reason": (("leaving", "--private", " "), "private, or not"),
    "private and not": (("leaving", "--private", "trials", "--not-private"), "private, or not"),
    "rotate without a key": (("keys", "rotate"), "no key yet"),
    "trust nobody": (("keys", "trust", "Nobody", KEY), "reed shop"),
    "trust a shop without a key": (("keys", "trust", "Heath shop", KEY), "names no key yet"),
    "trust without a fingerprint": (("keys", "trust", "Heath shop"), "missing argument"),
    "withdraw what is not trusted": (("keys", "withdraw", KEY), "not trusted here"),
    "keys of no kind": (("keys", "lend"), "no such command"),
    "verify with a name": (("verify", "Sedge"), "unexpected extra argument"),
    "compare at no day": (("compare", "Sedge@2026-02-30"), "is no day"),
    "compare before it was": (("compare", "Sedge@2001-01-01"), "was not there"),
    "compare with nobody's": (("compare", "Sedge@Nobody"), "no version, no day and no shop"),
    "compare with what a shop never made": (("compare", "Sedge@Heath shop"), "made no version"),
    "compare at no number": (("compare", "Sedge@9"), "there is no version 9"),
    "sync to its own folder, quietly": (("sync", "--to", "library", "--yes"), "shared through itself"),
}


@pytest.mark.parametrize("words, told", REFUSED.values(), ids=REFUSED)
def test_it_is_told_in_words(reed, words, told):
    (reed.folder / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0 a picture")
    head = b"# v2 git bundle\n" + b"1" * 40 + b" refs/heads/shops/abcdefg\n"
    (reed.folder / "cut.stick").write_bytes(head + b"\nPACK")
    (reed.folder / "endless.stick").write_bytes(b"# v2 git bundle\n" + b"x" * 5000)
    assert told in reed.refused(*words).casefold()


def test_a_library_that_is_not_shared(tmp_path, monkeypatch, reed):
    alone = type(reed)(tmp_path, "alone", monkeypatch)
    alone.said("create", "library", "--name", "Alone")
    assert "not shared" in alone.refused("leaving")
    assert "no key" in alone.refused("keys", "rotate")
