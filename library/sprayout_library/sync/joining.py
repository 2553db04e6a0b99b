"""Joining a shared library: remembering its address, and making a new copy of it."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from sprayout_library.store import Store
from sprayout_library.sync.bundle import take_bundle
from sprayout_library.sync.errors import RefusedError
from sprayout_library.sync.receiving import Step, quietly
from sprayout_library.sync.remote import Remote, add_remote, heads_of, make_shared_folder, remote_at
from sprayout_library.sync.report import SyncReport
from sprayout_library.sync.strangers import Admit, Strangers, everybody
from sprayout_library.sync.syncing import sync

__all__ = ["clone", "clone_from_stick", "is_missing", "join_remote"]


def join_remote(
    store: Store, name: str, address: str, now: datetime, step: Step = quietly, admit: Admit = everybody
) -> SyncReport:
    """Let a library share through a remote from now on, and sync with it once.

    A folder that does not exist yet, or is empty, is made a shared one. `admit` is asked before what is shared there
    becomes one with this library, where the two began apart. Raises what it raises, RemoteError, UnreachableError,
    UnsafeError; then nothing is remembered.
    """
    remote = remote_at(name, address)
    made_if_missing(remote)
    heads_of(store.git, remote)
    before = store.facts.get("remotes")
    added = add_remote(store, name, address)

    def asked(strangers: Strangers) -> None:
        try:
            admit(strangers)
        except BaseException:
            store.facts.put("remotes", before)
            raise

    return sync(store, added, now, step, asked)


def made_if_missing(remote: Remote) -> None:
    """Make an empty shared repository where a folder remote is missing or empty."""
    if is_missing(remote):
        make_shared_folder(Path(remote.address))


def is_missing(remote: Remote) -> bool:
    """Whether a folder remote is not there yet, or is an empty folder."""
    if remote.kind != "folder":
        return False
    folder = Path(remote.address)
    return not folder.exists() or (folder.is_dir() and not any(folder.iterdir()))


def clone(
    path: Path,
    address: str,
    now: datetime,
    name: str = "hub",
    random: Callable[[int], bytes] = secrets.token_bytes,
    step: Step = quietly,
) -> tuple[Store, SyncReport]:
    """Make a new copy of a shared library in an empty folder; return it, open, and what came in.

    Raises as `join_remote` does, and as `Store.create` does. What the gate refuses is in the report.
    """
    remote = remote_at(name, address)

    def fill(store: Store) -> SyncReport:
        heads_of(store.git, remote)
        return join_remote(store, name, address, now, step)

    return _made(path, now, random, fill)


def clone_from_stick(
    path: Path,
    stick: Path,
    now: datetime,
    random: Callable[[int], bytes] = secrets.token_bytes,
    step: Step = quietly,
) -> tuple[Store, SyncReport]:
    """Make a new copy of the library on a stick in an empty folder; return it, open, and what came in.

    It is shared through nothing yet. Raises as `take_bundle` does, and RefusedError where the gate let nothing in; then
    nothing is left in the folder.
    """

    def fill(store: Store) -> SyncReport:
        report = take_bundle(store, stick, now, step)
        if store.head is None:
            raise RefusedError(
                f"nothing of it was let in: {report.refused[0]}" if report.refused else "holds no library",
                "Ask that shop to write it again.",
                place=stick.name,
            )
        return report

    return _made(path, now, random, fill)


def _made(
    path: Path, now: datetime, random: Callable[[int], bytes], fill: Callable[[Store], SyncReport]
) -> tuple[Store, SyncReport]:
    """Return a new library and what filled it; where that fails, a folder made here is taken away again."""
    folder = path.expanduser().absolute()
    made_here = not folder.exists()
    store = None
    try:
        store = Store.create(folder, now, random)
        return store, fill(store)
    except BaseException:
        if store is not None and made_here:
            store.facts.forget()
        if made_here and folder.exists():
            import shutil

            shutil.rmtree(folder, ignore_errors=True)
        raise
