"""Keeping the table that readings came from, by the digest they name it with."""

from __future__ import annotations

from pathlib import Path

from sprayout_core.tables import Source
from sprayout_library.inbox.copying import NoRoom
from sprayout_library.sources import LARGEST_SOURCE, SourceError, Sources

__all__ = ["keep_table"]


def keep_table(library: Path, source: Source) -> bool:
    """Keep a table beside the library and say whether it is kept: one larger than LARGEST_SOURCE is not.

    Raises NoRoom where it cannot be written.
    """
    if source.size > LARGEST_SOURCE:
        return False
    digest = "sha256:" + source.digest
    sources = Sources(library)
    if not sources.has(digest):
        try:
            with source.open() as stream:
                sources.keep(stream.read(), digest)
        except SourceError as error:
            raise NoRoom(f"the table cannot be kept: {error.fault.problem}", error.fault.remedy) from None
    return True
