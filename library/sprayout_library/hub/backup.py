"""Backup and restore of a hub: one file, proved after it is written and after it is brought back."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
import tarfile
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sprayout_library.hub.errors import HubError
from sprayout_library.hub.house import Hub, library_name
from sprayout_library.hub.settings import read_settings

__all__ = ["Proof", "back_up", "prove", "restore"]

_MARK = "sprayout-hub-backup/1"
_KEPT = ("hub.json", "received.jsonl", "accounts/people.json", "accounts/copies.json",
         "accounts/links.json")  # fmt: skip
_PLAIN = re.compile(
    r"(?:hub\.json|received\.jsonl|accounts/[a-z]+\.json|proof\.json|"
    r"libraries/[a-z0-9-]{1,41}/(?:library\.bundle|received\.jsonl|sources/[0-9a-f]{2}/[0-9a-f]{64}))"
)


@dataclass(frozen=True, slots=True)
class Proof:
    """What was shown of a backup: the heads of each library's copies, all there and sound, and its other files."""

    made: str
    heads: dict[str, dict[str, str]]
    files: int

    @property
    def words(self) -> list[str]:
        """The proof in words."""
        told = [
            f"{name}: {len(heads)} branches stand where they stood, nothing in it is broken"
            for name, heads in self.heads.items()
        ]
        return [*told, f"{self.files} files are what they were (SHA-256)"]


def back_up(hub: Hub, target: Path, now: datetime | None = None) -> Proof:
    """Write a backup while the hub serves, prove it, and only then put it in place. Raises HubError.

    Tokens are in it as their digests; sign-ins of browsers are not: everybody signs in again.
    """
    if target.exists():
        raise HubError("is there already", "Name another file.", place=target.name)
    made = (now or datetime.now(UTC)).strftime("%Y-%m-%dT%H:%M:%SZ")
    part = target.with_name(f".{target.name}.part")
    try:
        with tempfile.TemporaryDirectory() as work:
            _write(hub, part, Path(work), made)
        part.chmod(0o600)
        proof = prove(part)
        part.replace(target)
    except OSError as error:
        raise HubError(f"cannot be written: {error.strerror}", "Choose another place.", place=target.name) from None
    finally:
        part.unlink(missing_ok=True)
    return proof


def _write(hub: Hub, part: Path, work: Path, made: str) -> None:
    digests: dict[str, str] = {}
    heads: dict[str, dict[str, str]] = {}
    with tarfile.open(part, "w") as tar:
        for name in hub.libraries():
            heads[name] = _bundled(hub, name, work / f"{name}.bundle")
            if heads[name]:
                _add(tar, work / f"{name}.bundle", f"libraries/{name}/library.bundle", digests)
            for path, inner in _beside(hub.library(name)):
                _add(tar, path, f"libraries/{name}/{inner}", digests)
        for inner in _KEPT:
            if (hub.folder / inner).is_file():
                _add(tar, hub.folder / inner, inner, digests)
        proof = json.dumps({"backup": _MARK, "made": made, "heads": heads, "files": digests}, sort_keys=True).encode()
        entry = tarfile.TarInfo("proof.json")
        entry.size = len(proof)
        tar.addfile(entry, io.BytesIO(proof))


def _bundled(hub: Hub, name: str, target: Path) -> dict[str, str]:
    """Write a bundle of everything in a library, and return where its branches stood: read first, so all are in it."""
    from sprayout_library.store.refs import all_refs

    with hub.store(name) as store:
        heads = all_refs(store.git, "refs/heads/")
        if heads:
            store.git.run("bundle", "create", "--quiet", str(target), "--branches", seconds=3600)
            said = store.git.text("bundle", "list-heads", str(target))
            heads = {ref: commit for commit, _, ref in (line.partition(" ") for line in said.splitlines())}
    return heads


def _beside(library: Path) -> Iterator[tuple[Path, str]]:
    if (library / "received.jsonl").is_file():
        yield library / "received.jsonl", "received.jsonl"
    for path in sorted((library / "sources").glob("??/*")):
        if re.fullmatch(r"[0-9a-f]{64}", path.name):
            yield path, f"sources/{path.parent.name}/{path.name}"


def _add(tar: tarfile.TarFile, path: Path, inner: str, digests: dict[str, str]) -> None:
    with tempfile.TemporaryFile() as still:  # a log may grow while it is read
        with path.open("rb") as file:
            shutil.copyfileobj(file, still)
        still.seek(0)
        digests[inner] = hashlib.file_digest(still, "sha256").hexdigest()
        entry = tarfile.TarInfo(inner)
        entry.size, entry.mode = still.tell(), 0o600
        still.seek(0)
        tar.addfile(entry, still)


def prove(backup: Path) -> Proof:
    """Bring a backup back in a folder that is thrown away, and return what that showed. Raises HubError."""
    with tempfile.TemporaryDirectory() as work:
        return _brought_back(backup, Path(work) / "hub")


def restore(backup: Path, folder: Path) -> Proof:
    """Bring a hub back into a folder that does not exist yet, and return the proof. Raises HubError: nothing is left.

    Its copies get new copy ids with their first save, as any restored library does.
    """
    target = folder.expanduser().absolute()
    if target.exists():
        raise HubError("is there already", "Choose a new folder.", place=folder.name)
    part = target.with_name(f".{target.name}.part")
    shutil.rmtree(part, ignore_errors=True)
    try:
        proof = _brought_back(backup, part)
        part.rename(target)
    except BaseException:
        shutil.rmtree(part, ignore_errors=True)
        raise
    return proof


def _brought_back(backup: Path, hub: Path) -> Proof:
    hub.mkdir(parents=True, mode=0o700)
    (hub / "libraries").mkdir()
    _unpack(backup, hub)
    try:
        said: dict[str, Any] = json.loads((hub / "proof.json").read_bytes())
        if said["backup"] != _MARK:
            raise HubError("is no backup of a hub", f"One begins with {_MARK}.", place=backup.name)
        heads: dict[str, dict[str, str]] = said["heads"]
        files: dict[str, str] = said["files"]
        made = str(said["made"])
    except (OSError, ValueError, KeyError, TypeError):
        raise HubError("is no whole backup of a hub", "Take another one.", place=backup.name) from None
    for inner, digest in files.items():
        path = hub / inner
        if not _PLAIN.fullmatch(inner) or not path.is_file():
            raise HubError("is missing in the backup", "Take another one.", place=inner[:80])
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() != digest:
                raise HubError("is not what was backed up", "Take another backup.", place=inner)
    for name, wanted in heads.items():
        _library_back(hub / "libraries" / library_name(name), wanted)
    (hub / "proof.json").unlink()
    read_settings(hub / "hub.json")
    return Proof(made, heads, len(files))


def _unpack(backup: Path, hub: Path) -> None:
    try:
        with tarfile.open(backup, "r:") as tar:
            for entry in tar:
                if not entry.isreg() or not _PLAIN.fullmatch(entry.name):
                    raise HubError("is nothing that a backup holds", "It was not made by a hub.", place=entry.name[:80])
                content = tar.extractfile(entry)
                path = hub / entry.name
                path.parent.mkdir(parents=True, exist_ok=True)
                if content is None or path.exists():
                    raise HubError("stands twice in the backup", "It was not made by a hub.", place=entry.name)
                with path.open("xb") as file:
                    shutil.copyfileobj(content, file)
                path.chmod(0o600)
    except (tarfile.TarError, OSError, EOFError) as error:
        raise HubError(f"cannot be read: {str(error)[:120]}", "Take another backup.", place=backup.name) from None


def _library_back(folder: Path, heads: dict[str, str]) -> None:
    """Make a library again from its bundle; every branch must stand where it stood, and fsck must find nothing."""
    import secrets

    from sprayout_library.store import Git, GitError
    from sprayout_library.store.making import begin
    from sprayout_library.store.refs import all_refs

    beside = folder.with_name(f"{folder.name}.beside")
    if folder.exists():
        folder.rename(beside)
    begin(folder, secrets.token_bytes(8).hex(), datetime.now(UTC))
    git = Git(folder)
    bundle = beside / "library.bundle"
    try:
        if heads:
            git.run(
                *("fetch", "--quiet", "--no-tags", "--no-write-fetch-head", "--no-auto-maintenance"),
                *(str(bundle), "refs/heads/*:refs/heads/*"),
                protocols="file",
                seconds=3600,
            )
            bundle.unlink()
        git.run("fsck", "--full", "--strict", "--no-dangling", "--no-progress", seconds=3600)
    except (GitError, OSError) as error:
        raise HubError(f"is not sound: {str(error)[:200]}", "Take another backup.", place=folder.name) from None
    if all_refs(git, "refs/heads/") != heads:
        raise HubError("does not stand where it stood", "Take another backup.", place=folder.name)
    if beside.is_dir():
        for left in beside.iterdir():
            left.rename(folder / left.name)
        beside.rmdir()
