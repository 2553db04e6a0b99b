"""Speed and memory of taking readings in, from the file to the saved library: ratios, printed, never judged."""

import io
import json
import os
import random
import subprocess
import sys
import time
from datetime import UTC, datetime

import pytest

from sprayout_library.record import Writer
from sprayout_library.store import Store, path_of
from sprayout_library.store.git import environment

pytestmark = pytest.mark.benchmark

READINGS, BANDS = 100_000, list(range(400, 701, 10))
TAKE = r"""
import json, re, sys, time
from datetime import UTC, datetime
from pathlib import Path
library, table = Path(sys.argv[1]), Path(sys.argv[2])
from sprayout_library.inbox import Batch, Inbox, Readers, copied
from sprayout_library.record import Writer
from sprayout_library.record.placing import Spots
from sprayout_library.store import Store
told = {"scale": "percent", "geometry": "45:0", "stage": "bare", "repeats": "replicates"}
start = time.perf_counter()
with Store.open(library) as store:
    writer, readers, spots = Writer(store, "ada"), Readers(), Spots(store)
    inbox = Inbox(store, writer.clock)
    with copied(table) as copy, inbox.turn():
        plugin, preview = readers.preview(copy.source, told).ready()
        seen = time.perf_counter()
        batch = Batch(writer, inbox, spots)
        outcome = batch.take(copy, table, "", readers.rows(copy.source, plugin, told))
        batch.save()
took = time.perf_counter()
peak = re.search(r"VmHWM:\s*(\d+)", Path("/proc/self/status").read_text()) if sys.platform == "linux" else None
print(json.dumps({"seconds": took - start, "preview": seen - start, "fresh": len(outcome.fresh),
                  "known": len(outcome.known), "peak_mb": int(peak[1]) // 1024 if peak else 0}))
"""


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A library with 100 panels (invented), and a table of readings of them."""
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    with Store.create(tmp_path / "library", datetime(2026, 3, 2, tzinfo=UTC)) as store:
        writer = Writer(store, "ada")
        writer.save([writer.new("panel", {"label": f"KF-{number}"}) for number in range(100)], "Panels")
    dice = random.Random(11)
    table = tmp_path / "many.csv"
    with table.open("w", encoding="utf-8", newline="") as out:
        out.write("Sample;" + ";".join(f"R{band}" for band in BANDS) + "\n")
        for number in range(READINGS):
            values = (f"{dice.uniform(2, 95):.3f}".replace(".", ",") for _ in BANDS)
            out.write(f"KF-{number % 100};" + ";".join(values) + "\n")
    return tmp_path / "library", table


def fast_import(library, folder, environ=None):
    """Return the seconds git needs for the same ready documents: as it comes, or under an environment."""
    with Store.open(library) as store:
        documents = list(store.raw("reading"))
    subprocess.run(["git", "init", "--quiet", "--bare", str(folder)], check=True)
    stream = io.BytesIO()
    stream.write(b"commit refs/heads/main\ncommitter a <a@example.org> 0 +0000\ndata 1\nx")
    for name, content in documents:
        stream.write(f"\nM 100644 inline {path_of('reading', name)}\ndata {len(content)}\n".encode() + content)
    stream.write(b"\ndone\n")
    command = ["git", f"--git-dir={folder}", "fast-import", "--quiet", "--done"]
    return timed(lambda: subprocess.run(command, input=stream.getvalue(), check=True, env=environ))


def timed(work):
    """Return (seconds by the clock, seconds of processor time) of work done by processes that ended."""
    start, before = time.perf_counter(), os.times()
    done = work()
    after = os.times()
    spent = after.children_user + after.children_system - before.children_user - before.children_system
    return time.perf_counter() - start, spent, done


def taken(library, table):
    command = [sys.executable, "-c", TAKE, str(library), str(table)]
    _, spent, told = timed(lambda: subprocess.run(command, check=True, capture_output=True, text=True))
    return json.loads(told.stdout) | {"spent": spent}


def test_a_hundred_thousand_readings_taken_in(bench, tmp_path, figure):
    library, table = bench
    first = taken(library, table)
    assert first["fresh"] == READINGS
    ready, ready_spent, _ = fast_import(library, tmp_path / "bare")
    _, keeping_spent, _ = fast_import(library, tmp_path / "keeping", environment())
    again = taken(library, table)
    assert (again["fresh"], again["known"]) == (0, READINGS)
    what = f"{READINGS:,} readings x {len(BANDS)} bands taken in"
    figure(
        f"{what}, processor time",
        first["spent"] / ready_spent,
        "times fast-import of the same ready documents",
        f"{first['spent']:.1f} s and {ready_spent:.1f} s",
        "at most 2",
    )
    figure(
        f"{what}, processor time, git told to keep its memory", first["spent"] / keeping_spent,
        "times fast-import of the same ready documents", f"{first['spent']:.1f} s and {keeping_spent:.1f} s",
    )  # fmt: skip
    figure(
        f"{what}, by the clock",
        first["seconds"] / ready,
        "times fast-import of the same ready documents",
        f"{first['seconds']:.1f} s (of which preview {first['preview']:.1f} s) and {ready:.1f} s",
        "at most 2",
    )
    figure(f"{what}, peak memory", first["peak_mb"], "MB", "", "at most 200")
    figure(
        f"the same {READINGS:,} again, nothing new", again["seconds"] / first["seconds"], "times the first time",
        f"{again['seconds']:.1f} s",
    )  # fmt: skip
