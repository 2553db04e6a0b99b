"""Stopped anywhere: at each step of our own, at random moments, at every file system call; the next run completes."""

import json
import os
import random
import shutil
import signal
import subprocess
import sys
from collections import Counter
from contextlib import suppress
from pathlib import Path

import pytest
from tests.library.shops import Put, git, mix, state

from sprayout_library.store import FullDiskError, Git, StoreError, check
from sprayout_library.store.care import clear_locks
from sprayout_library.sync import SyncError

PROGRAM = """
import sys
from collections import Counter
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from sprayout_core.compare import Add, Put, edit, settle
from sprayout_core.documents import parse
from sprayout_library.store import Store
from sprayout_library.sync import remotes, sync

what, folder, name, text = sys.argv[1:]
at = datetime(2026, 3, 3, 8, 0, tzinfo=UTC)
with Store.open(Path(folder)) as store:
    print("ready", flush=True)
    if what == "save":
        document = store.get(name)
        document = edit(document, store.copy_id, [Add("notes", {"text": text})], "2026-03-03T08:00:00Z")
        store.save([document], text, "ada", at)
    elif what == "settle":
        answers = parse(store.content(name))["questions"]["mix"]
        value = answers[sorted(answers)[0]]["value"]
        document = settle(store.get(name), store.copy_id, "mix", value, "2026-03-03T08:00:00Z")
        store.save([document], text, "ada", at)
    elif what == "sync":
        sync(store, remotes(store)["hub"], at)
    print("done", flush=True)
"""


@pytest.fixture
def shops(bench):
    bench.a = bench.joined("a")
    bench.weak, bench.strong = (bench.material(bench.a, title) for title in ("Weak teal", "Strong teal"))
    bench.kelp = bench.formula(bench.a, "Kelp glass", {bench.weak.id: 9, bench.strong.id: 2})
    bench.save(bench.a, bench.weak, bench.strong, bench.kelp)
    bench.sync(bench.a)
    bench.b, _ = bench.clone("b")
    bench.edit(bench.a, bench.kelp.id, Put("mix", mix({bench.weak.id: 7, bench.strong.id: 2})))
    bench.edit(bench.b, bench.kelp.id, Put("mix", mix({bench.weak.id: 9, bench.strong.id: 5})))
    bench.edit(bench.b, bench.weak.id, Put("title", "Weaker teal"))
    bench.sync(bench.b)
    return bench


def intact(bench, store):
    """The library opens, reads whole, and stands at a state that was complete at some moment."""
    store.refresh()
    found = check(store, bench.now)
    assert found.sound, found.faults
    return store.head


def completes(bench, store):
    """The next run completes: everything of both shops is there, at one head, nothing invented."""
    for lock in [*store.folder.rglob("*.lock"), *(bench.folder / "hub").rglob("*.lock")]:
        if "refs" in lock.parts or lock.name in {"HEAD.lock", "packed-refs.lock"}:
            os.utime(lock, (0, 0))
    clear_locks(store)
    for lock in (bench.folder / "hub" / "refs").rglob("*.lock"):
        lock.unlink()  # what `sprayout` says to do at a shared folder after a crash there
    for _ in range(2):
        for shop in (store, bench.b):
            shop.refresh()
            assert bench.sync(shop).refused == []
    assert store.head == bench.b.head
    assert state(store) == state(bench.b)
    assert store.get(bench.weak.id).title == "Weaker teal"
    assert len(store.get(bench.kelp.id).questions["mix"]) == 2
    assert set(store.get(bench.kelp.id).questions) == {"mix"}


@pytest.mark.parametrize("stride", [13, pytest.param(1, marks=pytest.mark.long)])
def test_a_fault_at_each_of_our_own_steps(shops, monkeypatch, stride):
    """Every call to git that a sync with a fold makes fails once, in turn; each time the next sync completes."""
    template = shops.folder / "template"
    shutil.copytree(shops.folder / "a", template)
    shutil.copytree(shops.folder / "hub", shops.folder / "hub-template")
    calls, failing = [0], [0]
    start = Git.start

    def counted(self, *words, **how):
        calls[0] += 1
        if calls[0] == failing[0]:
            raise FullDiskError("the disk is full", "Nothing was changed. Make room and try again.")
        return start(self, *words, **how)

    monkeypatch.setattr(Git, "start", counted)
    shops.sync(shops.a)
    whole, heads = calls[0], {shops.a.head}
    assert whole > 20
    for step in range(1, whole + 1, stride):
        shops.a.close()
        shops.copy_inside(template, shops.folder / "a")
        shops.copy_inside(shops.folder / "hub-template", shops.folder / "hub")
        before = intact_head(shops)
        calls[0], failing[0] = 0, step
        with suppress(StoreError, SyncError):
            shops.sync(shops.a)
        failing[0] = 0
        assert intact(shops, shops.a) in {before, *heads}, f"step {step}"
        assert not (shops.a.folder / "incoming").exists()
        shops.sync(shops.a)
        heads.add(shops.a.head)
    assert len(heads) == 1, "the fold depends on where it was stopped"


def intact_head(shops):
    shops.a.refresh()
    return shops.a.head


def test_a_push_that_fails_leaves_everything_waiting(shops, monkeypatch):
    from sprayout_library.sync import syncing

    monkeypatch.setattr(syncing, "push", lambda *_, **__: {f"refs/heads/shops/{shops.a.copy_id}": "hook declined"})
    report = shops.sync(shops.a)
    assert not report.at_remote
    assert "goes out next time" in report.notes[-1]
    monkeypatch.undo()
    monkeypatch.setenv("SPRAYOUT_HOME", str(shops.folder / "home"))
    assert shops.sync(shops.a).at_remote


def _started(bench, what, text, wrapper=()):
    return subprocess.Popen(
        [*wrapper, sys.executable, "-c", PROGRAM, what, str(bench.folder / "a"), bench.kelp.id, text],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=os.environ.copy(),
    )  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("what", ["save", "settle", "sync"])
@pytest.mark.parametrize("block", range(10))
def test_killed_at_random_moments(shops, what, block):
    """17 kills a block, 10 blocks, 3 acts: 510 in all, each between the start of the act and its usual end."""
    draw = random.Random(block)
    if what == "settle":
        shops.sync(shops.a)
    shops.a.close()
    template, hub = shops.folder / "template", shops.folder / "hub-template"
    shutil.copytree(shops.folder / "a", template)
    shutil.copytree(shops.folder / "hub", hub)
    for kill in range(17):
        process = _started(shops, what, f"remark {kill}")
        assert process.stdout.readline() == b"ready\n"
        try:
            process.wait(timeout=draw.uniform(0, 0.25 if what == "sync" else 0.06))
        except subprocess.TimeoutExpired:
            process.send_signal(signal.SIGKILL)
            process.wait()
        finished = b"done" in process.stdout.read()
        process.stdout.close()
        _quiet(shops.folder / "a")
        shops.a.refresh()
        intact(shops, shops.a)
        texts = [note.text for note in (shops.a.get(shops.kelp.id).notes or {}).values()]
        if what == "save" and finished:
            assert f"remark {kill}" in texts
        if what == "settle":
            assert set(shops.a.get(shops.kelp.id).questions or {}) in ({"mix"}, set())
        shops.a.close()  # its reader would be taken for a child of the killed one
        if what != "save" and kill < 16:
            shops.copy_inside(template, shops.folder / "a")
            shops.copy_inside(hub, shops.folder / "hub")
    if what != "settle":
        completes(shops, shops.a)


def _quiet(folder):
    """Wait until git children that outlived their parent are gone, without sleeping on a guess."""
    import select

    for _ in range(500):
        said = subprocess.run(["pgrep", "-f", f"git-dir={folder}"], capture_output=True, check=False).stdout.split()
        mine = [pid for pid in said if pid != str(os.getpid()).encode()]
        if not mine:
            return
        select.select([], [], [], 0.01)


@pytest.mark.long
@pytest.mark.skipif(shutil.which("strace") is None, reason="needs strace")
@pytest.mark.parametrize("fault", ["signal=SIGKILL", "error=ENOSPC"])
def test_stopped_at_every_file_system_call_of_a_small_sync(shops, fault, tmp_path):
    """strace makes the n-th writing call of the sync, or of a child of it, fail, or kills it there: for every n.

    strace counts for each process by itself; the children are git's, and `test_a_fault_at_each_of_our_own_steps`
    ends each of them. A file that was opened and not written yet is what stands before its first write.
    """
    calls = "write,pwrite64,rename,renameat,renameat2,link,linkat,unlink,unlinkat,mkdir,fsync,fdatasync,ftruncate"
    shops.a.close()
    shutil.copytree(shops.folder / "a", tmp_path / "template")
    shutil.copytree(shops.folder / "hub", tmp_path / "hub-template")
    shutil.copytree(shops.folder / "b", tmp_path / "b-template")
    trace = tmp_path / "trace"
    process = _started(shops, "sync", "x", ["strace", "-f", "-qq", "-o", str(trace), "-e", f"trace={calls}"])
    if process.stdout.read().count(b"\n") != 2 or not trace.exists():
        pytest.skip("tracing is not allowed here")
    process.stdout.close()
    process.wait()
    lines = trace.read_text(errors="replace").splitlines()
    count = max(Counter(line.split(None, 1)[0] for line in lines).values())
    assert count > 20
    for when in range(1, count + 1):
        shops.a.close()
        shops.copy_inside(tmp_path / "template", shops.folder / "a")
        shops.copy_inside(tmp_path / "hub-template", shops.folder / "hub")
        shops.b.close()
        shops.copy_inside(tmp_path / "b-template", shops.folder / "b")
        wrapper = [
            "strace",
            "-f",
            "-qq",
            "-o",
            os.devnull,
            "-e",
            f"trace={calls}",
            "-e",
            f"inject={calls}:{fault}:when={when}",
        ]
        process = _started(shops, "sync", "x", wrapper)
        try:
            process.communicate(timeout=120)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()
            pytest.fail(f"hung at call {when}")
        _quiet(shops.folder / "a")
        intact(shops, shops.a)
        completes(shops, shops.a)
        shops.a.close()


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="a small disk is mounted on Linux only")
def test_a_really_full_disk(bench, tmp_path):
    """A library on a disk of two megabytes: saves until it is full, then room is made and it goes on."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(disk)], check=False, capture_output=True
    ).returncode:
        pytest.skip("no disk may be mounted here")
    try:
        store = bench.shop("disk/library")
        ballast = disk / "ballast"
        ballast.write_bytes(b"x" * 200_000)
        saved = []
        with pytest.raises(FullDiskError, match="disk is full"):
            for number in range(2000):
                teal = bench.material(store, f"Dye {number}", notes=[{"text": os.urandom(1500).hex()}])
                bench.save(store, teal)
                saved.append(teal.id)
        assert len(saved) > 3
        store.refresh()
        assert {name for name, _ in store.raw()} == set(saved)
        ballast.unlink()
        assert check(store, bench.now).sound
        last = bench.material(store, "After")
        bench.save(store, last)
        assert store.get(last.id).title == "After"
        store.close()
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=False)


WORKER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from sprayout_core.compare import Add, edit
from sprayout_library.store import Store
from sprayout_library.sync import remotes, sync

folder, name, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
first_try = 0
with Store.open(folder) as store:
    for number in range(count):
        at = datetime(2026, 3, 3, 8, number % 60, tzinfo=UTC)
        text = f"{folder.name} {number}"
        note = Add("notes", {"text": text})
        document = edit(store.get(name), store.copy_id, [note], at.strftime("%Y-%m-%dT%H:%M:%SZ"))
        store.save([document], text, folder.name, at)
        report = sync(store, remotes(store)["hub"], at)
        assert not report.refused, report.refused
        first_try += report.at_remote
print(first_try, flush=True)
"""


def at_once(bench, copies, edits):
    first = bench.joined("s0")
    weak = bench.material(first, "Weak teal")
    bench.save(first, weak)
    bench.sync(first)
    stores = [first, *(bench.clone(f"s{number}")[0] for number in range(1, copies))]
    workers = [
        subprocess.Popen(
            [sys.executable, "-c", WORKER, str(store.folder), weak.id, str(edits)],
            stdout=subprocess.PIPE, env=os.environ.copy(),
        )
        for store in stores
    ]  # fmt: skip
    said = [worker.communicate(timeout=1200)[0] for worker in workers]
    assert [worker.returncode for worker in workers] == [0] * copies
    assert [int(word) for word in said] == [edits] * copies, "an own branch was not taken at the first try"
    for _ in range(2):
        for store in stores:
            store.refresh()
            assert bench.sync(store).refused == []
    assert len({store.head for store in stores}) == 1
    document = first.get(weak.id)
    assert len(document.notes) == copies * edits
    assert not document.questions
    assert git(bench.folder / "hub", "fsck", "--strict") == ""


def test_three_copies_at_once_through_one_folder(bench):
    at_once(bench, 3, 2)


@pytest.mark.long
def test_eight_copies_with_fifty_edits_each_at_once(bench):
    at_once(bench, 8, 50)


def test_facts_are_written_whole(bench, monkeypatch):
    from sprayout_library.machine import shop_facts

    shop_facts().put("cups", {"small": 300})
    with monkeypatch.context() as patched:

        def killed(*_):
            raise KeyboardInterrupt

        patched.setattr(Path, "replace", killed)
        with pytest.raises(KeyboardInterrupt):
            shop_facts().put("cups", {"large": 900})
    assert shop_facts().get("cups") == {"small": 300}
    assert json.loads(shop_facts().path.read_text()) == {"cups": {"small": 300}}
    assert [path.name for path in shop_facts().path.parent.iterdir() if path.name.startswith(".")] == []
