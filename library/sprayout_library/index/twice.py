"""Doubles: one composition under two titles, one row of a source taken in twice, one image in two pictures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass

import msgspec

from sprayout_library.index.opened import Index
from sprayout_library.index.rows import text_of
from sprayout_library.store import Store

__all__ = ["Double", "doubles"]


@dataclass(frozen=True, slots=True)
class Double:
    """Documents that say one thing more than once: why they are taken for doubles, and their ids."""

    why: str
    ids: tuple[str, ...]


class _Origin(msgspec.Struct):
    source: str = ""
    source_place: str = ""


class _Seen(msgspec.Struct):
    id: str
    panel: str = ""
    measured: msgspec.Raw = msgspec.Raw(b"")
    image: str = ""
    supersedes: str = ""
    withdrawn: dict[str, int] | None = None
    provenance: _Origin = msgspec.field(default_factory=_Origin)


def doubles(index: Index, store: Store) -> list[Double]:
    """Return everything that stands twice; what is withdrawn or superseded does not count."""
    mixes: dict[Hashable, list[str]] = defaultdict(list)
    for raw, mix in index.rows("SELECT id, mix FROM doc WHERE mix IS NOT NULL AND withdrawn = 0"):
        mixes[mix].append(text_of(raw))
    found = [Double("one composition under several titles", ids) for ids in _several(mixes)]
    readings = list(_standing(store, "reading"))
    places = _by((one.id, (one.provenance.source, one.provenance.source_place)) for one in readings
                 if one.provenance.source and one.provenance.source_place)  # fmt: skip
    found += [Double("one place of one source, taken in several times", ids) for ids in _several(places)]
    said = {frozenset(double.ids) for double in found}
    panels = {one.id: one.panel for one in readings}
    values = _by((one.id, bytes(one.measured)) for one in readings)
    for ids in _several(values):
        if len({panels[one] for one in ids}) > 1 and frozenset(ids) not in said:
            found.append(Double("the very same figures on several panels", ids))
    images = _by((one.id, one.image) for one in _standing(store, "picture"))
    return found + [Double("one image in several pictures", ids) for ids in _several(images)]


def _standing(store: Store, kind: str) -> Iterator[_Seen]:
    decode = msgspec.json.Decoder(_Seen).decode
    kept = [one for _, content in store.raw(kind) if (one := decode(content)).withdrawn is None]
    replaced = {one.supersedes for one in kept}
    yield from (one for one in kept if one.id not in replaced)


def _by(pairs: Iterable[tuple[str, Hashable]]) -> dict[Hashable, list[str]]:
    found: dict[Hashable, list[str]] = defaultdict(list)
    for identity, said in pairs:
        found[said].append(identity)
    return found


def _several(groups: dict[Hashable, list[str]]) -> Iterator[tuple[str, ...]]:
    return (tuple(sorted(ids)) for ids in groups.values() if len(ids) > 1)
