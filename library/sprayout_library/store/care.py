"""Care of a library: check it, clear what a killed command left, pack it, and say what cannot be repaired here."""

from __future__ import annotations

import re
import shutil
import time
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from sprayout_core.documents import from_tree, parse, stored
from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.store.errors import GitError
from sprayout_library.store.layout import place_of, shop_ref
from sprayout_library.store.reader import bulk
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.store import Store
from sprayout_library.store.trees import listed

__all__ = ["ANOTHER_PROGRAM", "Condition", "check", "clear_locks", "clock_of", "pack", "repair", "wants_packing"]

STALE = 60.0
"""Seconds after which a lock of git is a dead one: our own lock is held meanwhile, so no command of ours owns it."""

ANOTHER_PROGRAM = "another program"
"""The place of a fault that is no fault of the library: files that somebody else put into its folder."""

_ASIDE = "put-aside"
_OURS = re.compile(r"[A-Za-z0-9._+-]+", re.ASCII)
_LITTER = {".ds_store", "desktop.ini", "thumbs.db"}
_LOOSE = 2000
_PACKS = 40
_AHEAD = 24 * 3600


@dataclass(slots=True)
class Condition:
    """What a check found.

    documents  how many were read
    faults     what is wrong, by place
    waste      what killed commands left behind; `repair` throws it away
    notes      what is odd but harmless
    """

    documents: int = 0
    faults: list[Fault] = field(default_factory=list)
    waste: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults


def check(store: Store, now: datetime | None = None) -> Condition:
    """Look at everything in a library and return its condition; nothing is changed."""
    found = Condition()
    strangers = _strangers(store)
    for path in strangers:
        told = f"put {path.relative_to(store.folder).as_posix()} into the library's folder"
        found.faults.append(
            Fault(ANOTHER_PROGRAM, told, "Mend: it is put aside. Keep the library where nothing else syncs files.")
        )
    _check_git(store, found, {path.name for path in strangers})
    _check_branches(store, found)
    _check_documents(store, found)
    _check_times(store, found, now or datetime.now(UTC))
    found.waste += [str(path.relative_to(store.folder)) for path in _waste(store)]
    return found


def _strangers(store: Store) -> list[Path]:
    """Return files that neither we nor git would name so: copies of a file-sync program, litter of a file browser."""
    inside = [path for part in ("refs", "objects") for path in (store.folder / part).rglob("*")]
    files = (path for path in [*store.folder.iterdir(), *inside] if path.is_file())
    return sorted(path for path in files if not _OURS.fullmatch(path.name) or path.name.lower() in _LITTER)


def _check_git(store: Store, found: Condition, strangers: set[str]) -> None:
    try:
        store.git.run("fsck", "--strict", "--no-dangling", "--no-progress", seconds=3600)
    except GitError as error:
        lines = [line for line in error.detail.splitlines() if not any(name in line for name in strangers)]
        if not lines and strangers:
            return
        for line in lines[:20] or [str(error)]:
            found.faults.append(
                Fault("repository", line[:200], "Mend it, or join again: nothing that was sent is lost.")
            )


def _check_branches(store: Store, found: Condition) -> None:
    refs = all_refs(store.git, "refs/heads/")
    own = store.facts.copy_id
    if own is None:
        found.notes.append(
            "this folder is new to this machine: a copy, or restored; it gets a copy id with the first save"
        )
    elif refs.get(shop_ref(own)) != refs.get(MAIN):
        found.faults.append(
            Fault(
                MAIN, "does not stand where this copy's own branch stands", "Repair: it is only a second name for it."
            )
        )


def _check_documents(store: Store, found: Condition) -> None:
    """Read every document as a stranger would: its place, its one spelling, what it says."""
    if store.head is None:
        return
    try:
        paths = list(listed(store.git, store.head))
        contents = bulk(store.git, [blob for _, blob in paths])
        kinds: dict[str, str] = {}
        for (path, _), (_, content) in zip(paths, contents, strict=True):
            found.documents += 1
            place = place_of(path)
            if place is None:
                found.faults.append(Fault(path, "is no place of a document", "It was put there by another program."))
                continue
            if kinds.setdefault(place[1], place[0]) != place[0]:
                found.faults.append(Fault(path, "an id that another kind has too", "Withdraw one of them."))
            found.faults += _document_faults(path, place, content)
    except SprayoutError as error:
        found.faults += error.faults


def _document_faults(path: str, place: tuple[str, str], content: bytes) -> list[Fault]:
    try:
        value = parse(content)
        document = from_tree(value)
    except SprayoutError as error:
        return [Fault(f"{path}: {fault.place}", fault.problem, fault.remedy) for fault in error.faults]
    if stored(value) != content:
        return [Fault(path, "is not in the stored form", "It was written by another program.")]
    if (document.kind, document.id) != place:
        return [Fault(path, f"holds the {document.kind} {document.id}", "It was moved by another program.")]
    return []


def _check_times(store: Store, found: Condition, now: datetime) -> None:
    """Clocks of shops may be wrong by days; nothing here depends on them, but people read the dates."""
    if store.head is None:
        return
    latest = int(store.git.text("log", "-1", "--format=%ct", store.head))
    if latest > now.timestamp() + _AHEAD:
        days = (latest - now.timestamp()) / 86400
        found.notes.append(
            f"the newest edit is dated {days:.0f} days ahead of this machine's clock: one of them is wrong"
        )


def _waste(store: Store) -> list[Path]:
    """Return what killed commands left: unfinished packs, dead locks, quarantines."""
    old = clock_of(store.folder) - STALE
    objects = store.folder / "objects"
    left = [
        *objects.glob("pack/tmp_*"),
        *objects.glob("tmp_*"),
        *objects.glob("??/tmp_obj_*"),
        *objects.glob("pack/.tmp-*"),
    ]
    left += [path for path in objects.glob("pack/*.pack") if not path.with_suffix(".idx").exists()]
    left += [*_locks(store)]
    incoming = store.folder / "incoming"
    left += list(incoming.iterdir()) if incoming.is_dir() else []
    return [path for path in left if _modified(path) < old]


def _locks(store: Store) -> list[Path]:
    refs = store.folder / "refs"
    names = ("HEAD.lock", "packed-refs.lock", "config.lock", "packed-refs.new", "gc.pid.lock")
    return [*refs.rglob("*.lock"), *(path for name in names if (path := store.folder / name).exists())]


def _modified(path: Path) -> float:
    """Return when a file last changed; a folder, when anything in it did: what still fills it is no waste."""
    try:
        latest: float = max(one.stat().st_mtime for one in (path, *(path.rglob("*") if path.is_dir() else ())))
    except FileNotFoundError:
        return float("inf")
    return latest


def clock_of(folder: Path) -> float:
    """Return the time by the clock of the disk that the folder lies on: on a network share it is another one."""
    probe = folder / "sprayout.clock"
    try:
        probe.touch()
        return probe.stat().st_mtime
    except OSError:
        return time.time()
    finally:
        with suppress(OSError):
            probe.unlink()


def clear_locks(store: Store) -> int:
    """Take away locks of git that no living command holds, and return how many."""
    count = 0
    with store.writing():
        old = clock_of(store.folder) - STALE
        for path in _locks(store):
            if _modified(path) < old:
                path.unlink(missing_ok=True)
                count += 1
    return count


def repair(store: Store) -> list[str]:
    """Set right what can be set right without guessing, and return what was done.

    Dead locks, unfinished packs and quarantines go, files of another program are put aside; `main` is put where this
    copy's own branch stands. Missing or broken objects cannot be made up: join again from a remote or a stick, which
    hold everything that was sent.
    """
    done: list[str] = []
    with store.writing():
        for path in _waste(store):
            done.append(f"threw away {path.relative_to(store.folder)}")
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
        done += [f"put aside {_put_aside(store, path)}" for path in _strangers(store)]
        refs = all_refs(store.git, "refs/heads/")
        own = refs.get(shop_ref(store.facts.copy_id)) if store.facts.copy_id else None
        if own and refs.get(MAIN) != own:
            move(store.git, {MAIN: (refs.get(MAIN), own)}, "repair")
            done.append("put main where this copy's own branch stands")
    store.refresh()
    return done


def _put_aside(store: Store, path: Path) -> str:
    """Move a file out of git's sight, into a folder inside the library's own; nothing is thrown away."""
    relative = path.relative_to(store.folder)
    aside = store.folder / _ASIDE / relative
    aside.parent.mkdir(parents=True, exist_ok=True)
    path.replace(aside)
    return relative.as_posix()


def wants_packing(store: Store) -> bool:
    """Say whether so many loose objects or packs have gathered that packing them pays."""
    objects = store.folder / "objects"
    packs = sum(1 for _ in (objects / "pack").glob("*.pack"))
    if packs > _PACKS:
        return True
    sample = objects / "17"  # ids are spread evenly: one folder of 256 tells of all
    return sample.is_dir() and sum(1 for _ in sample.iterdir()) * 256 > _LOOSE


def pack(store: Store) -> None:
    """Pack the library: loose objects and small packs into few, waste of two weeks thrown away, history indexed."""
    with store.writing():
        store.git.run("repack", "-d", "-l", "--geometric=2", "--quiet", "--write-midx", seconds=3600)
        store.git.run("prune-packed", "--quiet", seconds=3600)
        store.git.run("prune", "--expire=2.weeks.ago", seconds=3600)
        store.git.run("commit-graph", "write", "--reachable", "--changed-paths", "--no-progress", seconds=3600)
        store.git.run("pack-refs", "--all", seconds=600)
    store.close()
