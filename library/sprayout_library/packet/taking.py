"""Taking a packet in: join, then one commit that names its sha256. Twice is nothing, older is nothing."""

from __future__ import annotations

from datetime import datetime

from sprayout_library.packet.looking import Look
from sprayout_library.store import Author, Store, Written

__all__ = ["take"]


def take(store: Store, looked: Look, author: str, now: datetime) -> Written | None:
    """Save what a packet brings, as it was looked at, in one commit; None where it brings nothing.

    Sources of the packet are kept beside the library first: a document never waits for its source, and a source
    nobody names does no harm. Raises StaleError where another command changed one of the documents since.
    """
    from sprayout_library.sources import Sources

    kept = Sources(store.folder)
    for digest, content in looked.packet.sources.items():
        kept.keep(content, digest)
    changing = looked.changing
    if not changing:
        return None
    titles = [looked.packet.documents[identity].name for identity in looked.packet.about]
    message = f"Packet: {', '.join(titles)}"[:150]
    return store.write(changing, Written("packet", message, Author(author, now), looked.packet.sha256))
