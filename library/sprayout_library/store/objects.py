"""Building git objects and sending any number of them to git in one pack."""

from __future__ import annotations

import hashlib
import re
import tempfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain
from typing import IO

from sprayout_library.store.errors import DamagedError
from sprayout_library.store.git import Git

__all__ = [
    "EMPTY_TREE",
    "FILE",
    "FOLDER",
    "Entry",
    "Pile",
    "entry",
    "is_spelled_by_git",
    "object_id",
    "read_tree",
    "tree_bytes",
]

EMPTY_TREE = "4b825dc642cb6eb9a060e54bf8d69288fbee4904"
"""The id of a tree with nothing in it."""

FILE = b"100644"
FOLDER = b"40000"

_ENTRIES = re.compile(rb"([^ ]*) ([^\0]*)\0(.{20})", re.DOTALL)
_PACK_KINDS = {"commit": 1, "tree": 2, "blob": 3}
_FEW = 100
"""Up to this many objects are written loose; more stay together in one pack."""


Entry = tuple[bytes, bytes]
"""One line of a tree: its mode, and the id of what it names in the 20 bytes of a tree; `entry` makes one."""


def entry(mode: bytes, name: str) -> Entry:
    """Return the line of a tree that names an object by its id."""
    return mode, bytes.fromhex(name)


def object_id(kind: str, content: bytes) -> str:
    """Return the id git gives to an object."""
    return hashlib.sha1(b"%s %d\0" % (kind.encode(), len(content)) + content, usedforsecurity=False).hexdigest()


def read_tree(content: bytes) -> dict[bytes, Entry]:
    """Return the entries of a tree object by name."""
    found = _ENTRIES.findall(content)
    if sum(map(len, chain.from_iterable(found))) + 2 * len(found) != len(content):
        raise DamagedError("a tree is cut off", "Run a check of the library.")
    return {name: (mode, blob) for mode, name, blob in found}


def is_spelled_by_git(content: bytes, entries: Mapping[bytes, Entry]) -> bool:
    """Say whether the entries read from a tree make its bytes again: they are sorted, and none stands twice."""
    order = [name + b"/" if mode == FOLDER else name for name, (mode, _) in entries.items()]
    length = sum(map(len, entries)) + sum(len(mode) for mode, _ in entries.values()) + 22 * len(entries)
    return length == len(content) and order == sorted(order)


def tree_bytes(entries: Mapping[bytes, Entry]) -> bytes:
    """Return the bytes of a tree object; folders sort as if their name ended in a slash."""
    order = sorted(
        (name + b"/" if mode == FOLDER else name, name, mode, blob) for name, (mode, blob) in entries.items()
    )
    return b"".join([b"%s %s\0%s" % (mode, name, blob) for _, name, mode, blob in order])


@dataclass(slots=True)
class Pile:
    """Objects waiting to be written; kept compressed and out of memory, sent to git in one go."""

    _file: IO[bytes]
    _ids: set[str]

    def __init__(self) -> None:
        self._file = tempfile.SpooledTemporaryFile(max_size=8_000_000)  # noqa: SIM115 - closed by close()
        self._ids = set()

    def __len__(self) -> int:
        return len(self._ids)

    def close(self) -> None:
        """Give back the room the pile took."""
        self._file.close()

    def __enter__(self) -> Pile:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def add(self, kind: str, content: bytes) -> str:
        """Put one object on the pile and return its id."""
        name = object_id(kind, content)
        if name not in self._ids:
            self._ids.add(name)
            size = len(content)
            first = _PACK_KINDS[kind] << 4 | size & 15
            size >>= 4
            head = bytearray()
            while size:
                head.append(first | 128)
                first, size = size & 127, size >> 7
            head.append(first)
            self._file.write(bytes(head))
            self._file.write(zlib.compress(content, 1))
        return name

    def write(self, git: Git) -> None:
        """Let git take the pile in; nothing refers to it yet, so being stopped here leaves only waste."""
        if not self._ids:
            return
        with tempfile.TemporaryFile() as pack:
            self._spell(pack)
            if len(self._ids) <= _FEW:
                git.run("unpack-objects", "-q", given=pack, seconds=600)
            else:
                git.run("index-pack", "--stdin", given=pack, seconds=3600)

    def _spell(self, pack: IO[bytes]) -> None:
        digest = hashlib.sha1(usedforsecurity=False)
        head = b"PACK" + (2).to_bytes(4, "big") + len(self._ids).to_bytes(4, "big")
        self._file.seek(0)
        for part in (head, *iter(lambda: self._file.read(1 << 20), b"")):
            digest.update(part)
            pack.write(part)
        pack.write(digest.digest())
        pack.seek(0)
        self._file.seek(0, 2)
