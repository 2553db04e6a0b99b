"""A stick between copies that never meet on a network: one file that carries a whole library."""

from __future__ import annotations

import re
import stat
from datetime import datetime
from pathlib import Path

from sprayout_library.store import GitError, Store
from sprayout_library.store.layout import COPY, shop_ref
from sprayout_library.store.store import told_plainly
from sprayout_library.sync.errors import RefusedError, SyncError
from sprayout_library.sync.outcome import came_in
from sprayout_library.sync.quarantine import LARGEST_ARRIVAL, Quarantine
from sprayout_library.sync.receiving import Step, quietly, receive
from sprayout_library.sync.report import SyncReport
from sprayout_library.sync.strangers import Admit, everybody
from sprayout_library.sync.syncing import alone, remember

__all__ = ["bundle", "take_bundle"]

_MOST_LINES = 10_000
_HEAD = re.compile(rf"([0-9a-f]{{40}}) refs/heads/shops/({COPY.pattern})", re.ASCII)
_NEEDED = re.compile(r"-[0-9a-f]{40}(?: .*)?", re.ASCII)
SOURCE = "stick"


def bundle(store: Store, path: Path) -> Path:
    """Write everything this copy holds into one file and return its path; a file there is replaced in one step.

    Raises SyncError where nothing was saved yet, FullDiskError, ReadOnlyError.
    """
    target = path.expanduser().absolute()
    store.refresh()
    if store.head is None:
        raise SyncError("nothing was saved here yet", "Save something first.")
    unfinished = target.with_name(f".{target.name}.unfinished")
    with told_plainly(target.parent):
        try:
            store.git.run(
                "bundle",
                "create",
                "--quiet",
                "--version=2",
                str(unfinished),
                shop_ref(store.copy_id),
                seconds=3600,
            )
            unfinished.replace(target)
        finally:
            unfinished.unlink(missing_ok=True)
            unfinished.with_name(unfinished.name + ".lock").unlink(missing_ok=True)
    return target


def take_bundle(store: Store, path: Path, now: datetime, step: Step = quietly, admit: Admit = everybody) -> SyncReport:
    """Take in a bundle from a stick: through the same gate and fold as everything else.

    `admit` is asked before a library that began apart from this one comes in. Raises RefusedError naming what is wrong
    with the file, or what `admit` raises; then nothing was taken.
    """
    source = path.expanduser().absolute()
    heads = _heads(source)
    report = SyncReport(shops=heads)
    with told_plainly(store.folder), alone(store):
        store.copy_id  # noqa: B018 - drawn before anything is looked at
        before = store.newest()
        receive(store, SOURCE, lambda arrived: _fetched(arrived, source, heads), now, report, step, admit)
        store.refresh()
        report.head = store.head
        came_in(store, before, report)
        remember(store, SOURCE, report)
    return report


def _heads(path: Path) -> dict[str, str]:
    """Read a bundle's head ourselves (git's bundle format, version 2) and return commit by copy."""
    place = str(path)
    try:
        seen = path.lstat()
    except OSError:
        raise RefusedError("no such file", "Is the stick connected?", place=place) from None
    if not stat.S_ISREG(seen.st_mode):
        raise RefusedError("is no plain file", "Copy the file itself onto this machine.", place=place)
    if seen.st_size > LARGEST_ARRIVAL:
        raise RefusedError(f"more than {LARGEST_ARRIVAL // 1_000_000} MB", "Sync instead.", place=place)
    heads: dict[str, str] = {}
    with path.open("rb") as file:
        if file.readline(100) != b"# v2 git bundle\n":
            raise RefusedError("is no stick of a library", "Write one with the other copy.", place=place)
        for _ in range(_MOST_LINES):
            line = file.readline(1000)
            text = line.decode("utf-8", "replace").rstrip("\n")
            if line == b"\n":
                break
            if head := _HEAD.fullmatch(text):
                heads[head[2]] = head[1]
            elif not _NEEDED.fullmatch(text):
                shown = "".join(sign for sign in text if sign.isprintable())[:80]
                raise RefusedError(f"carries {shown!r}", "A stick carries what shops saved, nothing else.", place=place)
        else:
            raise RefusedError("its beginning does not end", "Write it again with the other copy.", place=place)
    if not heads:
        raise RefusedError("carries nothing of a shop", "Write it again with the other copy.", place=place)
    return heads


def _fetched(arrived: Quarantine, path: Path, heads: dict[str, str]) -> dict[str, str]:
    try:
        return arrived.fetch_from(str(path), "file", sorted(heads))
    except GitError as error:
        missing = "lacks these prerequisite" in error.detail
        problem = "builds on a state this library does not hold" if missing else "is damaged or cut off"
        raise RefusedError(problem, "Write a whole one with the other copy.", place=str(path)) from error
