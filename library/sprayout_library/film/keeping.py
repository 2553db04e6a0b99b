"""Derived results kept on this machine under what they were derived from: whole, or made anew; never synced."""

from __future__ import annotations

import hashlib
import io
import json
import os
import zipfile
from contextlib import suppress
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sprayout_library.machine import home, write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

__all__ = ["MOST_BYTES", "MOST_FILES", "edition", "folder", "keep", "kept", "key_of"]

#: The folder stays within both bounds: what was longest not used goes first.
MOST_FILES = 24
MOST_BYTES = 256_000_000
_SEAL = 64
_ROOMS = (
    "sprayout_core.film",
    "sprayout_core.light",
    "sprayout_core.difference",
    "sprayout_core.mix",
    "sprayout_core.ratio",
)
#: The modules of this room that derive; those that ask and tell do not count.
_MODULES = ("gathering.py", "shares.py", "spelled.py", "knowing.py")


@cache
def edition() -> str:
    """Return what names the code that derives: a digest of its own source, so that no change of it is forgotten."""
    digest = hashlib.sha256()
    sources = [file for room in _ROOMS for file in sorted(files(room).iterdir(), key=lambda one: one.name)]
    for file in (*sources, *(files("sprayout_library.film") / name for name in _MODULES)):
        if file.name.endswith(".py"):
            digest.update(f"{file.name}\n".encode() + file.read_bytes())
    return digest.hexdigest()


def key_of(*parts: bytes) -> str:
    """Return the key of what something is derived from, by this edition of the code."""
    digest = hashlib.sha256(edition().encode("ascii"))
    for part in parts:
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()


def folder() -> Path:
    """Return where this machine keeps what it derived."""
    return home() / "learned"


def kept(key: str) -> tuple[dict[str, Any], dict[str, Array]] | None:
    """Return the facts and arrays kept under a key, or None where there are none, or they are not whole."""
    path = folder() / key
    try:
        content = path.read_bytes()
        seal, body = content[:_SEAL], content[_SEAL:]
        if hashlib.sha256(body).hexdigest().encode("ascii") != seal:
            return None
        found = _unpacked(body)
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return None
    with suppress(OSError):  # used now: it goes last
        os.utime(path)
    return found


def _unpacked(body: bytes) -> tuple[dict[str, Any], dict[str, Array]]:
    import numpy as np

    with np.load(io.BytesIO(body), allow_pickle=False) as packed:
        arrays = {name: packed[name] for name in packed.files}
    facts = json.loads(arrays.pop("facts").tobytes())
    if not isinstance(facts, dict):
        raise ValueError("no facts")  # noqa: TRY004 - caught above: not whole
    return facts, arrays


def keep(key: str, facts: Mapping[str, Any], arrays: Mapping[str, Array]) -> None:
    """Keep facts (plain JSON) and arrays under a key. A machine that cannot keep them derives them again."""
    import numpy as np

    try:
        told = np.frombuffer(json.dumps(facts, allow_nan=False).encode("utf-8"), dtype=np.uint8)
    except ValueError:  # a number that is none has no spelling
        return
    packed = io.BytesIO()
    np.savez(packed, facts=told, **arrays)  # type: ignore[arg-type]
    body = packed.getvalue()
    if len(body) > MOST_BYTES // 2:
        return
    with suppress(OSError):
        write_whole(folder() / key, hashlib.sha256(body).hexdigest().encode("ascii") + body)
    _tidy(key)


def _tidy(newest: str) -> None:
    """Take away what is over the bounds; another command may be doing the same."""
    found = []
    with suppress(OSError):
        for path in folder().iterdir():
            with suppress(OSError):
                seen = path.stat()
                found.append((path.name != newest, -seen.st_mtime, seen.st_size, path))
    size = 0
    for place, (_, _, bytes_, path) in enumerate(sorted(found)):
        size += bytes_
        if place >= MOST_FILES or size > MOST_BYTES:
            with suppress(OSError):
                path.unlink()
