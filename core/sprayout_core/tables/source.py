"""A source: the bytes somebody brought, known by name, size and digest, never by path."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import BinaryIO

__all__ = ["Source", "in_memory"]


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
