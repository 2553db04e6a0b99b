"""What was worked out of panels in one state of a library and still holds in the next, but for those that changed."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sprayout_library.hub.pages.rack import light_of, looked_at
from sprayout_library.index.slim import decoder

if TYPE_CHECKING:
    from sprayout_library.hub.pages.pieces import Piece
    from sprayout_library.hub.pages.rack import Hung, Rack
    from sprayout_library.hub.pages.states import Moved
    from sprayout_library.index import Index
    from sprayout_library.store import Store

__all__ = ["Carried", "relit", "reordered", "touched_panels"]

#: Panels that are gone through one by one; of more, everything is worked out anew.
_FEW = 500


@dataclass(slots=True)
class Carried:
    """What an earlier state knew of its panels, and the commit it stood at."""

    head: str | None = None
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    texts: Mapping[str, str] | None = None
    lightness: Mapping[str, float] | None = None
    orders: Mapping[str, list[Hung]] = field(default_factory=dict)


def touched_panels(store: Store, moved: Moved | None, rack: Rack[Hung]) -> frozenset[str] | None:
    """Return the panels that may show otherwise since: changed, measured, or of a recipe or ground that changed.

    None where that is not known, or they are many.
    """
    if moved is None or any(kind == "library" for kind, _ in moved):  # another light shows everything otherwise
        return None
    readings = [blob for (kind, _), blob in moved.items() if kind == "reading"]
    if "" in readings:  # taken away by something else than this program
        return None
    decode = decoder("reading").decode
    found = {name for kind, name in moved if kind == "panel"}
    found |= {decode(content).panel for content in store.reader.contents(readings) if content is not None}
    named = {name for kind, name in moved if kind in ("material", "formula", "recipe")}
    if named:
        found |= {
            one.id for one in rack.read.values() if one.recipe in named or (one.ground and one.ground.id in named)
        }
    return frozenset(found) if len(found) <= _FEW else None


def relit(index: Index, rack: Rack[Hung], before: Mapping[str, float], touched: Collection[str]) -> dict[str, float]:
    """Return L* of every measured panel, those that were touched looked at anew."""
    found = {name: value for name, value in before.items() if name not in touched}
    for name, looked in looked_at(index, [name for name in touched if name in rack.read]).items():
        if (light := light_of(rack.read[name], looked)) is not None:
            found[name] = light
    return found


def reordered(
    before: Iterable[Hung], touched: Collection[str], rack: Rack[Hung], key: Callable[[Hung], Any]
) -> list[Hung]:
    """Return panels that hang in order, those that were touched put where they belong now."""
    found = [one for one in before if one.id not in touched]
    for name in touched:
        one = rack.read.get(name)
        if one is not None and not one.withdrawn:
            insort(found, one, key=key)
    return found
