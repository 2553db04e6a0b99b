"""How fast things are found, and what the index costs, as ratios in one run. Sizes by SPRAYOUT_SCALE (1 = 100,000)."""

import json
import os
import statistics
import subprocess
import sys
import time
from datetime import UTC, datetime
from functools import partial
from itertools import islice
from tempfile import TemporaryFile

import msgspec
import numpy as np
import pytest
from tests.benchmarks.large_library import documents, formula, imported, name

from sprayout_core.difference import ciede2000
from sprayout_library.index import Index, Near, Question, find, nearest, read_target
from sprayout_library.index.packed import in_pack_order
from sprayout_library.index.slim import decoder
from sprayout_library.index.standing import folder_of
from sprayout_library.index.stream import objects
from sprayout_library.store import Store

pytestmark = pytest.mark.benchmark
SCALE = float(os.environ.get("SPRAYOUT_SCALE", "0.02"))
PANELS = int(100_000 * SCALE)
AT = f"at {12 * PANELS:,} documents"


def p95(times):
    return 1e3 * sorted(times)[int(0.95 * len(times))]


def timed(action):
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def both(actions):
    """The seconds each action takes by the clock, and of processor time: on a busy machine they differ."""
    clock, busy = [], []
    for action in actions:
        start = time.process_time()
        clock.append(timed(action))
        busy.append(time.process_time() - start)
    return clock, busy


def whole_array(target, colours, count):
    far = np.max([ciede2000(one, rows) for one, rows in zip(target, colours, strict=True)], axis=0)
    return np.argsort(far, kind="stable")[:count]


def test_nearest_ten_of_a_hundred_thousand_panels_at_three_angles(figure):
    from scipy.spatial import cKDTree

    random = np.random.default_rng(5)
    base = random.uniform((5, -50, -50), (95, 50, 50), (100_000, 3))
    colours = [base * (1.2, 1, 1) + random.normal(0, 3, base.shape), base, base * (0.6, 1, 1)]
    targets = [np.array([one[row] for one in colours]) + random.normal(0, 2, (3, 3)) for row in range(100)]
    tree = cKDTree(np.hstack(colours))
    ours, busy = both([partial(nearest, target, colours, 10) for target in targets])
    whole = [timed(partial(whole_array, target, colours, 10)) for target in targets[:20]]
    trees = [timed(partial(tree.query, target.ravel(), 10)) for target in targets]
    wrong = first = 0
    for target in targets:
        exact, near = nearest(target, colours, 10)[0].tolist(), tree.query(target.ravel(), 10)[1].tolist()
        assert exact == whole_array(target, colours, 10).tolist()
        wrong += set(exact) != set(near)
        first += exact[0] != near[0]
    what = "nearest 10 of 100,000 at three angles"
    figure(f"{what}, p95", p95(ours), "ms", f"whole arrays {p95(whole):.0f} ms", "at most 50")
    figure(f"{what}, processor time p95", p95(busy), "ms", goal="at most 50")
    figure(f"{what}, whole arrays", statistics.median(whole) / statistics.median(ours), "times ours")
    beside = f"p95 {p95(trees):.2f} ms; another first in {first} of 100"
    figure(f"{what}: a k-d tree in L*a*b* gives other ten", wrong, "of 100 questions", beside)


def decoding(store):
    """Seconds that decoding every document takes: into the members the index needs, whole, whole by processor time,
    and with git before it.
    """
    typed = plain = busy = 0.0
    start = time.perf_counter()
    for kind in ("material", "formula", "panel", "reading"):
        decode = decoder(kind).decode
        listing = ("ls-tree", "-r", "--full-tree", "--format=%(objectname)", store.head, f"{kind}/")
        with TemporaryFile() as asked:
            asked.write(in_pack_order(store.git.run(*listing, seconds=600), store.folder))
            asked.seek(0)
            with store.git.started("cat-file", "--batch", "--buffer", given=asked) as contents:
                texts = (content for _, content in objects(contents.stdout))
                while some := list(islice(texts, 1000)):
                    typed += timed(lambda some=some, decode=decode: [None for text in some if decode(text) is None])
                    before = time.process_time()
                    plain += timed(lambda some=some: [None for text in some if msgspec.json.decode(text) is None])
                    busy += time.process_time() - before
    return typed, plain, busy, time.perf_counter() - start - plain


_BUILD = """
import json, resource, sys, time
from pathlib import Path
import sprayout_library.index.making
from sprayout_library.index import Index
from sprayout_library.store import Store
with Store.open(Path(sys.argv[1])) as store:
    start = time.perf_counter()
    Index.open(store, anew="a benchmark").close()
    took = time.perf_counter() - start
most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
own, git = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
print(json.dumps([took, most / 1024, own.ru_utime + own.ru_stime, git.ru_utime + git.ru_stime]))
"""


def library(folder, panels):
    store = Store.create(folder, datetime.now(UTC))
    return store, *imported(store, documents(panels))


def update(store, first):
    """Milliseconds until the index stands again after a hundred changed mixes came in."""
    changed = [("formula", name("f", number), formula(number, "moss")) for number in range(first, first + 100)]
    imported(store, changed, store.head)
    return 1e3 * timed(lambda: Index.open(store).close())


def test_a_large_library(tmp_path, monkeypatch, figure):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    store, count, raw = library(tmp_path / "library", PANELS)
    typed, plain, busy, reading = decoding(store)
    done = subprocess.run([sys.executable, "-c", _BUILD, str(store.folder)], capture_output=True, check=True, text=True)
    build, most, own, git = json.loads(done.stdout)
    size = sum(path.stat().st_size for path in folder_of(store).iterdir())
    print(f"\n{count} documents, {raw / 1e6:.0f} MB; decoding {typed:.1f} s, whole {plain:.1f}, with git {reading:.1f}")
    figure(
        f"index of a library {AT}", 100 * size / raw, "% of the raw bytes", f"{size / 1e6:.0f} of {raw / 1e6:.0f} MB"
    )
    beside = f"{build:.1f} s: {own:.1f} s ours and {git:.1f} s git's of processor time"
    figure(f"index made {AT}", build / plain, "times decoding the same bytes", beside, "at most 4")
    beside = f"{own + git:.1f} s and {busy:.1f} s; git's alone are {git / busy:.1f} times"
    figure(f"index made {AT}, processor time", (own + git) / busy, "times decoding the same bytes", beside)
    figure(f"index made {AT}, with git", build / reading, "times reading and decoding", f"{reading:.1f} s")
    figure(f"memory at most while the index is made {AT}", most, "MB")
    small, *_ = library(tmp_path / "small", 1000)
    for one in (small, store):
        Index.open(one).close()
        update(one, 0)  # the first loads what it takes
    ours, less = (statistics.median(update(one, first) for first in range(100, 600, 100)) for one in (store, small))
    figure(f"index after a sync of 100 {AT}", ours / less, "times the same at 12,050 documents", f"{ours:.0f} ms")
    with Index.open(store) as index:
        words = [f"kelp {number * 37 % PANELS}" for number in range(100)] + ["kelp", "fern 9", "dye", "fern"] * 5
        times = [timed(lambda word=word: find(index, Question(words=word))) for word in words]
        figure(f"words {AT}, p95", p95(times), "ms", goal="at most 50")
        lights = np.random.default_rng(7).uniform((20, -20, -20), (80, 20, 20), (60, 3))
        asked = [f"45as15={L} {a} {b}/45as45={L} {a} {b}/45as110={L} {a} {b}" for L, a, b in lights.round(2).tolist()]
        targets = [Near(read_target(index, text)) for text in asked]
        times, busy = both([partial(find, index, Question(near=near, limit=10)) for near in targets])
        what, beside = f"find by colour {AT}, three angles", f"first {1e3 * times[0]:.0f} ms"
        figure(f"{what}, p95", p95(times[1:]), "ms", beside, "at most 50")
        figure(f"{what}, processor time p95", p95(busy[1:]), "ms", goal="at most 50")
    cold(store, figure)
    store.close()
    small.close()


def cold(store, figure):
    sprayout = [sys.executable, "-c", "from sprayout_library.cli.main import main; main()", "--library"]
    asked = {"bare": [sys.executable, "-c", "pass"]}
    for what, words in (("words", ["kelp 7"]), ("colour", ["--near", "45as45=50 0 0"])):
        asked[what] = [*sprayout, str(store.folder), "find", *words]
    took = {what: [] for what in asked}
    for _ in range(9):
        for what, command in asked.items():
            took[what].append(timed(partial(subprocess.run, command, capture_output=True, check=True)))
    bare, words, colour = (statistics.median(took[what]) for what in asked)
    for what, one, goal in (("word", words, 10), ("colour", colour, 20)):
        beside = f"{1e3 * one:.0f} ms"
        figure(f"cold start of a {what} search {AT}", one / bare, "bare interpreter starts", beside, f"at most {goal}")
