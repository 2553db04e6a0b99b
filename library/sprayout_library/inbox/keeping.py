"""Keeping the table that readings came from, by the digest they name it with."""

from __future__ import annotations

from pathlib import Path

from sprayout_core.tables import Source
from sprayout_library.inbox.copying import NoRoom
from sprayout_library.inbox.ledger import FileNote
from sprayout_library.sources import LARGEST_SOURCE, SourceError, Sources

__all__ = ["keep_table"]


def keep_table(library: Path, source: Source, former: FileNote | None = None) -> bool:
    """Keep a table beside the library and say whether it is kept: one larger than LARGEST_SOURCE is not.

    former  what came of the same file before; where rows were only added since, one copy holds both

    Raises NoRoom where it cannot be written.
    """
    if source.size > LARGEST_SOURCE:
        return False
    digest = _named(source.digest)
    sources = Sources(library)
    try:
        if not sources.has(digest):
            with source.open() as stream:
                sources.keep(stream.read(), digest)
        if former is not None and former.digest and 0 < former.size < source.size:
            sources.grown(_named(former.digest), former.size, digest)
    except SourceError as error:
        raise NoRoom(f"the table cannot be kept: {error.fault.problem}", error.fault.remedy) from None
    except OSError as error:
        raise NoRoom(f"the table cannot be kept: {error.strerror}", "Make room and try again.") from None
    return True


def _named(digest: str) -> str:
    return "sha256:" + digest
