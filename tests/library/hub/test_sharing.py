"""Shops share through the hub: joined, synced, refused by name, killed in the middle; one head in the end."""

import os
import re
import socket
import subprocess
import sys
import threading
import time
import zlib
from pathlib import Path

import pytest
from tests.library.shops import git, state

from sprayout_library.store import Git
from sprayout_library.store.refs import all_refs


def head_at_hub(live):
    with live.hub.store("co-op") as store:
        return store.head


def push(live, folder, commit, copy, who="cal", seconds=180):
    """Push as a stranger with plain git would; returns (status, what git told)."""
    token = f"http.extraHeader=Authorization: Bearer {live.tokens[who]}"
    words = ["git", "-C", str(folder), "-c", token, "push", live.address, f"{commit}:refs/heads/{copy}"]
    done = subprocess.run(words, capture_output=True, timeout=seconds, check=False)
    return done.returncode, done.stderr.decode("utf-8", "replace")


def test_two_shops_through_the_hub_end_with_one_head(shops):
    live = shops.live
    live.person("ben", "contributor", shop="Moss")
    a, _ = shops.at_hub("a", "cal")
    teal = shops.material(a, "Weak teal")
    shops.save(a, teal)
    first = shops.sync(a)
    assert first.at_remote, push(live, a.folder, a.head, f"shops/{a.copy_id}")
    assert head_at_hub(live) == a.head
    b, joined = shops.at_hub("b", "ben")
    assert joined.received == [teal.id] and b.head == a.head
    violet = shops.material(b, "Strong violet")
    shops.save(b, violet)
    shops.save(a, shops.material(a, "Moss dye"))
    assert shops.sync(b).at_remote
    shops.as_("cal")
    assert shops.sync(a).whole
    shops.as_("ben")
    assert shops.sync(b).whole
    assert a.head == b.head == head_at_hub(live)
    assert state(a) == state(b) and len(state(a)) == 3
    with live.hub.store("co-op") as store:
        assert state(store) == state(a)


def test_what_was_sent_is_booked_and_logged_and_nobody_else_sends_in_its_name(shops):
    live = shops.live
    live.person("mal", "contributor")
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    assert live.hub.accounts.copies() == {f"co-op/{a.copy_id}": "person cal"}
    shops.save(a, shops.material(a, "Strong teal"))
    status, told = push(live, a.folder, a.head, f"shops/{a.copy_id}", "mal")
    assert status and "this copy belongs to person cal" in told
    shops.as_("cal")
    assert shops.sync(a).at_remote
    from sprayout_library.hub.receive_log import noted

    entries = list(noted(live.hub.folder))
    assert [(one["by"], one["let_in"]) for one in entries] == [("cal", True), ("mal", False), ("cal", True)]
    assert "belongs to person cal" in entries[1]["faults"][0]


def test_a_reader_may_fetch_and_not_send(shops):
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    b, report = shops.at_hub("b", "rae")
    assert len(report.received) == 1 and not report.at_remote
    shops.save(b, shops.material(b, "Strong teal"))
    assert not shops.sync(b).at_remote
    status, told = push(shops.live, b.folder, b.head, f"shops/{b.copy_id}", "rae")
    assert status and "you may look here, not send" in told
    refs = all_refs(Git(shops.live.library), "refs/heads/shops/")
    assert head_at_hub(shops.live) == a.head and f"refs/heads/shops/{b.copy_id}" not in refs


EDIT = "a save\n\nSprayout: edit rules=1 copy=mallory1\n"


def hostile(folder, entries, message=EDIT):
    """A commit with these files, written by hand in a repository of a stranger's."""
    subprocess.run(["git", "init", "-q", "--bare", str(folder)], check=True)
    lines = []
    for path, content in entries.items():
        blob = git(folder, "hash-object", "-w", "-t", "blob", "--stdin", given=content)
        lines.append(f"100644 blob {blob}\t{path}")
    index = folder / "index"
    for line in lines:
        mode, _, rest = line.split(" ", 2)
        blob, path = rest.split("\t")
        subprocess.run(
            ["git", "-C", str(folder), "update-index", "--add", "--cacheinfo", f"{mode},{blob},{path}"],
            check=True, env={**os.environ, "GIT_INDEX_FILE": str(index)},
        )  # fmt: skip
    tree = subprocess.run(
        ["git", "-C", str(folder), "write-tree"], check=True, capture_output=True,
        env={**os.environ, "GIT_INDEX_FILE": str(index)},
    ).stdout.decode().strip()  # fmt: skip
    person = "mal <mallory1@copy.sprayout.invalid> 1772442600 +0000"
    content = f"tree {tree}\nauthor {person}\ncommitter {person}\n\n{message}".encode()
    return git(folder, "hash-object", "-w", "-t", "commit", "--stdin", given=content)


P = "material/10/77/019c1c38-a401-7370-8261-796f75747710.json"
BAD = {
    "a file at the top": ({"README": b"x"}, EDIT, "README: is no place of a document"),
    "an attributes file": ({".gitattributes": b"* filter=x\n"}, EDIT, "is no place of a document"),
    "not JSON": ({P: b"teal\n"}, EDIT, "not JSON"),
    "a bomb": ({P: b" " * 30_000_000}, EDIT, "bytes large"),
    "nothing of ours": ({P: b"{}\n"}, "hello\n", "is a commit that no library made"),
    "in another's name": ({P: b"{}\n"}, EDIT.replace("mallory1", "zzzzzz9"), "refused|copy|Sprayout|commit"),
}


def kept(folder):
    return sorted(str(path) for path in folder.rglob("*") if not path.name.startswith("sprayout."))


def test_hostile_pushes_are_refused_by_name_and_leave_nothing(shops, tmp_path):
    live = shops.live
    before = kept(live.library)
    for number, (case, (entries, message, words)) in enumerate(BAD.items()):
        stranger = tmp_path / f"mal{number}"
        commit = hostile(stranger, entries, message)
        status, told = push(live, stranger, commit, "shops/mallory1")
        assert status and "The library was not changed" in told, case
        assert re.search(words, told), told
        assert kept(live.library) == before, case


def test_only_branches_of_copies_are_taken(shops):
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    before = sorted(all_refs(Git(shops.live.library), "refs/heads/"))
    shops.save(a, shops.material(a, "Strong teal"))
    for name in ("main", "evil", "shops/UPPER", "shops/ab"):
        status, told = push(shops.live, a.folder, a.head, name)
        assert status, told
        refs = all_refs(Git(shops.live.library), "refs/heads/")
        assert refs["refs/heads/main"] == head_at_hub(shops.live) != a.head
        assert sorted(refs) == before


def test_the_hubs_own_copy_rewinds_and_deletions_are_refused(shops):
    live = shops.live
    a, _ = shops.at_hub("a", "cal")
    shops.save(a, shops.material(a, "Weak teal"))
    shops.sync(a)
    first = a.head
    shops.save(a, shops.material(a, "Strong teal"))
    shops.sync(a)
    with live.hub.store("co-op") as store:
        own = store.copy_id
    ahead = git(a.folder, "commit-tree", f"{a.head}^{{tree}}", "-p", a.head, "-m", "x")
    status, told = push(live, a.folder, ahead, f"shops/{own}", "kit")
    assert status and "the hub's own copy" in told
    status, told = push(live, a.folder, f"+{first}", f"shops/{a.copy_id}")
    assert status and ("rewound" in told or "non-fast-forward" in told)
    status, told = push(live, a.folder, "", f"shops/{a.copy_id}")
    assert status
    assert head_at_hub(live) == a.head


def _begun_pack():
    """The first part of a sound pack: one blob of 10 MB, of which 100 kB are sent."""
    size, kind = 10_000_000, 3
    head = [kind << 4 | size & 15]
    size >>= 4
    while size:
        head[-1] |= 128
        head.append(size & 127)
        size >>= 7
    return b"PACK\0\0\0\2\0\0\0\1" + bytes(head) + zlib.compress(os.urandom(10_000_000), 0)[:100_000]


@pytest.mark.skipif(sys.platform == "win32", reason="process groups are POSIX")
def test_a_client_killed_in_the_middle_of_a_push_leaves_no_process_and_no_quarantine(shops):
    live = shops.live
    line = socket.create_connection(("127.0.0.1", live.port), timeout=60)
    head = (
        f"POST /co-op/git-receive-pack HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {live.tokens['cal']}\r\n"
        "Content-Type: application/x-git-receive-pack-request\r\nTransfer-Encoding: chunked\r\n\r\n"
    )
    command = f"{'0' * 40} {'1' * 40} refs/heads/shops/mallory1\0report-status".encode()
    packet = b"%04x" % (len(command) + 4) + command + b"0000" + _begun_pack()
    line.sendall(head.encode() + b"%x\r\n" % len(packet) + packet + b"\r\n")
    ours = str(live.library)
    quarantines = lambda: list((live.library / "objects").glob("tmp_objdir-*"))  # noqa: E731
    bridge = live.app.state.service.bridge
    until = time.monotonic() + 120
    while not (bridge.running and quarantines()) and time.monotonic() < until:
        threading.Event().wait(0.01)
    assert quarantines(), "the push never came to its quarantine"
    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
    line.close()
    noticed = lambda: "client-gone" in live.log.getvalue()  # noqa: E731
    while (bridge.running or quarantines() or not noticed()) and time.monotonic() < until:
        threading.Event().wait(0.01)
    assert not bridge.running and not quarantines()
    left = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            told = (place / "environ").read_bytes()
        except OSError:
            continue
        if b"SPRAYOUT_HUB=" + str(live.hub.folder).encode() in told:
            left.append(place.name)
    assert left == [], ours
    assert noticed()


@pytest.mark.long
def test_eight_shops_pushing_at_once_lose_nothing(shops):
    live = shops.live
    made = []
    for number in range(8):
        live.person(f"shop{number}", "contributor", shop=f"Shop {number}")
        store = shops.shop(f"s{number}")
        shops.save(store, shops.material(store, f"Dye {number}"))
        made.append(store)
    results = {}

    def send(number):
        results[number] = [
            push(live, made[number].folder, made[number].head, f"shops/{made[number].copy_id}", f"shop{number}")
        ]

    threads = [threading.Thread(target=send, args=(number,)) for number in range(8)]
    began = time.monotonic()
    [thread.start() for thread in threads]
    [thread.join() for thread in threads]
    print(f"8 pushes at once: {time.monotonic() - began:.1f} s")
    assert all(done[0][0] == 0 for done in results.values()), results
    with live.hub.store("co-op") as store:
        assert len(state(store)) == 8
        store.git.run("fsck", "--strict")
    for one, who in zip(made, range(8), strict=True):
        from sprayout_library.sync import join_remote

        shops.as_(f"shop{who}")
        join_remote(one, "hub", live.address, shops.now)
    assert {store.head for store in made} == {head_at_hub(live)}
