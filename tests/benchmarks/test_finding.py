"""How fast things are found, and what the index costs, as ratios in one run. Sizes by SPRAYOUT_SCALE (1 = 100,000)."""

import os
import resource
import statistics
import subprocess
import sys
import time
from functools import partial

import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_core.documents import proof, read
from sprayout_core.documents.text import stored
from sprayout_library.index import Index, Question, find, nearest
from sprayout_library.index.slim import decoder
from sprayout_library.index.standing import folder_of
from sprayout_library.store import Store, path_of

pytestmark = pytest.mark.benchmark
SCALE = float(os.environ.get("SPRAYOUT_SCALE", "0.02"))
PANELS = int(100_000 * SCALE)
ANGLES = ("45as15", "45as45", "45as110")
AT = {"at": "2026-03-02T09:10:00Z", "tool": "a benchmark"}


def p95(times):
    return sorted(times)[int(0.95 * len(times))]


def timed(action):
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def whole_array(target, colours, count):
    far = np.max([ciede2000(one, rows) for one, rows in zip(target, colours, strict=True)], axis=0)
    return np.argsort(far, kind="stable")[:count]


def test_nearest_ten_of_a_hundred_thousand_panels_at_three_angles():
    from scipy.spatial import cKDTree

    random = np.random.default_rng(5)
    base = random.uniform((5, -50, -50), (95, 50, 50), (100_000, 3))
    colours = [base * (1.2, 1, 1) + random.normal(0, 3, base.shape), base, base * (0.6, 1, 1)]
    targets = [np.array([one[row] for one in colours]) + random.normal(0, 2, (3, 3)) for row in range(100)]
    tree = cKDTree(np.hstack(colours))
    ours, whole, wrong, first = [], [], 0, 0
    for target in targets:
        ours.append(timed(lambda target=target: nearest(target, colours, 10)))
    for target in targets[:20]:
        whole.append(timed(lambda target=target: whole_array(target, colours, 10)))
    trees = [timed(lambda target=target: tree.query(target.ravel(), 10)) for target in targets]
    for target in targets:
        exact, near = nearest(target, colours, 10)[0].tolist(), tree.query(target.ravel(), 10)[1].tolist()
        wrong += set(exact) != set(near)
        first += exact[0] != near[0]
    print(f"\nnearest 10 of 100,000 at three angles: p95 {p95(ours) * 1e3:.1f} ms (aim 50)")
    print(
        f"whole arrays p95 {p95(whole) * 1e3:.1f} ms, {statistics.median(whole) / statistics.median(ours):.1f} x ours"
    )
    print(f"k-d tree in L*a*b* p95 {p95(trees) * 1e3:.2f} ms; another ten in {wrong} of 100, another first in {first}")


def name(kind, number):
    version = "8" if kind == "r" else "7"
    return f"01926f39-{ord(kind):04x}-{version}e8a-b6c7-{(number * 0x9E3779B97F4A7) % 2**48:012x}"


def documents():
    """Dyes, mixes of two, a panel of each, ten readings of each panel at three angles: (kind, id, stored form)."""
    head = {"format": "sprayout/1.0", "provenance": AT, "seen": {"k7f3q2": 1}, "made": "k7f3q2.1"}
    random = np.random.default_rng(6)
    dyes = [name("m", number) for number in range(50)]
    for number, dye in enumerate(dyes):
        yield "material", dye, stored({**head, "id": dye, "kind": "material", "title": f"dye {number}", "role": "dye"})
    proofs = []
    for number in range(PANELS):
        one, two = dyes[number % 50], dyes[(number * 7 + 1 + number % 50) % 50]
        two = two if two != one else dyes[(number + 1) % 50]
        items = {one: {"kind": "material", "ratio": 2 * (number % 40) + 1}, two: {"kind": "material", "ratio": 2}}
        mix = {"basis": "volume", "items": items}
        title = f"kelp {number} fern {number % 97}"
        text = stored({**head, "id": name("f", number), "kind": "formula", "title": title, "mix": mix})
        proofs.append(proof(read(text)))
        yield "formula", name("f", number), text
    for number in range(PANELS):
        coats = [{"formula": name("f", number), "count": "3"}]
        said = {"coats": coats, "proofs": {name("f", number): proofs[number]}, "label": f"P{number}"}
        yield "panel", name("p", number), stored({**head, "id": name("p", number), "kind": "panel", **said})
    for number in range(10 * PANELS):
        spectra = np.round(random.uniform(0.05, 0.6, (3, 31)), 5).tolist()
        measured = [
            {"geometry": at, "spectrum": {"start_nm": 400, "end_nm": 700, "step_nm": 10, "values": values}}
            for at, values in sorted(zip(ANGLES, spectra, strict=True))
        ]
        said = {"panel": name("p", number % PANELS), "stage": {"surface": "bare"}, "grade": "spectrum"}
        said["measured"] = measured
        yield "reading", name("r", number), stored({**head, "id": name("r", number), "kind": "reading", **said})


def imported(store, many, parent=None):
    """Put documents in by fast-import, as one commit on this copy's branch; return their bytes by kind."""
    ref = f"refs/heads/shops/{store.copy_id}"
    sizes, kept = 0, []
    command = ["git", "-C", str(store.folder), "fast-import", "--quiet"]
    with subprocess.Popen(command, stdin=subprocess.PIPE) as child:
        pipe = child.stdin
        pipe.write(f"commit {ref}\ncommitter a <a@example.org> 1772442600 +0000\ndata 4\nmade\n".encode())
        if parent:
            pipe.write(f"from {parent}\n".encode())
        for kind, identity, text in many:
            pipe.write(f"M 100644 inline {path_of(kind, identity)}\ndata {len(text)}\n".encode() + text + b"\n")
            sizes += len(text)
            kept.append((kind, text) if len(kept) < 20_000 else None)
        pipe.close()
    assert child.returncode == 0
    store.refresh()
    return sizes, [one for one in kept if one], len(kept)


@pytest.mark.long
def test_a_large_library(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    from datetime import UTC, datetime

    store = Store.create(tmp_path / "library", datetime.now(UTC))
    raw, _, count = imported(store, documents())
    decoders = {kind: decoder(kind).decode for kind in ("material", "formula", "panel", "reading")}
    start, decoding = time.perf_counter(), 0.0
    for kind in decoders:
        for _, text in store.raw(kind):
            begun = time.perf_counter()
            decoders[kind](text)
            decoding += time.perf_counter() - begun
    reading = time.perf_counter() - start
    build = timed(lambda: Index.open(store).close())
    size = sum(path.stat().st_size for path in folder_of(store).iterdir())
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"\n{PANELS} formulas, {PANELS} panels, {10 * PANELS} readings: {count} documents, {raw / 1e6:.0f} MB raw")
    print(f"index {size / 1e6:.1f} MB, {100 * size / raw:.1f} % of the raw bytes; peak memory {peak:.0f} MB")
    print(f"built in {build:.1f} s: {build / decoding:.1f} x decoding (aim 4), {build / reading:.1f} x with git")
    some = [(kind, identity, text.replace(b"kelp", b"moss")) for _, (kind, identity, text) in
            zip(range(150), documents(), strict=False) if kind == "formula"]  # fmt: skip
    imported(store, some[:100], store.head)
    print(f"brought forward after 100 documents in {timed(lambda: Index.open(store).close()) * 1e3:.0f} ms")
    with Index.open(store) as index:
        words = [f"kelp {number * 37 % PANELS}" for number in range(100)] + ["kelp", "fern 9", "dye", "fern"] * 5
        times = [timed(lambda word=word: find(index, Question(words=word))) for word in words]
    print(f"words p95 {p95(times) * 1e3:.1f} ms (aim 50)")
    sprayout = [sys.executable, "-c", "from sprayout_library.cli.main import main; main()", "--library"]
    bare = statistics.median(timed(lambda: subprocess.run([sys.executable, "-c", "pass"])) for _ in range(7))
    for aim, words in ((10, ["kelp 7"]), (20, ["--near", "45as45=50 0 0"])):
        command = [*sprayout, str(store.folder), "find", *words]
        run = partial(subprocess.run, command, capture_output=True, check=True)
        cold = statistics.median(timed(run) for _ in range(7))
        print(f"find {' '.join(words)}: {cold / bare:.1f} bare interpreters (aim {aim}), {cold * 1e3:.0f} ms")
    store.close()
