"""Syncing in bulk: ratios within one run, printed beside their goals and never judged."""

import os
import random
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from sprayout_core.compare import Add, Put, edit
from sprayout_core.documents import from_tree, made, parse, stored, tree, uuid7
from sprayout_library.store import Git, Store
from sprayout_library.store.layout import path_of
from sprayout_library.store.objects import EMPTY_TREE, Pile
from sprayout_library.store.reader import ObjectReader, bulk
from sprayout_library.store.refs import MAIN, move
from sprayout_library.store.trees import changed_tree, listed, trees_of
from sprayout_library.store.writing import Author, Written, write_edit
from sprayout_library.sync import add_remote, make_shared_folder, remotes, sync
from sprayout_library.sync.folding import fold
from sprayout_library.sync.gate import judged
from sprayout_library.sync.syncing import _Sync

pytestmark = pytest.mark.benchmark
NOW = datetime(2026, 3, 2, 9, 10, tzinfo=UTC)
AT = "2026-03-02T09:10:00Z"
DRAW = random.Random(7)


def new_id(number):
    return uuid7(1_770_000_000_000 + number, DRAW.randbytes(10))


def library(folder, count):
    """A library of `count` formulas of 3.8 kB in one commit, written past the models: only its making is quick."""
    store = Store.create(folder, NOW)
    parts = [new_id(number) for number in range(5)]
    text = "a remark of some words about how it was laid and what it looked like in the sun; " * 3 + "so."
    example = made(
        "formula",
        {
            "title": "Mix",
            "mix": {"basis": "volume", "scale": "1", "order": parts,
                    "items": {part: {"kind": "material", "ratio": 3 + place} for place, part in enumerate(parts)}},
            "notes": [{"text": text, "by": "ada", "at": AT} for _ in range(8)],
            "tags": ["candy", "bench", "slow"],
        },
        copy=store.copy_id, provenance={"at": AT, "tool": "benchmark", "by": "ada"}, id=new_id(99),
    )  # fmt: skip
    plain = tree(example)
    contents = {}
    for number in range(count):
        name = new_id(100 + number)
        items = dict(plain["mix"]["items"])
        items[parts[4]] = {"kind": "material", "ratio": 8 + number % 90}
        value = plain | {"id": name, "title": f"Mix {number}", "mix": plain["mix"] | {"items": items}}
        contents[path_of("formula", name)] = stored(value)
    commit = write_edit(store, None, contents, Written("edit", "all of it", Author("ada", NOW)), store.copy_id)
    move(store.git, {f"refs/heads/shops/{store.copy_id}": (None, commit), MAIN: (None, commit)}, "made")
    store.refresh()
    store.git.run("repack", "-adq", seconds=3600)
    store.close()
    return store, [path.rpartition("/")[2].removesuffix(".json") for path in contents]


def change(store, names, how, message):
    """One commit that edits many documents; `how` gives the change for each."""
    documents = []
    for number, name in enumerate(names):
        document = store.get(name)
        documents.append(edit(document, store.copy_id, [how(number, document)], AT))
    store.save(documents, message, "ada", NOW)


def retitled(number, document):
    return Put("title", f"{document.title} changed")


def remixed(by):
    def how(number, document):
        plain = tree(document)["mix"]
        first = next(iter(plain["items"]))
        plain["items"][first] = {"kind": "material", "ratio": plain["items"][first]["ratio"] + by}
        return Put("mix", plain)

    return how


def both_sides(folder, count):
    """Two copies; each changed a fifth, a twentieth in common, a hundredth in real disagreement."""
    a, names = library(folder / "a", count)
    shutil.copytree(a.folder, folder / "b")
    b = Store.open(folder / "b")
    assert b.copy_id != a.copy_id
    many, common, apart = count // 5, count // 20, count // 100
    DRAW.shuffle(names)
    shared, rest = names[:common], names[common:]

    def mixed(side):
        other = remixed(7 if side == "a" else 13)
        quiet = retitled if side == "a" else (lambda number, document: Add("tags", "seen"))
        return lambda number, document: (other if number < apart else quiet)(number, document)

    for side, store, own in (("a", a, rest[: many - common]), ("b", b, rest[many : 2 * many - common])):
        changes = mixed(side)
        chosen = [*shared, *own]
        change(store, chosen, lambda n, d, c=changes: c(n, d) if n < common else retitled(n, d), f"side {side}")
    return a, b


def timed(act, times=3, before=lambda: None):
    best = float("inf")
    for _ in range(times):
        before()
        start = time.perf_counter()
        result = act()
        best = min(best, time.perf_counter() - start)
    return best, result


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "home"))
    return tmp_path


def merges(folder, b, heads, ours):
    """Both merges of the same commits, each into an object folder of its own that begins empty."""
    known = b.folder / "objects"

    def place():
        shutil.rmtree(folder, ignore_errors=True)
        (folder / "info").mkdir(parents=True)

    def text_merge():
        env = {**os.environ, "GIT_OBJECT_DIRECTORY": str(folder), "GIT_ALTERNATE_OBJECT_DIRECTORIES": str(known)}
        words = ["git", f"--git-dir={b.folder}", "merge-tree", "--write-tree", ours, *heads.values()]
        return subprocess.run(words, capture_output=True, check=False, env=env).stdout

    git = Git(b.folder, objects=folder, alternate=known)

    def gate():
        verdict = judged(git, heads, [ours], ours=ours)
        assert not verdict.refused

    def whole():
        gate()
        reader = ObjectReader(git)
        try:
            with Pile() as pile:
                target = fold(git, trees_of(git, reader), [*heads.values(), ours], pile)
                pile.write(git)
                return target
        finally:
            reader.close()

    return place, text_merge, gate, whole


def test_semantic_merge_with_the_gate_against_a_text_merge(home, figure):
    count = int(os.environ.get("SPRAYOUT_BENCH", "10000"))
    a, b = both_sides(home, count)
    subprocess.run(["git", "-C", str(b.folder), "fetch", "-q", str(a.folder), "main:refs/incoming/a"], check=True)
    b.git.run("repack", "-adq", seconds=3600)
    place, text_merge, gate, whole = merges(home / "made", b, {a.copy_id: a.head}, b.head)
    text, said = timed(text_merge, 5, place)
    again, _ = timed(text_merge, 5)
    gated, _ = timed(gate, 5)
    ours, target = timed(whole, 5, place)
    target_git = Git(b.folder, objects=home / "made", alternate=b.folder / "objects")
    asked = sum(b'"questions"' in content for _, content in bulk(target_git, all_blobs(target_git, target)))
    assert asked == count // 100
    conflicts = said.count(b"CONFLICT (content)")
    print(
        f"\n{count} documents, {count // 5} changed on both sides, {count // 20} in common; asked about {asked} of them"
    )
    beside = f"{text:.3f} s, {conflicts} conflicts; ours {ours:.3f} s, of it the gate {gated:.3f} s"
    figure(
        "a whole merge with the gate", ours / text, "times a text merge that writes what it made", beside, "at most 3"
    )
    figure(
        "the same", ours / again, "times a text merge whose result lies there already", f"{again:.3f} s", "at most 3"
    )
    a.close()
    b.close()


def all_blobs(git, commit):
    return [blob for _, blob in listed(git, commit)]


_HEAD = (
    "import sys, time\nfrom datetime import UTC, datetime\nfrom pathlib import Path\n"
    "from sprayout_library.store import Store\nfrom sprayout_library.sync import clone, remotes, sync\n"
    "now, start = datetime(2026, 3, 2, tzinfo=UTC), time.perf_counter()\n"
)
_TAIL = (
    "store.close()\nlines = Path('/proc/self/status').read_text().splitlines()\n"
    "peak = int(next(line for line in lines if line.startswith('VmHWM')).split()[1]) / 1024\n"
    "print(f'{peak:.0f} {len(report.received)} received in {time.perf_counter() - start:.1f} s')\n"
)
CLONE = _HEAD + "store, report = clone(Path(sys.argv[1]), sys.argv[2], now)\n" + _TAIL
SYNC = _HEAD + "store = Store.open(Path(sys.argv[1]))\nreport = sync(store, remotes(store)['hub'], now)\n" + _TAIL


def measured(program, *words):
    """Peak memory of a program that runs in a process of its own, and what it says beside."""
    said = subprocess.run([sys.executable, "-c", program, *map(str, words)], capture_output=True, check=True, text=True)
    peak, _, beside = said.stdout.strip().partition(" ")
    return float(peak), "MB", beside


def one_sync(folder, count):
    """Seconds of a sync that brings 100 changed documents: all of it, our own part, the push."""
    a, names = library(folder / "a", count)
    make_shared_folder(folder / "hub")
    shutil.copytree(a.folder, folder / "b")
    b = Store.open(folder / "b")
    assert b.copy_id
    for store in (a, b):
        add_remote(store, "hub", str(folder / "hub"))
        sync(store, remotes(store)["hub"], NOW)
    change(a, names[:100], retitled, "a hundred")
    change(b, names[50:60], lambda number, document: Add("tags", "seen"), "ten")
    sync(a, remotes(a)["hub"], NOW)
    parts = {"fetch": 0.0, "send": 0.0}
    fetched, sent = _Sync._fetched, _Sync._send

    def watched(what, act):
        def inner(*words):
            start = time.perf_counter()
            try:
                return act(*words)
            finally:
                parts[what] += time.perf_counter() - start

        return inner

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(_Sync, "_fetched", watched("fetch", fetched))
        patched.setattr(_Sync, "_send", watched("send", sent))
        start = time.perf_counter()
        report = sync(b, remotes(b)["hub"], NOW)
        whole = time.perf_counter() - start
    assert len(report.received) == 100 and not report.refused and report.at_remote
    start = time.perf_counter()
    b.save([edit(b.get(names[0]), b.copy_id, [Add("tags", "one more")], AT)], "one", "ada", NOW)
    saved = time.perf_counter() - start
    change(a, names[100:200], retitled, "another hundred")
    sync(a, remotes(a)["hub"], NOW)
    a.close()
    b.close()
    return measured(SYNC, b.folder), whole, whole - parts["fetch"] - parts["send"], parts["send"], saved


def test_a_hundred_changes_in_a_large_library(home, figure):
    _, *small = one_sync(home / "small", 10_000)
    large_memory, *large = one_sync(home / "large", int(os.environ.get("SPRAYOUT_BENCH_LARGE", "100000")))
    named = ("sync of 100 changes", "our own part of it", "sending", "saving one document")
    goals = ("", "at most 2.5", "at most 4", "at most 1.5")
    for name, few, many, goal in zip(named, small, large, goals, strict=True):
        figure(f"{name} in 100,000 documents", many / few, "times in 10,000", f"{few:.3f} s, {many:.3f} s", goal)
    figure("memory of a sync in 100,000 documents", *large_memory, "at most 300")


def test_memory_of_taking_in_a_large_library(home, figure):
    """A first sync of 30,000 documents in a process of its own."""
    a, _ = library(home / "a", 30_000)
    make_shared_folder(home / "hub")
    add_remote(a, "hub", str(home / "hub"))
    sync(a, remotes(a)["hub"], NOW)
    a.close()
    figure("memory of a first sync of 30,000 documents", *measured(CLONE, home / "b", home / "hub"), "at most 300")


def test_the_making_of_these_libraries_is_sound(home):
    """What the benchmark writes past the models is what they would have written."""
    store, names = library(home / "a", 20)
    for name, content in store.raw():
        assert name in names
        assert stored(tree(from_tree(parse(content)))) == content
    with Pile() as pile:
        assert changed_tree(lambda names: {}, EMPTY_TREE, {}, pile) == EMPTY_TREE
    store.close()
    assert Path(store.folder).exists()
