"""An inflow killed at every step: all of it or nothing, nothing damaged, and the same again goes through."""

import signal
import subprocess
import sys

import pytest
from tests.library.shops import text

from sprayout_library.store import Store, check, repair

pytestmark = [pytest.mark.long, pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX has them")]

CHILD = r"""
import os, signal, sys
from datetime import datetime, UTC
from pathlib import Path
from sprayout_core.documents import made, write
from sprayout_library.store import Author, Store, Written, path_of
from sprayout_library.store import inflow as room, store as shelf
folder, step = Path(sys.argv[1]), sys.argv[2]

def killed(real, count=1):
    left = [count]
    def now(*words, **more):
        left[0] -= 1
        if not left[0]:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*words, **more)
    return now

def killed_after(real):
    def now(*words, **more):
        found = real(*words, **more)
        os.kill(os.getpid(), signal.SIGKILL)
        return found
    return now

stream = room._Stream
if step == "begun":
    stream.begun = classmethod(killed_after(stream.begun.__func__))
elif step == "on the way":
    stream.blob = killed(stream.blob, 650)
elif step == "before the tree":
    stream.tree = killed(stream.tree)
elif step == "after the tree":
    stream.tree = killed_after(stream.tree)
elif step == "one file moved":
    Path.replace = killed_after(Path.replace)
elif step == "pack moved":
    stream.settle = killed_after(stream.settle)
elif step == "commit written":
    room.write_commit = killed_after(room.write_commit)
elif step == "references moved":
    room.move = killed_after(room.move)
with Store.open(folder) as store, store.inflow() as flowing:
    for number in range(700):
        facts = {"panel": "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10", "stage": {"surface": "bare"}, "grade": "typed",
                 "measured": [{"geometry": "45:0", "coordinates":
                               {"lab": [number / 10, 1.5, -2.5], "illuminant": "D65", "observer": 10}}]}
        one = made("reading", facts, copy=store.copy_id, provenance={"at": sys.argv[3], "tool": "tests", "by": "ada"})
        flowing.add(path_of("reading", one.id), write(one))
    flowing.finish(Written("edit", "many", Author("ada", datetime(2026, 3, 2, tzinfo=UTC))))
"""
STEPS = ["begun", "on the way", "before the tree", "after the tree", "one file moved", "pack moved", "commit written",
         "references moved"]  # fmt: skip


def run(store, step, at):
    return subprocess.run([sys.executable, "-c", CHILD, str(store.folder), step, at], capture_output=True, check=False)


@pytest.mark.parametrize("step", STEPS)
def test_killed(bench, step):
    store = bench.shop("a")
    bench.save(store, bench.material(store, "Weak teal"))
    before, at = store.head, text(bench.now)
    assert run(store, step, at).returncode == -signal.SIGKILL
    with Store.open(store.folder) as after:
        whole = step == "references moved"
        assert len(list(after.raw("reading"))) == (700 if whole else 0)
        assert whole or after.head == before
        after.git.run("fsck", "--full", "--connectivity-only")
    done = run(store, "", at)
    assert done.returncode == 0, done.stderr
    with Store.open(store.folder) as after:
        assert len(list(after.raw("reading"))) == 700
        after.git.run("fsck", "--strict", "--full")
        assert not check(after, bench.now).faults
        repair(after)
