"""Many ready documents on their way into a library: given to git as they come, one commit at the end, or nothing."""

from __future__ import annotations

import secrets
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

from sprayout_library.store.errors import DamagedError, GitError, StaleError, StoreError
from sprayout_library.store.git import Git, failure, stop
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.trees import listed
from sprayout_library.store.writing import Written, called, contains, write_commit

if TYPE_CHECKING:
    from sprayout_library.store.store import Store

__all__ = ["Inflow", "inflow"]

_TOGETHER = 500
"""Up to this many documents are kept in memory and written as any edit is; more go to git as they come."""

_WORDS = ("fast-import", "--quiet", "--done")
_SETTINGS = (("fastimport.unpackLimit", "0"),)
_PATIENCE = 3600


class Inflow:
    """Documents in their stored form, to be saved in one version; nothing of them shows before `finish`.

    Whoever gives them answers for it that they are what `write` would give. Only their places are kept in memory.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._places: dict[str, int] = {}
        self._held: dict[str, bytes] = {}
        self._stream: _Stream | None = None

    def __len__(self) -> int:
        return len(self._places)

    def add(self, path: str, content: bytes) -> None:
        """Take one document; raises StoreError for a place that was given before, and what the disk says."""
        if path in self._places:
            raise StoreError("given twice", "Save one state of it.", place=path)
        if self._stream is not None:
            self._places[path] = self._stream.blob(content)
            return
        self._places[path] = 0
        self._held[path] = content
        if len(self._held) > _TOGETHER:
            self._send()

    def back_to(self, count: int) -> None:
        """Let go of all but the first `count` documents."""
        for path in list(self._places)[count:]:
            del self._places[path]
            self._held.pop(path, None)

    def finish(self, how: Written) -> Written:
        """Save all that was given in one version and return how, with its commit.

        Raises StaleError where one of them was changed by another command meanwhile or says something else than
        what stands there, FullDiskError, ReadOnlyError, BusyError; nothing is saved then.
        """
        if self._stream is None:
            return self._store.write_ready(self._held, how)
        copy, store = self._store.copy_id, self._store
        with store.writing():
            newest = store.newest()
            wanted = self._checked(newest, self._stream)
            if not wanted and newest is not None:
                return how.done(newest)
            tree = self._stream.tree(newest, wanted)
            self._stream.settle(store.folder)
            commit = write_commit(store, newest, tree, how, copy)
            refs = all_refs(store.git, "refs/heads/")
            own = shop_ref(copy)
            move(store.git, {own: (refs.get(own), commit), MAIN: (refs.get(MAIN), commit)}, how.what)
        store.head = commit
        return how.done(commit)

    def close(self) -> None:
        """Throw away what was given and not saved."""
        if self._stream is not None:
            self._stream.close()
            self._stream = None

    def _send(self) -> None:
        self._stream = _Stream.begun(self._store.folder)
        for path, content in self._held.items():
            self._places[path] = self._stream.blob(content)
        self._held.clear()

    def _checked(self, newest: str | None, stream: _Stream) -> Mapping[str, int]:
        """Return what is to be written, leaving out what stands there already; see `writing.fresh`."""
        stands = self._standing(newest)
        seen = stands if newest == self._store.head else self._standing(self._store.head)
        if changed := {path for path in stands.keys() | seen.keys() if stands.get(path) != seen.get(path)}:
            raise StaleError(
                "was changed by another command in the meantime",
                "Nothing was saved: do the same once more.",
                place=called(min(changed)),
            )
        wanted = dict(self._places)
        for path, old in stands.items():
            new = stream.identity(wanted[path])
            if new == old:
                del wanted[path]
                continue
            before = self._store.reader.content(old)
            if before is None:
                raise DamagedError("is missing", "Run a check of the library.", place=path)
            if not contains(before, stream.content(wanted[path])):
                raise StaleError(
                    "was not edited from the version that stands there",
                    "Nothing was saved: do the same once more.",
                    place=called(path, before),
                )
        return wanted

    def _standing(self, commit: str | None) -> dict[str, str]:
        """Return the blob ids of those of our places where something stands at a commit."""
        if commit is None:
            return {}
        folders = {path.partition("/")[0] for path in self._places}
        return {
            path: blob
            for folder in sorted(folders)
            for path, blob in listed(self._store.git, commit, folder)
            if path in self._places
        }


@dataclass(slots=True)
class _Stream:
    """A git process that takes documents into a room of its own, from where their pack moves into the library."""

    room: Path
    process: subprocess.Popen[bytes]
    said: IO[bytes]
    count: int = 0

    @classmethod
    def begun(cls, folder: Path) -> _Stream:
        """Start git in a room beside the library's objects; one that a kill leaves behind is swept like any other."""
        room = folder / "incoming" / f"{int(time.time())}-{secrets.token_hex(6)}"
        room.mkdir(parents=True)
        git, said = Git(room), tempfile.TemporaryFile()  # noqa: SIM115 - closed by close()
        try:
            git.run("init", "--quiet", "--bare", "--template=", "--initial-branch=main")
            (room / "objects" / "info").mkdir(exist_ok=True)
            (room / "objects" / "info" / "alternates").write_text("../../../objects\n", encoding="ascii")
            return cls(room, git.start(*_WORDS, given=b"", settings=_SETTINGS, said=said), said)
        except BaseException:
            said.close()
            _thrown_away(room)
            raise

    def blob(self, content: bytes) -> int:
        """Send one document and return its mark."""
        self.count += 1
        self._tell(b"blob\nmark :%d\ndata %d\n%s\n" % (self.count, len(content), content))
        return self.count

    def identity(self, mark: int) -> str:
        """Return the object id of a document sent."""
        self._tell(b"get-mark :%d\n" % mark)
        return self._heard().decode("ascii")

    def content(self, mark: int) -> bytes:
        """Return a document sent."""
        self._tell(b"cat-blob :%d\n" % mark)
        size = int(self._heard().split()[2])
        assert self.process.stdout is not None
        return self.process.stdout.read(size + 1)[:size]

    def tree(self, parent: str | None, wanted: Mapping[str, int]) -> str:
        """Return the id of the parent's tree with the documents in it, and let git finish its pack."""
        start = b"commit refs/heads/main\ncommitter sprayout <library@sprayout.invalid> 0 +0000\ndata 0\n"
        self._tell(start + (f"from {parent}\n".encode("ascii") if parent else b""))
        for path in sorted(wanted):
            self._tell(b"M 100644 :%d %s\n" % (wanted[path], path.encode("ascii")))
        self._tell(b"\ndone\n")
        assert self.process.stdin is not None
        try:
            self.process.stdin.close()
        except OSError:
            raise self._failed() from None
        if self.process.wait(timeout=_PATIENCE):
            raise self._failed()
        return Git(self.room).text("rev-parse", "refs/heads/main^{tree}")

    def settle(self, folder: Path) -> None:
        """Move the finished pack into the library: the index last, for a pack without one is not looked at."""
        there = folder / "objects" / "pack"
        there.mkdir(exist_ok=True)
        packs = self.room / "objects" / "pack"
        for path in sorted(packs.iterdir(), key=lambda one: (one.suffix == ".idx", one.name)):
            path.replace(there / path.name)

    def close(self) -> None:
        """End git and throw its room away."""
        stop(self.process)
        self.said.close()
        _thrown_away(self.room)

    def _tell(self, words: bytes) -> None:
        assert self.process.stdin is not None
        try:
            self.process.stdin.write(words)
        except OSError:
            raise self._failed() from None

    def _heard(self) -> bytes:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        try:
            self.process.stdin.flush()
        except OSError:
            raise self._failed() from None
        if line := self.process.stdout.readline():
            return line.rstrip(b"\n")
        raise self._failed()

    def _failed(self) -> StoreError:
        """Return what git said when it broke off."""
        try:
            status = self.process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            return GitError("git does not take the documents", "Nothing was changed. Try again.")
        self.said.seek(0)
        return failure(_WORDS, status, self.said.read(20_000).decode("utf-8", "replace"))


def _thrown_away(room: Path) -> None:
    shutil.rmtree(room, ignore_errors=True)
    try:
        room.parent.rmdir()
    except OSError:  # another one is still in use
        return


@contextmanager
def inflow(store: Store) -> Iterator[Inflow]:
    """Give what takes documents in, and throw away at the end what was not finished."""
    flowing = Inflow(store)
    try:
        yield flowing
    finally:
        flowing.close()
