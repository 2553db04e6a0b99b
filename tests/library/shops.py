"""Invented shops for tests: libraries in temporary folders, with a few documents and ways to edit them."""

import itertools
import shutil
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sprayout_core.compare import Add, Put, TakeOut, edit, settle, withdraw
from sprayout_core.documents import made, tree, uuid7
from sprayout_library.store import Store
from sprayout_library.sync import add_remote, clone, join_remote, remotes, sync

NOW = datetime(2026, 3, 2, 9, 10, tzinfo=UTC)


def text(at):
    return at.strftime("%Y-%m-%dT%H:%M:%SZ")


class Bench:
    """A folder with shops in it and a clock that only goes when asked."""

    def __init__(self, folder, monkeypatch):
        self.folder = folder
        self.stores = []
        self.now = NOW
        self._ids = itertools.count(1)
        monkeypatch.setenv("SPRAYOUT_HOME", str(folder / "home"))

    def tick(self, seconds=60):
        self.now += timedelta(seconds=seconds)
        return self.now

    def close(self):
        for store in self.stores:
            store.close()

    def shop(self, name):
        store = Store.create(self.folder / name, self.now)
        self.stores.append(store)
        return store

    def open(self, name):
        store = Store.open(self.folder / name)
        self.stores.append(store)
        return store

    def joined(self, name, hub="hub"):
        """A new shop that shares through the folder remote `hub`."""
        store = self.shop(name)
        join_remote(store, "hub", str(self.folder / hub), self.now)
        return store

    def clone(self, name, hub="hub"):
        store, report = clone(self.folder / name, str(self.folder / hub), self.now)
        self.stores.append(store)
        return store, report

    def sync(self, store):
        return sync(store, remotes(store)["hub"], self.now)

    def remote(self, store, name, address):
        return add_remote(store, name, str(address))

    def new_id(self):
        return uuid7(1_770_000_000_000 + next(self._ids), b"sprayoutxx")

    def passed_over(self, count):
        """Leave out ids that documents of an earlier bench have."""
        for _ in range(count):
            next(self._ids)

    def made(self, store, kind, facts, name=None):
        provenance = {"at": text(self.now), "tool": "tests", "by": "ada"}
        return made(kind, facts, copy=store.copy_id, provenance=provenance, id=name or self.new_id())

    def material(self, store, title, **facts):
        return self.made(store, "material", {"title": title, "role": "dye", **facts})

    def formula(self, store, title, parts, **facts):
        return self.made(store, "formula", {"title": title, "mix": mix(parts), **facts})

    def save(self, store, *documents, message="a save", author="ada"):
        return store.save(documents, message, author, self.now)

    def edit(self, store, name, *changes):
        """Edit one document and save it; returns what stands there now."""
        document = store.get(name)
        return self.saved(store, edit(document, store.copy_id, changes, text(self.tick())))

    def saved(self, store, document):
        self.save(store, document)
        return store.get(document.id)

    def settle(self, store, name, atom, value):
        return self.saved(store, settle(store.get(name), store.copy_id, atom, value, text(self.tick())))

    def withdraw(self, store, name):
        return self.saved(store, withdraw(store.get(name), store.copy_id, text(self.tick())))

    def copy_inside(self, source, target):
        """Put the files of one folder into another, as a restored backup does: the folder itself stays."""
        for old in Path(target).iterdir():
            shutil.rmtree(old) if old.is_dir() else old.unlink()
        for new in Path(source).iterdir():
            (shutil.copytree if new.is_dir() else shutil.copy2)(new, Path(target) / new.name)


@pytest.fixture
def bench(tmp_path, monkeypatch):
    bench = Bench(tmp_path, monkeypatch)
    yield bench
    bench.close()


def mix(parts, scale="1"):
    """A mix from a mapping of material id to parts."""
    named = dict(parts)
    items = {name: {"kind": "material", "ratio": number} for name, number in named.items()}
    return {"basis": "volume", "items": items, "order": list(named), "scale": scale}


def state(store):
    """Everything a library holds, as bytes by id."""
    return dict(store.raw())


def git(folder, *words, given=b"", check=True):
    """Plain git, as a stranger with a shell would use it."""
    done = subprocess.run(
        ["git", "-c", "user.name=stranger", "-c", "user.email=stranger@example.org", "-C", str(folder), *words],
        input=given, capture_output=True, check=False, timeout=180,
    )  # fmt: skip
    if check and done.returncode:
        raise AssertionError((words, done.stderr.decode("utf-8", "replace")))
    return done.stdout.decode("utf-8", "replace").rstrip("\n")


__all__ = ["NOW", "Add", "Bench", "Put", "TakeOut", "bench", "git", "mix", "state", "text", "tree"]
