"""The order in which the packs of a repository hold its objects: read in it, each is a short step from the last.

Objects are kept as what differs from one another. Asked for at random, git unfolds long chains again and again.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt

__all__ = ["in_pack_order"]

_LINE = 41
"""Bytes of an object's name in hexadecimal and the end of its line."""
_MAGIC = b"\xfftOc\x00\x00\x00\x02"
_FANOUT = 8 + 256 * 4
_PACK = 1 << 48
"""More than any place in a pack: packs are read one after the other."""

Keys = npt.NDArray[np.uint64]
Places = npt.NDArray[np.int64]


def in_pack_order(lines: bytes, folder: Path) -> bytes:
    """Return object names, one a line, in the order of the packs of a repository; those in no pack come last.

    Only the order is taken from the tables of the packs (gitformat-pack, version 2), by the first eight bytes of
    each name: whatever stands there, every name is returned once.
    """
    names = np.frombuffer(lines, dtype=np.uint8).reshape(-1, _LINE)
    wanted = _keys(np.frombuffer(bytes.fromhex(lines.decode("ascii")), dtype=np.uint8).reshape(-1, 20))
    places = np.full(wanted.size, np.iinfo(np.int64).max, dtype=np.int64)
    for number, path in enumerate(sorted((folder / "objects" / "pack").glob("*.idx"))):
        known, where = _table(path)
        if known.size:
            near = np.minimum(np.searchsorted(known, wanted), known.size - 1)
            here = known[near] == wanted
            places[here] = where[near[here]] + number * _PACK
    return names[np.argsort(places, kind="stable")].tobytes()


def _keys(names: npt.NDArray[np.uint8]) -> Keys:
    return np.ascontiguousarray(names[:, :8]).view(">u8").ravel().astype(np.uint64)


def _table(path: Path) -> tuple[Keys, Places]:
    """Return the names in a pack, ascending, and where each lies; nothing of a table that is not understood."""
    nothing = np.empty(0, np.uint64), np.empty(0, np.int64)
    try:
        content = path.read_bytes()
    except OSError:  # packs are made anew while they are read
        return nothing
    count = int.from_bytes(content[_FANOUT - 4 : _FANOUT], "big")
    end = _FANOUT + count * 28
    if content[:8] != _MAGIC or len(content) < end + 40:
        return nothing
    names = np.frombuffer(content, np.uint8, count * 20, _FANOUT).reshape(-1, 20)
    places = np.frombuffer(content, ">u4", count, _FANOUT + count * 24).astype(np.int64)
    far = places >= 1 << 31
    if far.any():
        large = np.frombuffer(content, ">u8", (len(content) - 40 - end) // 8, end).astype(np.int64)
        places[far] = large[places[far] - (1 << 31)]
    return _keys(names), places
