"""A fault before and after each of our own steps of a save, a settling, a packet, a stick and a sync.

Whatever step fails: the library is sound, stands as before or as after, and the same act done again completes it.
"""

import errno
import functools
import importlib
import inspect
import pkgutil
import shutil
from collections import Counter

import pytest
from tests.library.shops import Put, mix, state

from sprayout_core.compare import Add, edit, settle
from sprayout_core.documents import parse
from sprayout_core.errors import SprayoutError
from sprayout_library.packet import gathered, look, packet_bytes, packet_from, take
from sprayout_library.store import check
from sprayout_library.sync import bundle, take_bundle

ROOMS = ("store", "sync", "packet")
TIMES = 2
ENDING = {"stop", "_signal_group"}
"""Steps that end a child process: they write nothing, and a child that is not ended would be the test's own fault."""
AT = "2026-03-03T08:00:00Z"


class Faults:
    """Counts the steps that are taken, and makes one of them fail.

    A step is a function of the rooms that save, sync and take packets in; its first two calls count, each before
    and after.
    """

    def __init__(self, monkeypatch):
        self.taken, self.calls, self.failing = [], Counter(), None
        rooms = tuple(f"sprayout_library.{room}" for room in ROOMS)
        for room in rooms:
            package = importlib.import_module(room)
            for found in pkgutil.walk_packages(package.__path__, f"{room}."):
                module = importlib.import_module(found.name)
                for name, step in list(vars(module).items()):
                    ours = inspect.isfunction(step) and step.__module__.startswith(rooms)
                    if ours and not name.startswith("__") and name not in ENDING:
                        monkeypatch.setattr(module, name, self._watched(step))

    def _watched(self, step):
        @functools.wraps(step)
        def watched(*words, **how):
            self.calls[step] += 1
            counted = self.calls[step] <= TIMES
            self._reach(f"before {step.__qualname__}", counted)
            result = step(*words, **how)
            self._reach(f"after {step.__qualname__}", counted)
            return result

        return watched

    def _reach(self, moment, counted):
        if counted:
            self.taken.append(moment)
            if self.failing == len(self.taken):
                raise OSError(errno.ENOSPC, f"no room {moment}")

    def begin(self, failing=None):
        self.taken, self.failing = [], failing
        self.calls.clear()


@pytest.fixture
def apart(bench):
    """Two shops that changed one mix; the first has an open question in another document too."""
    bench.a = bench.joined("a")
    bench.weak, bench.strong = (bench.material(bench.a, title) for title in ("Weak teal", "Strong teal"))
    parts = {bench.weak.id: 9, bench.strong.id: 2}
    bench.kelp, bench.moss = bench.formula(bench.a, "Kelp", parts), bench.formula(bench.a, "Moss", parts)
    bench.save(bench.a, bench.weak, bench.strong, bench.kelp, bench.moss)
    bench.sync(bench.a)
    bench.b, _ = bench.clone("b")
    for store, number in ((bench.a, 5), (bench.b, 4)):
        bench.edit(store, bench.moss.id, Put("mix", mix({bench.weak.id: 9, bench.strong.id: number})))
    for store in (bench.a, bench.b, bench.a):
        bench.sync(store)
    bench.edit(bench.a, bench.kelp.id, Put("mix", mix({bench.weak.id: 7, bench.strong.id: 2})))
    bench.edit(bench.b, bench.kelp.id, Put("mix", mix({bench.weak.id: 9, bench.strong.id: 5})))
    bench.edit(bench.b, bench.weak.id, Put("title", "Weaker teal"))
    bench.packet = packet_bytes(gathered(bench.b, [bench.b.get(bench.kelp.id)], {"by": "bo"}, str, {}))
    bench.stick = bundle(bench.b, bench.folder / "stick.bundle")
    bench.sync(bench.b)
    return bench


def save(bench):
    note = Add("notes", {"text": "one remark"})
    held = bench.a.get(bench.kelp.id)
    if all(one.text != "one remark" for one in (held.notes or {}).values()):
        bench.save(bench.a, edit(held, bench.a.copy_id, [note], AT))


def settling(bench):
    answers = parse(bench.a.content(bench.moss.id)).get("questions", {}).get("mix")
    if answers:
        value = answers[sorted(answers)[0]]["value"]
        bench.save(bench.a, settle(bench.a.get(bench.moss.id), bench.a.copy_id, "mix", value, AT))


def packet(bench):
    take(bench.a, look(bench.a, packet_from(bench.packet, "a packet"), str), "ada", bench.now)


def stick(bench):
    assert take_bundle(bench.a, bench.stick, bench.now).refused == []


def sync(bench):
    assert bench.sync(bench.a).refused == []


def put_back(bench):
    bench.a.close()
    for name in ("a", "hub", "home"):
        bench.copy_inside(bench.folder / "template" / name, bench.folder / name)
    bench.a.refresh()


@pytest.mark.parametrize("stride", [101, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("act", [save, settling, packet, stick, sync])
def test_a_fault_at_each_step(apart, monkeypatch, act, stride):
    for name in ("a", "hub", "home"):
        shutil.copytree(apart.folder / name, apart.folder / "template" / name)
    faults = Faults(monkeypatch)
    faults.begin()
    act(apart)
    before, moments = apart.a.head, list(faults.taken)
    done = state(apart.a)
    put_back(apart)
    start = apart.a.head
    assert before != start
    assert len(moments) > 30
    for failing in range(1, len(moments) + 1, stride):
        put_back(apart)
        faults.begin(failing)
        with pytest.raises((OSError, SprayoutError)):
            act(apart)
        faults.begin()
        moment = moments[failing - 1]
        apart.a.refresh()
        found = check(apart.a, apart.now)
        assert found.sound, (moment, found.faults)
        assert apart.a.head == start or state(apart.a) == done, moment
        incoming = apart.folder / "a" / "incoming"
        # Where the very step that takes the empty folder away fails, the empty folder is all that stays.
        assert not incoming.exists() or ("_without_parent" in moment and not any(incoming.iterdir())), moment
        act(apart)
        assert state(apart.a) == done and not incoming.exists(), moment
