"""Every panel of a library in few words: what the wall is hung by, read once and then only where it changed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, TypeVar

import msgspec

from sprayout_library.index.rows import key, text_of
from sprayout_library.index.slim import Head, Panel
from sprayout_library.store import Store
from sprayout_library.store.reader import bulk

if TYPE_CHECKING:
    from sprayout_core.light import View
    from sprayout_library.hub.pages.states import Moved
    from sprayout_library.index import Index
    from sprayout_library.index.slim import Reading

__all__ = [
    "Hung",
    "Looked",
    "Newest",
    "Rack",
    "Shot",
    "light_of",
    "lightness_of",
    "looked_at",
    "looked_in",
    "newest_first",
    "racked",
]

#: What stands for a piece where it was measured at several stages: what it is by now.
_STAGES = ("", "bare", "cleared", "polished")


class Hung(Panel):
    """A panel as far as the wall asks."""

    steps: dict[str, int] | None = None
    shape: str = ""

    @property
    def name(self) -> str:
        """The title, else the label code, else the end of the id."""
        return self.title or self.label or f"…{self.id[-6:]}"

    @property
    def at(self) -> str:
        """When it was sprayed, or written down where that is not known."""
        return self.sprayed_at or self.provenance.at


@dataclass(frozen=True, slots=True)
class Looked:
    """L*a*b* of one measured spot by geometry: readings of one spot are averaged, those of two never are."""

    zone: str
    step: str
    stage: str
    grade: str
    labs: Mapping[str, tuple[float, float, float]]


class Shot(Head):
    """A picture as far as hanging by light asks: its small picture is passed over."""

    light: str = ""
    taken_at: str = ""


Slim = TypeVar("Slim", Hung, Shot)


@dataclass(slots=True)
class Rack(Generic[Slim]):
    """The documents of a kind at one commit, by id; `blobs` names the exact content each was read from."""

    read: dict[str, Slim] = field(default_factory=dict)
    blobs: dict[str, str] = field(default_factory=dict)
    head: str | None = None


def racked(
    store: Store,
    kind: str,
    sort: type[Slim],
    before: Rack[Slim] | None,
    moved: Callable[[Store, str | None], Moved | None],
) -> Rack[Slim]:
    """Return the documents of a kind as the store reads them; of those before, the unchanged ones are taken over.

    moved  tells what changed since an earlier commit
    """
    before = before or Rack()
    changes = moved(store, before.head)
    if changes is None:
        blobs = dict(store.blobs(kind))
    else:
        mine = {name: blob for (its_kind, name), blob in changes.items() if its_kind == kind}
        blobs = {name: blob for name, blob in {**before.blobs, **mine}.items() if blob}
    fresh = [name for name, blob in blobs.items() if before.blobs.get(name) != blob]
    if not fresh and len(blobs) == len(before.blobs):
        return Rack(before.read, before.blobs, store.head)
    kept = {name: before.read[name] for name in blobs if name in before.read}
    decode = msgspec.json.Decoder(sort).decode
    for name, (_, content) in zip(
        fresh, bulk(store.git, [blobs[name] for name in fresh]) if fresh else (), strict=True
    ):
        kept[name] = decode(content)
    return Rack(kept, blobs, store.head)


def newest_first(panels: list[Hung]) -> None:
    """Sort panels, the one sprayed last first."""
    panels.sort(key=lambda one: (one.name, one.id))
    panels.sort(key=lambda one: one.at, reverse=True)


def looked_at(index: Index, panels: Iterable[str]) -> dict[str, list[Looked]]:
    """Return what was measured of some panels, under the view that the library chose."""
    import numpy as np

    found: dict[str, list[Looked]] = {}
    newer: list[frozenset[bytes]] = []
    wanted = [(name, key(name)) for name in panels]
    for level in index.levels:
        spots = {
            (name, *spot[1:]): spot[0]
            for name, raw in wanted
            if not any(raw in touched for touched in newer)
            for spot in level.db.execute("SELECT n, zone, step, stage, grade FROM spot WHERE panel = ?", (raw,))
        }
        newer.append(level.touched())
        if not spots:
            continue
        numbers = np.array(list(spots.values()), dtype=np.int32)
        by_geometry: list[dict[str, tuple[float, float, float]]] = [{} for _ in spots]
        for geometry in level.colours.geometries():
            rows, labs = level.colours.lab(geometry, 0)
            places = np.minimum(np.searchsorted(rows, numbers), max(rows.size - 1, 0))
            for place, (row, number) in enumerate(zip(places.tolist(), numbers.tolist(), strict=True)):
                if rows.size and rows[row] == number and np.isfinite(labs[row]).all():
                    L, a, b = labs[row].tolist()
                    by_geometry[place][geometry] = (L, a, b)
        for (name, zone, step, stage, grade), measured in zip(spots, by_geometry, strict=True):
            if measured:
                found.setdefault(name, []).append(Looked(zone, step, stage, grade, measured))
    return found


def looked_in(readings: Sequence[Reading], views: Sequence[View]) -> list[list[Looked]]:
    """Return what readings saw, spot by spot, under each of some views: computed as an index computes it."""
    import numpy as np

    from sprayout_library.index.colours import Gathered

    standing = [one for one in readings if one.withdrawn is None]
    replaced = {one.supersedes for one in standing if one.supersedes}
    gathered = Gathered(views)
    for one in standing:
        if one.id not in replaced:
            gathered.add(one)
    means = gathered.means()
    found: list[list[Looked]] = []
    for place in range(len(views)):
        seen = []
        for (_, zone, step, stage, grade), row in sorted(gathered.spots.items()):
            labs = {at: mean[place, row].tolist() for at, mean in means.items() if np.isfinite(mean[place, row]).all()}
            seen.append(Looked(zone, step, stage, grade, {at: (L, a, b) for at, (L, a, b) in labs.items()}))
        found.append(seen)
    return found


class Newest:
    """The place of a panel among others, the one sprayed last first."""

    __slots__ = ("_at", "_named")

    def __init__(self, panel: Hung) -> None:
        self._at, self._named = panel.at, (panel.name, panel.id)

    def __lt__(self, other: Newest) -> bool:
        return self._at > other._at if self._at != other._at else self._named < other._named


def light_of(panel: Hung, looked: Iterable[Looked]) -> float | None:
    """Return L* of a panel as `lightness_of` tells it, from what was measured of it."""
    best: tuple[tuple[int, int, int, float], float] | None = None
    for one in looked:
        if not one.labs:
            continue
        rank = _rank(panel, one.step, one.stage, one.grade)
        if best is None or rank > best[0]:
            best = rank, one.labs[min(sorted(one.labs, reverse=True), key=_away)][0]
    return None if best is None else best[1]


def _rank(panel: Hung, step: str, stage: str, grade: str) -> tuple[int, int, int, float]:
    """Return how much a measured spot tells of the whole panel; the greatest one counts."""
    own = panel.stage.surface if panel.stage else ""
    coats = float((panel.steps or {}).get(step, -1)) if step else -1.0
    return int(stage == own), int(grade == "spectrum"), _STAGES.index(stage) if stage in _STAGES else 0, coats


def lightness_of(index: Index, rack: Rack[Hung]) -> dict[str, float]:
    """Return L* of every measured panel by its id, for hanging from light to dark.

    Of a step card the step with most coats counts, of several angles the one nearest to the gloss, of several
    stages the last.
    """
    import numpy as np

    best: dict[str, tuple[tuple[int, int, int, float], float]] = {}
    newer: list[frozenset[bytes]] = []
    for level in index.levels:
        asked = list(level.db.execute("SELECT n, panel, step, stage, grade FROM spot"))
        lightness: dict[int, float] = {}
        for geometry in sorted(sorted(level.colours.geometries()), key=_away, reverse=True):
            rows, labs = level.colours.lab(geometry, 0)
            usable = np.isfinite(labs[:, 0]) if rows.size else np.zeros(0, dtype=bool)
            lightness.update(zip(rows[usable].tolist(), labs[usable, 0].tolist(), strict=True))
        for number, raw, step, stage, grade in asked:
            if number not in lightness or any(raw in touched for touched in newer):
                continue
            name = text_of(raw)
            hung = rack.read.get(name)
            if hung is None:
                continue
            rank = _rank(hung, step, stage, grade)
            if name not in best or rank > best[name][0]:
                best[name] = (rank, lightness[number])
        newer.append(level.touched())
    return {name: value for name, (_, value) in best.items()}


def _away(geometry: str) -> float:
    """Return how far from the gloss a geometry looks; one that is no such angle comes first."""
    from sprayout_core.errors import SprayoutError
    from sprayout_core.reading import angle

    try:
        return angle(geometry).aspecular
    except SprayoutError:
        return -360.0
