"""The library itself: documents in a bare repository, read at one moment and saved whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from sprayout_library.machine import LibraryFacts, LockedError, held, library_facts
from sprayout_library.store.errors import BusyError, DamagedError, FullDiskError, ReadOnlyError, StoreError
from sprayout_library.store.git import Git
from sprayout_library.store.glance import Glance, kept_while_read
from sprayout_library.store.layout import ID, KINDS, path_of, place_of, shop_ref
from sprayout_library.store.making import begin, looked_at
from sprayout_library.store.reader import ObjectReader, bulk
from sprayout_library.store.refs import MAIN, all_refs, move, one_ref
from sprayout_library.store.trees import listed

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.store.inflow import Inflow
    from sprayout_library.store.versions import Version
    from sprayout_library.store.writing import Written

__all__ = ["Store"]

_PATIENCE = 30.0
"""Seconds to wait for another command that is writing."""


def _read(content: bytes) -> Document:
    """Understand a stored form; the models are loaded for those who ask for one: finding and listing do not."""
    from sprayout_core.documents import read

    return read(content)


def _look(content: bytes) -> Document:
    """Read a stored form to look at it."""
    from sprayout_core.documents.kept import look

    return look(content)


@dataclass(slots=True)
class Store:
    """A library on this machine; a context manager that ends every child it started.

    It reads at the commit it was opened at (`head`), moved on only by its own `save` and by `refresh`. So what
    one command reads is of one moment, and a save refuses documents that somebody else changed since.
    """

    folder: Path
    git: Git
    facts: LibraryFacts
    reader: ObjectReader
    head: str | None = None
    understand: Callable[[bytes], Document] = field(default=_read, repr=False)
    _glance: list[Glance] = field(default_factory=list, repr=False)

    @classmethod
    def create(cls, path: Path, now: datetime, random: Callable[[int], bytes] = os.urandom) -> Store:
        """Make a new, empty library and open it.

        path    a folder that does not exist yet, or is empty
        now     the time of its making
        random  gives random bytes, for the library's mark and its copy id
        raises  NotALibraryError, ReadOnlyError, UnsafeError (a folder that another program syncs)
        """
        folder = path.expanduser().absolute()
        begin(folder, random(8).hex(), now.astimezone(UTC))
        store = cls.open(folder)
        with store.writing():
            store.drawn_copy(random)
        return store

    @classmethod
    def open(cls, path: Path) -> Store:
        """Open the library in a folder, after looking at its shape and settings.

        Raises NotALibraryError, UnsafeError.
        """
        folder = path.expanduser().resolve()
        mark = looked_at(folder)
        git = Git(folder)
        store = cls(folder, git, library_facts(folder, mark), ObjectReader(git))
        store.refresh()
        return store

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the child process that reads; the store can still be used and starts it again when asked."""
        self.reader.close()

    def to_look_at(self) -> Store:
        """Return this library for those who only show it: read without the models where that can be, not for edits."""
        return replace(self, understand=_look)

    def to_edit(self) -> Store:
        """Return this library read by the models, for what is worked out by them or will be edited."""
        return replace(self, understand=_read)

    # ---- who we are -------------------------------------------------------------------------------------

    @property
    def copy_id(self) -> str:
        """The short name of this copy of the library; drawn anew where the folder is a copy or a restored backup."""
        if known := self.facts.copy_id:
            return known
        with self.writing():
            return self.facts.copy_id or self.drawn_copy()

    def drawn_copy(self, random: Callable[[int], bytes] = os.urandom) -> str:
        """Draw a new copy id and begin its branch at the state this library holds; only while `writing`."""
        from sprayout_core.documents import new_copy_id

        copy = new_copy_id(random(8))
        refs = all_refs(self.git, "refs/heads/")
        head = refs.get(shop_ref(self.facts.copy_id)) if self.facts.copy_id else None
        if head := head or refs.get(MAIN):
            move(self.git, {shop_ref(copy): (None, head)}, "a new copy id")
        self.facts.drawn(copy, self.folder)
        return copy

    # ---- reading ----------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read from now on at the newest state of this copy."""
        self.head = self.newest()

    def newest(self) -> str | None:
        """Return the commit this copy stands at by now, or None before the first save."""
        own = self.facts.copy_id
        return (one_ref(self.git, shop_ref(own)) if own else None) or one_ref(self.git, MAIN)

    def get(self, name: str) -> Document | None:
        """Return the document with this id, or None."""
        content = self.content(name)
        return None if content is None else self.understand(content)

    def find(self, name: str) -> Document | None:
        """Return the document with this id, or None: what the rules of core ask for as `find`."""
        return self.get(name)

    def content(self, name: str) -> bytes | None:
        """Return the stored form of the document with this id, or None."""
        if self.head is None or not ID.fullmatch(name):
            return None
        if self._glance and self._glance[0].commit == self.head:
            return self._glance[0].by_id.get(name)
        return self._content_at(self.head, name)

    def _content_at(self, commit: str, name: str) -> bytes | None:
        names = [f"{commit}:{path_of(kind, name)}" for kind in KINDS]
        found = next((one for one in self.reader.infos(names) if one is not None), None)
        return None if found is None else self.reader.content(found.id)

    def documents(self, kind: str | None = None) -> Iterator[Document]:
        """Yield every document, or every one of a kind, in order of kind and place."""
        for _, content in self.raw(kind):
            yield self.understand(content)

    def raw(self, kind: str | None = None) -> Iterator[tuple[str, bytes]]:
        """Yield (id, stored form) of every document, or of every one of a kind, without understanding them."""
        if self._glance and self._glance[0].commit == self.head:
            yield from self._glance[0].of_kind(kind)
        elif kind is not None or self.head is None:
            yield from ((name, content) for name, _, content in self._read(kind))
        else:
            yield from kept_while_read(self.head, self._read(None), self._glance)

    def _read(self, kind: str | None) -> Iterator[tuple[str, str, bytes]]:
        places: list[tuple[str, str]] = []
        blobs: list[str] = []
        for name, its_kind, blob in self._placed(kind):
            places.append((name, its_kind))
            blobs.append(blob)
        contents = (content for _, content in bulk(self.git, blobs))
        yield from ((*place, content) for place, content in zip(places, contents, strict=True))

    def blobs(self, kind: str | None = None) -> Iterator[tuple[str, str]]:
        """Yield (id, blob id) of every document, or of every one of a kind: the blob id names its exact content."""
        yield from ((name, blob) for name, _, blob in self._placed(kind))

    def _placed(self, kind: str | None) -> Iterator[tuple[str, str, str]]:
        if kind is not None and kind not in KINDS:
            raise StoreError(f"{kind!r} is no kind of document", f"Use one of: {', '.join(KINDS)}")
        if self.head is None:
            return
        for path, blob in listed(self.git, self.head, kind or ""):
            place = place_of(path)
            if place is None:
                raise DamagedError("no document lies there", "Run a check of the library.", place=path)
            yield place[1], place[0], blob

    def at(self, commit: str, name: str) -> Document:
        """Return a document as it was at a commit. Raises StoreError where it did not exist then."""
        if len(commit) != 40 or set(commit) - set("0123456789abcdef") or not ID.fullmatch(name):
            raise StoreError(f"{commit[:60]!r} is no version of {name[:60]!r}", "Take one from its history.")
        content = self._content_at(commit, name)
        if content is None:
            raise StoreError(f"{name} did not exist at {commit[:12]}", "Take a version from its history.")
        return self.understand(content)

    def history(self, name: str) -> list[Version]:
        """Return every version of a document, newest first."""
        from sprayout_library.store.versions import versions

        return versions(self, name)

    # ---- writing ----------------------------------------------------------------------------------------

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Be the only command that writes to this library while inside.

        Raises BusyError after 30 seconds, ReadOnlyError where the folder may not be written.
        """
        with told_plainly(self.folder):
            try:
                with held(self.folder / "sprayout.lock", seconds=_PATIENCE):
                    yield
            except LockedError:
                raise BusyError(
                    "another command is writing to this library",
                    "Wait for it to finish and try again.",
                    place=str(self.folder),
                ) from None

    def save(self, documents: Iterable[Document], message: str, author: str, now: datetime | None = None) -> str:
        """Save documents in one commit and return its id.

        documents  edited from what this store read; several go in together or not at all
        message    what was done, in a few words
        author     who did it: a handle is enough
        now        the time of the edit; by default this machine's clock
        raises     StaleError when one of them was changed by another command since it was read (nothing is
                   saved), FullDiskError, ReadOnlyError, BusyError
        """
        from sprayout_library.store.writing import Author, Written

        return self.write(documents, Written("edit", message, Author(author, now or datetime.now(UTC)))).commit

    def write(self, documents: Iterable[Document], how: Written) -> Written:
        """Save documents as an edit or as a packet taken in; see `save`."""
        from sprayout_library.store.writing import ready

        return self.write_ready(ready(documents), how)

    def inflow(self) -> AbstractContextManager[Inflow]:
        """Give what takes any number of documents in their stored form and saves them in one version."""
        from sprayout_library.store.inflow import inflow

        return inflow(self)

    def write_ready(self, contents: Mapping[str, bytes], how: Written) -> Written:
        """Save documents that are in their stored form already, by path; see `save`."""
        from sprayout_library.store.writing import fresh, write_edit

        copy = self.copy_id
        with self.writing():
            newest = self.newest()
            wanted = fresh(self, newest, contents)
            if not wanted and newest is not None:
                return how.done(newest)
            commit = write_edit(self, newest, wanted, how, copy)
            refs = all_refs(self.git, "refs/heads/")
            own = shop_ref(copy)
            move(self.git, {own: (refs.get(own), commit), MAIN: (refs.get(MAIN), commit)}, how.what)
        self.head = commit
        return how.done(commit)


@contextmanager
def told_plainly(folder: Path) -> Iterator[None]:
    """Turn what the system says about a full or read-only disk into an error with a remedy."""
    import errno

    try:
        yield
    except OSError as error:
        if error.errno in {errno.ENOSPC, errno.EDQUOT}:
            raise FullDiskError(
                "the disk is full", "Nothing was changed. Make room and try again.", place=str(folder)
            ) from error
        if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS} or not os.access(folder, os.W_OK):
            raise ReadOnlyError("the folder may not be written", "Check its permissions.", place=str(folder)) from error
        raise
