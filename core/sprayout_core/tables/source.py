"""A source: the bytes somebody brought, known by name, size and digest, never by path."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

__all__ = ["Source", "counted", "in_memory"]


@dataclass(frozen=True, slots=True)
class Source:
    """Bytes that can be read again and again from their start.

    name    the file's own name, without any folder; only for telling people
    size    number of bytes
    digest  SHA-256 of the bytes, 64 lower-case hexadecimal digits (FIPS 180-4)
    opener  returns a fresh binary stream standing at byte 0; the caller closes it
    """

    name: str
    size: int
    digest: str
    opener: Callable[[], BinaryIO] = field(repr=False, compare=False)

    def open(self) -> BinaryIO:
        """Return a fresh binary stream standing at byte 0; close it when done."""
        return self.opener()


def in_memory(name: str, content: bytes) -> Source:
    """Return a source whose bytes are already in memory."""
    return Source(name, len(content), hashlib.sha256(content).hexdigest(), lambda: io.BytesIO(content))


def counted(source: Source, tell: Callable[[int], None]) -> Source:
    """Return the same source, telling how many bytes have been read whenever more of it is: for showing progress.

    tell  called with the bytes read since the stream was opened; each opening begins again at 0
    """
    return replace(source, opener=lambda: io.BufferedReader(_Counted(source.open(), tell), 1 << 18))


class _Counted(io.RawIOBase):
    """A stream that tells how far it has been read."""

    def __init__(self, inner: BinaryIO, tell: Callable[[int], None]) -> None:
        self._inner = inner
        self._tell = tell
        self._read = 0

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: WriteableBuffer, /) -> int:
        with memoryview(buffer) as view, view.cast("B") as room:
            found = self._inner.read(len(room))
            room[: len(found)] = found
        self._read += len(found)
        self._tell(self._read)
        return len(found)

    def close(self) -> None:
        self._inner.close()
        super().close()
