"""What a stranger would have to guess of a recipe or a mix, told by its newest pieces as the index knows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_library.hub.pages.fetched import seen_of
from sprayout_library.index.rows import key, text_of
from sprayout_library.record.gaps import Gap, gaps_of

if TYPE_CHECKING:
    from sprayout_core.documents import Document
    from sprayout_library.hub.pages.rack import Hung
    from sprayout_library.hub.pages.visit import Visit
    from sprayout_library.index import Index

__all__ = ["guessed"]

#: Panels of one thing that are asked about, and bare ones of one ground.
_NEWEST, _BARE = 6, 50


def guessed(document: Document, visit: Visit) -> tuple[Gap, ...]:
    """Return the gaps of a recipe or a mix."""
    panels = [one for one in visit.panels_of(document) if not one.withdrawn][-_NEWEST:]
    return gaps_of(document, visit.find, _Known(visit, panels), visit.names.label)


@dataclass(slots=True)
class _Known:
    """A few panels of one thing: no document of them, and none of what was seen of them, is read for this."""

    visit: Visit
    panels: Sequence[Hung]
    _measured: set[str] | None = None
    _pictured: set[str] = field(default_factory=set)

    def panels_of(self, document: Document) -> Sequence[Hung]:
        return self.panels

    def is_measured(self, panel: str) -> bool:
        self._look()
        return panel in (self._measured or ())

    def is_pictured(self, panel: str) -> bool:
        self._look()
        return panel in self._pictured

    def is_ground_measured(self, ground: str) -> bool:
        bare = self.visit.seen.bare(self.visit.store, ground)[-_BARE:]
        return bool(bare) and self.visit.asking(lambda index: _any_bare(index, bare))

    def _look(self) -> None:
        if self._measured is None:
            ids = [one.id for one in self.panels]
            self._measured, self._pictured = self.visit.asking(
                lambda index: (_measured(index, ids), {name for name in ids if seen_of(index, [name], "picture")})
            )


def _measured(index: Index, panels: Iterable[str]) -> set[str]:
    query = "SELECT id, readings FROM doc WHERE id = ?"
    rows = (row for name in panels for row in index.rows(query, (key(name),)))
    return {text_of(raw) for raw, count in rows if count}


def _any_bare(index: Index, panels: Sequence[Hung]) -> bool:
    """Say whether any of these was measured where it is bare: all over, or at the step without coats."""
    query = "SELECT panel, step FROM spot WHERE panel = ? AND step = '0'"
    whole = [one.id for one in panels if not one.coats]
    stepped = (one.id for one in panels if one.coats)
    return bool(_measured(index, whole)) or any(next(index.rows(query, (key(name),)), None) for name in stepped)
