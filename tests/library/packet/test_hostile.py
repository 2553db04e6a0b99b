"""Packets made to harm: each is refused whole, in words, and the library is as it was."""

import base64
import json

import pytest
from tests.library.shops import git

from sprayout_core.documents import stored, tree
from sprayout_core.errors import SprayoutError
from sprayout_library.packet import gathered, look, packet_bytes, read_packet, take


def label(identity):
    return identity[-6:]


@pytest.fixture
def shop(bench):
    store = bench.shop("a")
    teal, water = bench.material(store, "Weak teal"), bench.material(store, "Water white")
    mix = bench.formula(store, "Kelp", {teal.id: 5, water.id: 2})
    bench.save(store, teal, water, mix)
    return store


@pytest.fixture
def plain(shop):
    [mix] = shop.documents("formula")
    return json.loads(packet_bytes(gathered(shop, [mix], {"by": "ada"}, label, {})))


def first(plain, **members):
    plain["documents"][0].update(members)
    return plain


def without(plain, name):
    del plain[name]
    return plain


def deep(levels):
    value = {}
    for _ in range(levels):
        value = {"a": value}
    return value


def manifest(plain):
    one = dict(plain["documents"][0], kind="library", illuminant="D65", observer=10, difference="ciede2000")
    one.pop("role", None)
    one.pop("mix", None)
    return {**plain, "documents": [one], "about": [one["id"]]}


NOWHERE = "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10"

#: How a good packet's tree is spoilt, and words of what is said about it.
SPOILT = {
    "another edition": (lambda p: {**p, "packet": "sprayout-packet/2.0"}, "update sprayout"),
    "no edition": (lambda p: {**p, "packet": "zip"}, "is no packet"),
    "no edition member": (lambda p: without(p, "packet"), "no packet"),
    "nothing in it": (lambda p: {**p, "documents": []}, "0 documents"),
    "about nothing": (lambda p: {**p, "about": []}, "does not say what it is about"),
    "about what is not in it": (lambda p: {**p, "about": [NOWHERE]}, "not in the packet"),
    "about a path": (lambda p: {**p, "about": ["../../config"]}, "not in the packet"),
    "about one thing twice": (lambda p: {**p, "about": p["about"] * 2}, "once"),
    "an id that is a path": (lambda p: first(p, id="../../hooks/post-update"), "id"),
    "an id in capitals": (lambda p: first(p, id=p["documents"][0]["id"].upper()), "id"),
    "a kind that is a path": (lambda p: first(p, kind="../refs"), "is no kind"),
    "a member nobody knows": (lambda p: first(p, run="rm"), "unknown member"),
    "a member of its own": (lambda p: {**p, "extra": 1}, "no packet"),
    "documents that are text": (lambda p: {**p, "documents": "all"}, "no packet"),
    "a document that is a number": (lambda p: {**p, "documents": [7]}, "not a document"),
    "a document twice": (lambda p: {**p, "documents": [p["documents"][0], *p["documents"]]}, "stands twice"),
    "the manifest of a library": (manifest, "manifest of another library"),
    "a document nested too deep": (lambda p: first(p, notes=deep(60)), "deep"),
    "a title too long": (lambda p: first(p, title="x" * 201), "title"),
    "a title that turns": (lambda p: first(p, title="a\u202eb"), "U\\+202E"),
    "an edit nobody saw": (lambda p: first(p, made="zzzzzz.7"), "not in seen"),
    "seen beyond counting": (lambda p: first(p, seen={"zzzzzz": 2**60}), "seen|2\\^53"),
    "seen below one": (lambda p: first(p, seen={"zzzzzz": 0}), "seen"),
    "an empty member": (lambda p: first(p, tags={}), "one spelling"),
    "a newer major edition": (lambda p: first(p, format="sprayout/9.0"), "written by"),
    "words nobody can show": (lambda p: {**p, "sent": {"by": "a\u001b[2J"}}, "cannot be shown"),
    "words too long": (lambda p: {**p, "sent": {"by": "x" * 400}}, "cannot be shown"),
    "a source nobody names": (lambda p: {**p, "sources": {"sha256:" + "0" * 64: "AAAA"}}, "no document of the packet"),
    "a source that is a path": (lambda p: {**p, "sources": {"../../x": "AAAA"}}, "no document of the packet"),
}  # fmt: skip

#: Bytes that no packet has.
RAW = {
    "nothing": (b"", "no packet"),
    "a zip": (b"PK\x03\x04" + bytes(100), "no packet"),
    "not UTF-8": (b'{"packet": "\xff\xfe"}', "cut off or damaged"),
    "brackets without end": (b"[" * 200_000, "no packet"),
    "braces without end": (b'{"documents":' * 100_000, "no packet"),
    "a list": (b"[]", "no packet"),
    "null": (b"null", "no packet"),
    "the first half": (b'{"about": ["01926f3a', "cut off or damaged"),
    "a table": (b"Sample;400;410\n", "is no packet"),
}


def test_a_spoilt_packet_is_refused_whole(shop, plain, tmp_path):
    before = git(shop.folder, "for-each-ref")
    good = json.dumps(plain)
    for what, (spoil, told) in SPOILT.items():
        path = tmp_path / "p"
        spoilt = spoil(json.loads(good))
        try:
            path.write_bytes(stored(spoilt))
        except SprayoutError:  # our own writer cannot even spell it
            path.write_text(json.dumps(spoilt), encoding="utf-8")
        with pytest.raises(SprayoutError, match=told) as refused:
            pytest.fail(f"{what}: {take(shop, look(shop, read_packet(path), label), 'eve', None)}")
        assert all(fault.problem for fault in refused.value.faults)
    assert git(shop.folder, "for-each-ref") == before


@pytest.mark.parametrize("what", RAW)
def test_other_bytes_are_refused(tmp_path, what):
    content, told = RAW[what]
    (tmp_path / "p").write_bytes(content)
    with pytest.raises(SprayoutError, match=told):
        read_packet(tmp_path / "p")


def test_there_are_enough_of_them():
    assert len(SPOILT) + len(RAW) >= 30


def test_another_spelling_is_refused(plain, tmp_path):
    good = stored(plain)
    doubled = good.replace(b'"packet":', b'"packet": "sprayout-packet/1.0",\n  "packet":', 1)
    inner = good.replace(b'"kind": "formula"', b'"kind": "material",\n      "kind": "formula"', 1)
    for content, told in ((doubled, "one spelling"), (good[:-1], "one spelling"), (inner, "written twice")):
        (tmp_path / "p").write_bytes(content)
        with pytest.raises(SprayoutError, match=told):
            read_packet(tmp_path / "p")


def test_one_id_of_another_kind_is_refused(bench, shop, plain, tmp_path):
    [water] = [one for one in shop.documents("material") if one.title == "Water white"]
    other = bench.shop("b")
    bench.save(other, bench.made(other, "shop", {"title": "A shop"}, name=water.id))
    (tmp_path / "p").write_bytes(stored(plain))
    before = git(other.folder, "for-each-ref")
    with pytest.raises(SprayoutError, match="not two states of one document"):
        look(other, read_packet(tmp_path / "p"), label)
    assert git(other.folder, "for-each-ref") == before


def test_edits_of_this_copy_that_it_never_made_are_refused(shop, plain, tmp_path):
    own = shop.copy_id
    for one in plain["documents"]:
        one["seen"][own] = 99
    (tmp_path / "p").write_bytes(stored(plain))
    with pytest.raises(SprayoutError, match="this very copy"):
        look(shop, read_packet(tmp_path / "p"), label)


def test_one_edit_with_two_values_is_refused(shop, plain, tmp_path):
    [mix] = [one for one in plain["documents"] if one["kind"] == "formula"]
    mix["title"] = "Another title under the same edit"
    (tmp_path / "p").write_bytes(stored(plain))
    with pytest.raises(SprayoutError, match=r"Kelp|Another"):
        look(shop, read_packet(tmp_path / "p"), label)


def test_a_source_is_held_against_its_digest(bench, shop, plain, tmp_path):
    panel = bench.made(shop, "panel", {"label": "KF-1"})
    good = "sha256:" + __import__("hashlib").sha256(b"picture").hexdigest()
    picture = bench.made(
        shop, "picture", {"image": good, "media": "image/png", "bytes": 7, "shows": [{"panel": panel.id}]}
    )
    bench.save(shop, panel, picture)
    packet = gathered(shop, [panel], {}, label, {good: b"picture"})
    (tmp_path / "p").write_bytes(packet_bytes(packet))
    other = bench.shop("b")
    looked = look(other, read_packet(tmp_path / "p"), label)
    take(other, looked, "bo", bench.tick())
    from sprayout_library.sources import Sources

    assert Sources(other.folder).content(good) == b"picture"
    plain = json.loads(packet_bytes(packet))
    for text, told in (
        (base64.b64encode(b"another").decode(), "not what its digest says"),
        ("not base64!", "cannot be decoded"),
    ):
        (tmp_path / "q").write_bytes(stored({**plain, "sources": {good: text}}))
        with pytest.raises(SprayoutError, match=told):
            read_packet(tmp_path / "q")


def test_a_packet_too_large_is_refused_before_it_is_read(tmp_path):
    from sprayout_library.packet import LARGEST_PACKET

    with (tmp_path / "p").open("wb") as file:
        file.truncate(LARGEST_PACKET + 1)
    with pytest.raises(SprayoutError, match=r"at most|96 MB"):
        read_packet(tmp_path / "p")


def test_every_byte_of_a_packet_matters(shop, plain, tmp_path):
    good = stored(plain)
    for place in range(0, len(good), 37):
        changed = bytearray(good)
        changed[place] ^= 0x01
        (tmp_path / "p").write_bytes(bytes(changed))
        try:
            packet = read_packet(tmp_path / "p")
        except SprayoutError:
            continue
        assert all(tree(one) for one in packet.documents.values())
