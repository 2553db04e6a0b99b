"""The other ways of a sync: by ssh, with other rules, with a hub that folds, with a look at what would leave."""

import os
import shutil
import sys

import pytest
from tests.library.shops import Put, git, state

from sprayout_core import compare
from sprayout_library.store import commits
from sprayout_library.store.care import STALE
from sprayout_library.sync import (
    RemoteError,
    UnreachableError,
    add_remote,
    fold_here,
    join_remote,
    leaving,
    remotes,
    set_private,
    sync,
)


@pytest.fixture
def pair(bench):
    bench.a = bench.joined("a")
    bench.teal = bench.material(bench.a, "Weak teal")
    bench.save(bench.a, bench.teal)
    bench.sync(bench.a)
    bench.b, _ = bench.clone("b")
    return bench


@pytest.mark.skipif(sys.platform == "win32", reason="the stand-in for ssh is a shell script")
def test_by_ssh(pair, monkeypatch):
    """A stand-in for ssh runs the command here; it sees what git would send to the other machine."""
    stand_in = pair.folder / "bin" / "ssh"
    stand_in.parent.mkdir()
    stand_in.write_text(
        f'#!/bin/sh\necho "$@" >> {pair.folder}/called\n'
        'while [ "$1" != "hub.example.org" ]; do shift; done\nshift\nexec sh -c "$*"\n'
    )
    stand_in.chmod(0o755)
    monkeypatch.setenv("PATH", f"{stand_in.parent}{os.pathsep}{os.environ['PATH']}")
    add_remote(pair.a, "hub", f"ssh://hub.example.org{pair.folder}/hub")
    pair.edit(pair.a, pair.teal.id, Put("title", "Teal"))
    assert pair.sync(pair.a).at_remote
    pair.sync(pair.b)
    pair.edit(pair.b, pair.teal.id, Put("title", "Tealer"))
    pair.sync(pair.b)
    assert pair.sync(pair.a).received == [pair.teal.id]
    called = (pair.folder / "called").read_text()
    assert "-oBatchMode=yes" in called
    assert "git-receive-pack" in called and "git-upload-pack" in called


def test_a_host_that_does_not_answer(pair):
    add_remote(pair.a, "hub", "https://127.0.0.1:9/co-op")
    with pytest.raises(UnreachableError, match="goes out next time") as told:
        pair.sync(pair.a)
    assert "could not be reached" in str(told.value) and "git" not in str(told.value)


def test_an_address_without_a_library(pair, tmp_path):
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "x.txt").write_text("x")
    with pytest.raises(Exception, match="holds no library"):
        join_remote(pair.a, "far", str(tmp_path / "empty"), pair.now)
    assert "far" not in remotes(pair.a)


def test_a_copy_with_other_rules_makes_no_fold_and_everyone_says_so(pair, monkeypatch):
    """b's program is of a later edition: its commits say rules=2, and a makes no fold with them, only edits."""
    with monkeypatch.context() as later:
        later.setattr(commits, "FOLD_RULES", 2)
        later.setattr(compare, "fold_message", lambda: "fold rules=2")
        pair.edit(pair.b, pair.teal.id, Put("title", "By rules 2"))
        pair.sync(pair.b)
    pair.edit(pair.a, pair.teal.id, Put("title", "By rules 1"))
    head = pair.a.head
    report = pair.sync(pair.a)
    assert report.folded is None
    assert "rules 2" in report.notes[0] and "nothing is brought together here" in report.notes[0]
    assert pair.a.head == head
    assert report.at_remote  # our own edits go out all the same


def test_forward_to_a_head_by_other_rules_that_holds_all_of_ours(pair, monkeypatch):
    pair.edit(pair.a, pair.teal.id, Put("title", "Mine"))
    pair.sync(pair.a)
    pair.sync(pair.b)
    with monkeypatch.context() as later:
        later.setattr(commits, "FOLD_RULES", 2)
        pair.edit(pair.b, pair.teal.id, Put("title", "By rules 2"))
        pair.sync(pair.b)
    report = pair.sync(pair.a)
    assert report.folded is None and report.refused == []
    assert pair.a.get(pair.teal.id).title == "By rules 2"


def test_a_hub_folds_what_was_pushed_into_it(pair):
    pair.remote(pair.a, "straight", pair.folder / "third")
    third = pair.shop("third")
    for store, title in ((pair.a, "A"), (pair.b, "B")):
        pair.edit(store, pair.teal.id, Put("title", title))
        git(store.folder, "push", "-q", str(third.folder), f"main:refs/heads/shops/{store.copy_id}")
    report = fold_here(third, pair.now)
    assert report.folded == third.head
    assert len(third.get(pair.teal.id).questions["title"]) == 2
    pair.sync(pair.a)
    pair.sync(pair.b)
    assert pair.b.head == third.head  # without the hub, the same commit


def test_what_would_leave_is_told_and_nothing_is_sent(pair):
    hub = remotes(pair.a)["hub"]
    assert leaving(pair.a, hub).documents == []
    violet = pair.material(pair.a, "Violet")
    pair.save(pair.a, violet)
    found = leaving(pair.a, hub)
    assert (found.documents, found.kinds, found.first, found.unusual) == ([violet.id], {"material": 1}, False, False)
    set_private(pair.a, "the customer's own")
    assert leaving(pair.a, hub).unusual
    set_private(pair.a, "")
    assert git(pair.folder / "hub", "rev-parse", f"refs/heads/shops/{pair.a.copy_id}") != pair.a.head


def test_a_first_share_is_unusual(bench):
    a = bench.shop("a")
    bench.save(a, bench.material(a, "Weak teal"))
    from sprayout_library.sync import make_shared_folder

    make_shared_folder(bench.folder / "hub")
    add_remote(a, "hub", str(bench.folder / "hub"))
    found = leaving(a, remotes(a)["hub"])
    assert found.first and found.unusual


def test_a_dead_lock_on_our_own_branch_in_a_shared_folder_is_cleared(pair):
    lock = pair.folder / "hub" / "refs/heads/shops" / f"{pair.a.copy_id}.lock"
    lock.touch()
    pair.edit(pair.a, pair.teal.id, Put("title", "Teal"))
    report = pair.sync(pair.a)
    assert not report.at_remote and "goes out next time" in report.notes[-1]  # it may be alive
    old = lock.stat().st_mtime - STALE - 1
    os.utime(lock, (old, old))
    assert pair.sync(pair.a).at_remote


def test_two_syncs_of_one_library_wait_for_each_other(pair):
    from concurrent.futures import ThreadPoolExecutor

    pair.edit(pair.a, pair.teal.id, Put("title", "Teal"))
    stores = [pair.open("a") for _ in range(3)]
    with ThreadPoolExecutor(3) as pool:
        reports = list(pool.map(lambda store: sync(store, remotes(store)["hub"], pair.now), stores))
    assert all(report.at_remote for report in reports)


def test_a_shallow_copy_is_refused_with_the_reason(pair, tmp_path):
    git(tmp_path, "clone", "-q", "--bare", "--depth", "1", f"file://{pair.folder}/hub", "cut")
    if not (tmp_path / "cut" / "shallow").exists():
        (tmp_path / "cut" / "shallow").write_text(pair.a.head + "\n")
    with pytest.raises(Exception, match="history cut off"):
        join_remote(pair.a, "far", str(tmp_path / "cut"), pair.now)


def test_a_failed_clone_leaves_nothing(pair, tmp_path):
    from sprayout_library.sync import clone

    with pytest.raises((RemoteError, UnreachableError)):
        clone(tmp_path / "new", "https://127.0.0.1:9/co-op", pair.now)
    assert not (tmp_path / "new").exists()


def test_a_library_on_another_disk_is_another_copy(pair, tmp_path):
    shutil.copytree(pair.a.folder, tmp_path / "elsewhere")
    other = pair.open("elsewhere")
    assert state(other) == state(pair.a)
    assert remotes(other) == {}
