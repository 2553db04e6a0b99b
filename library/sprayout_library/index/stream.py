"""Every document of a kind, as fast as git tells them: one child lists, another reads, and no path is looked at."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from typing import IO, Any

import msgspec

from sprayout_library.index.packed import in_pack_order
from sprayout_library.index.slim import decoder
from sprayout_library.store import DamagedError, Store

__all__ = ["every", "objects"]

_CHUNK = 1 << 20
_PATIENCE = 3600.0
"""Seconds that listing a kind may take."""
_HASH = 40
_BLOB = b" blob "


def every(store: Store, kind: str) -> Iterator[tuple[Any, str, bytes]]:
    """Yield the slim members, the blob id and the stored form of every document of a kind where the store reads.

    Raises DamagedError where one is missing or is no document of ours.
    """
    if store.head is None:
        return
    decode = decoder(kind).decode
    listing = ("ls-tree", "-r", "--full-tree", "--format=%(objectname)", store.head, f"{kind}/")
    names = store.git.run(*listing, seconds=_PATIENCE)
    with tempfile.TemporaryFile() as asked:
        asked.write(in_pack_order(names, store.folder))
        asked.seek(0)
        del names
        with store.git.started("cat-file", "--batch", "--buffer", given=asked) as contents:
            assert contents.stdout is not None
            for blob, content in objects(contents.stdout):
                try:
                    yield decode(content), blob, content
                except msgspec.MsgspecError as error:
                    raise _damaged(f"object {blob} is no {kind}: {error}") from None
            if contents.wait():
                raise _damaged(f"git stopped while {kind} documents were read")


def objects(pipe: IO[bytes]) -> Iterator[tuple[str, bytes]]:
    """Yield id and bytes of each blob as `cat-file --batch` writes them, taken out of the pipe in large pieces.

    pipe   a pipe of which nothing was read yet: it is read past its buffer
    """
    descriptor = pipe.fileno()
    data, place = b"", 0
    while more := os.read(descriptor, _CHUNK):
        data, place = data[place:] + more, 0
        while (end := data.find(b"\n", place)) > 0:
            if data[place + _HASH : place + _HASH + len(_BLOB)] != _BLOB:
                raise _damaged(f"object {data[place:end].decode('ascii', 'replace')}")
            last = end + 1 + int(data[place + _HASH + len(_BLOB) : end])
            if last >= len(data):
                break
            yield data[place : place + _HASH].decode("ascii"), data[end + 1 : last]
            place = last + 1
    if place < len(data):
        raise _damaged("an object is cut off")


def _damaged(what: str) -> DamagedError:
    return DamagedError(what, "Run a check of the library.")
