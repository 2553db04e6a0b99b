"""Every document of a kind, as fast as git tells them: one child lists, others read, and no path is looked at."""

from __future__ import annotations

import os
import subprocess
import tempfile
from collections import deque
from collections.abc import Iterator
from contextlib import ExitStack
from itertools import islice
from typing import IO, Any, NamedTuple

import msgspec

from sprayout_library.index.packed import in_pack_order
from sprayout_library.index.slim import decoder
from sprayout_library.store import DamagedError, FullDiskError, Store
from sprayout_library.store.git import failure, stop

__all__ = ["every", "objects"]

_CHUNK = 1 << 16
_PATIENCE = 3600.0
"""Seconds that listing a kind may take."""
_HASH = 40
_BLOB = b" blob "
_SIZE = _HASH + len(_BLOB)
"""Where the size of an object stands in what is said of it."""

_WORDS = ("cat-file", "--batch", "--buffer")
_PART = 10_000 * (_HASH + 1)
"""Bytes of names that one child is given. It answers into a file: git sends each object down a pipe by itself, and
waking up for each costs more than the object."""
_AHEAD = 2
"""Children that read while their answers are waited for."""


def every(store: Store, kind: str) -> Iterator[tuple[Any, str, bytes]]:
    """Yield the slim members, the blob id and the stored form of every document of a kind where the store reads.

    Raises DamagedError where one is missing or is no document of ours, FullDiskError where answers find no room.
    """
    if store.head is None:
        return
    decode = decoder(kind).decode
    listing = ("ls-tree", "-r", "--full-tree", "--format=%(objectname)", store.head, f"{kind}/")
    names = in_pack_order(store.git.run(*listing, seconds=_PATIENCE), store.folder)
    for answers in _answered(store, names):
        for blob, content in objects(answers):
            try:
                one = decode(content)
            except msgspec.MsgspecError as error:
                raise _damaged(f"object {blob} is no {kind}: {error}") from None
            yield one, blob, content


class _Asked(NamedTuple):
    """A child that reads some objects, the file its answers are in, and what it says of itself."""

    child: subprocess.Popen[bytes]
    answers: IO[bytes]
    said: IO[bytes]

    def answered(self) -> IO[bytes]:
        """Wait for the child's end and return its answers from their beginning."""
        if status := self.child.wait():
            self.said.seek(0)
            error = failure(_WORDS, status, self.said.read(20_000).decode("utf-8", "replace"))
            raise error if isinstance(error, FullDiskError) else _damaged("an object that git does not read")
        self.answers.seek(0)
        return self.answers

    def close(self) -> None:
        """End the child and let its files go."""
        stop(self.child)
        self.answers.close()
        self.said.close()


def _asked(store: Store, names: bytes) -> _Asked:
    with ExitStack() as files:
        given = tempfile.TemporaryFile()  # noqa: SIM115 - closed as soon as the child has it
        with given:
            answers, said = (files.enter_context(tempfile.TemporaryFile()) for _ in range(2))
            given.write(names)
            given.seek(0)
            asked = _Asked(store.git.start(*_WORDS, given=given, said=said, into=answers), answers, said)
        files.pop_all()
    return asked


def _answered(store: Store, names: bytes) -> Iterator[IO[bytes]]:
    """Yield what git answers to names, one a line, in files with some thousand objects each, in their order."""
    waiting: deque[_Asked] = deque()
    asking = (_asked(store, names[start : start + _PART]) for start in range(0, len(names), _PART))
    try:
        waiting.extend(islice(asking, _AHEAD))
        while waiting:
            answers = waiting[0].answered()
            waiting.extend(islice(asking, 1))  # before anything is made of the answers: git works meanwhile
            yield answers
            waiting.popleft().close()
    finally:
        for one in waiting:
            one.close()


def objects(pipe: IO[bytes]) -> Iterator[tuple[str, bytes]]:
    """Yield id and bytes of each blob as `cat-file --batch` writes them, taken in large pieces.

    pipe   a pipe or a file of which nothing was read yet: it is read past its buffer
    """
    descriptor = pipe.fileno()
    data, place = b"", 0
    while more := os.read(descriptor, _CHUNK):
        data, place = data[place:] + more, 0
        find, whole = data.find, len(data)
        while (end := find(b"\n", place)) > 0:
            if data[place + _HASH : place + _SIZE] != _BLOB:
                raise _damaged(f"object {data[place:end].decode('ascii', 'replace')}")
            last = end + 1 + int(data[place + _SIZE : end])
            if last >= whole:
                break
            yield data[place : place + _HASH].decode("ascii"), data[end + 1 : last]
            place = last + 1
    if place < len(data):
        raise _damaged("an object is cut off")


def _damaged(what: str) -> DamagedError:
    return DamagedError(what, "Run a check of the library.")
