"""Keeping files by digest in the library's folder: put once, read checked, never overwritten."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.documents import Document

__all__ = ["LARGEST_SOURCE", "SourceError", "Sources", "digest_of", "digests_named"]

#: Bytes of one source.
LARGEST_SOURCE = 50_000_000

_START = ".start"
_DIGEST = re.compile(r"sha256:([0-9a-f]{64})", re.ASCII)


class SourceError(SprayoutError):
    """A source that cannot be kept, or is not what its digest says."""


def digest_of(content: bytes) -> str:
    """Return the digest that names a content."""
    return f"sha256:{hashlib.sha256(content).hexdigest()}"


def digests_named(documents: Iterable[Document]) -> set[str]:
    """Return the digests of the sources that documents name: the images of pictures, the tables of readings."""
    from sprayout_core.documents import Picture

    found = set()
    for one in documents:
        if isinstance(one, Picture):
            found.add(one.image)
        if one.provenance.source:
            found.add(one.provenance.source)
    return found


class Sources:
    """The sources kept beside one library, in `sources/` of its folder."""

    def __init__(self, library: Path) -> None:
        self.folder = library / "sources"

    def path(self, digest: str) -> Path:
        """Return where a source lies, or would lie. Raises SourceError for what is no digest."""
        hit = _DIGEST.fullmatch(digest)
        if hit is None:
            raise SourceError(f"{digest[:80]!r} is no digest", "One is sha256: and 64 hexadecimal digits.")
        return self.folder / hit[1][:2] / hit[1]

    def has(self, digest: str) -> bool:
        """Return whether a source is kept here, by itself or as the start of a later one."""
        path = self.path(digest)
        return path.is_file() or path.with_suffix(_START).is_file()

    def grown(self, earlier: str, size: int, later: str) -> None:
        """Keep a source no longer by itself but as the first `size` bytes of a later one, where that is so.

        An instrument that adds a line to its file after every measurement would fill the disk otherwise.
        Both have to be kept; where one is not, nothing is done.
        """
        from sprayout_library.machine import write_whole

        path, longer = self.path(earlier), self.path(later)
        if earlier == later or not path.is_file() or not longer.is_file():
            return
        with longer.open("rb") as file:
            if digest_of(file.read(size)) != earlier:
                return
        write_whole(path.with_suffix(_START), f"{later} {size}\n".encode("ascii"))
        path.unlink()

    def keep(self, content: bytes, digest: str = "") -> str:
        """Keep a content under its digest and return that; known ones are left as they are.

        Raises SourceError where it is too large, or not what the digest given says.
        """
        if len(content) > LARGEST_SOURCE:
            raise SourceError(f"{len(content) // 1_000_000} MB", f"At most {LARGEST_SOURCE // 1_000_000} are kept.")
        name = digest_of(content)
        if digest and digest != name:
            raise SourceError("is not what its digest says", "It was damaged on its way.", place=digest[:24])
        path = self.path(name)
        if not path.is_file():
            from sprayout_library.machine import write_whole

            try:
                write_whole(path, content)
            except OSError as error:
                raise SourceError(
                    f"cannot be kept: {error.strerror}", "Check the room on the disk and permissions.", place=str(path)
                ) from None
        return name

    def content(self, digest: str) -> bytes | None:
        """Return a source's content, or None where it is not kept here. Raises SourceError where it was damaged."""
        path, size = self._stands(digest)
        try:
            with path.open("rb") as file:
                found = file.read(min(size, LARGEST_SOURCE + 1))
        except FileNotFoundError:
            return None
        except OSError as error:
            raise SourceError(f"cannot be read: {error.strerror}", "Check its permissions.", place=str(path)) from None
        if digest_of(found) != digest:
            raise SourceError("is damaged", "Take it away and ask for it again.", place=str(path))
        return found

    def _stands(self, digest: str) -> tuple[Path, int]:
        """Return where a source's bytes stand, in a later one it is the start of where it was grown, and how many."""
        size, seen = LARGEST_SOURCE + 1, {digest}
        while not (path := self.path(digest)).is_file():
            try:
                told = path.with_suffix(_START).read_text(encoding="ascii").split()
                digest, shorter = told[0], int(told[1])
            except (OSError, ValueError, IndexError):
                break
            if digest in seen:
                break
            seen.add(digest)
            size = min(size, shorter)
        return path, size
