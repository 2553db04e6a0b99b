"""What changed in a whole library between two days: what differs in each thing, who did it, and what was sprayed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from sprayout_core.compare import Line, tell
from sprayout_core.documents import Document, Layer, Panel, read
from sprayout_core.errors import SprayoutError
from sprayout_library.record.evidence import judged_panels
from sprayout_library.record.names import Names
from sprayout_library.record.shops import copies_called
from sprayout_library.record.writer import now_text
from sprayout_library.store import Commit, Store, read_commit
from sprayout_library.store.layout import place_of
from sprayout_library.store.reader import bulk

__all__ = ["Act", "Changed", "Period", "changed_in", "day_of"]

_COMMIT = re.compile(r"\x01([0-9a-f]{40})")
_CHANGE = re.compile(r":\d+ \d+ ([0-9a-f]{40}) ([0-9a-f]{40}) [A-Z]\t(.+)")
_NONE = "0" * 40
_EVIDENCE = ("panel", "reading", "judgement", "picture")
#: The kinds in the order they are told: what is mixed and sprayed first.
_ORDER = ("formula", "recipe", "material", "batch", "shop", "library")


@dataclass(frozen=True, slots=True)
class Act:
    """One thing somebody did: when, who, in which shop, in the words kept with it."""

    at: str
    by: str
    shop: str
    message: str

    def data(self) -> dict[str, str]:
        """Return it as plain members for JSON."""
        return {"at": self.at, "by": self.by, "shop": self.shop, "message": self.message}


@dataclass(slots=True)
class Changed:
    """One thing that is new or differs: how, who did it, and the panels sprayed of it in that time.

    lines   what differs between the two states, in layers; nothing for a new thing
    maker   who made it, at which shop, as it says itself: who took in a packet made none of what was in it
    """

    id: str
    kind: str
    name: str
    is_new: bool
    lines: tuple[Line, ...] = ()
    acts: list[Act] = field(default_factory=list)
    panels: tuple[str, ...] = ()
    maker: str = ""

    def data(self) -> dict[str, Any]:
        """Return it as plain members for JSON."""
        return {
            "id": self.id, "kind": self.kind, "name": self.name, "new": self.is_new,
            "changes": [{"layer": line.layer.value, "text": line.text} for line in self.lines],
            "acts": [act.data() for act in self.acts], "panels": list(self.panels),
            "made_by": self.maker,
        }  # fmt: skip


@dataclass(slots=True)
class Period:
    """What changed between two days: things by kind and name, and what was sprayed, measured and seen."""

    things: list[Changed] = field(default_factory=list)
    evidence: list[Changed] = field(default_factory=list)

    def data(self) -> dict[str, Any]:
        """Return it as plain members for JSON."""
        return {
            "things": [one.data() for one in self.things],
            "evidence": [one.data() for one in self.evidence],
        }


@dataclass(slots=True)
class _Track:
    """One document through a period: its content before and after, and the versions that changed it."""

    before: str = _NONE
    after: str = _NONE
    commits: list[str] = field(default_factory=list)


def day_of(text: str) -> date:
    """Return a day from "2026-03-02". Raises SprayoutError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise SprayoutError(f"{text[:40]!r} is no day", "Write it as year-month-day: 2026-03-02.") from None


def changed_in(store: Store, names: Names, since: date | None, until: date | None) -> Period:
    """Return what changed from one day up to the end of another, by the clock here; open ends mean all there is.

    Only what shops did counts, not the joining of it. Raises SprayoutError where the days are the wrong way round.
    """
    if since and until and until < since:
        raise SprayoutError(f"{until} comes before {since}", "Give the earlier day with --since.")
    tracks: dict[tuple[str, str], _Track] = {}
    commits: dict[str, Commit] = {}
    for commit, changes in _edits(store):
        if not _within(commit, since, until):
            continue
        commits[commit.id] = commit
        for place, old, new in changes:
            track = tracks.setdefault(place, _Track())
            track.after = new if not track.commits else track.after  # newest first
            track.before = old
            track.commits.append(commit.id)
    called = copies_called(store)
    found = Period()
    pairs = list(tracks.items())
    contents = _contents(store, [name for _, track in pairs for name in (track.before, track.after)])
    for (kind, identity), track in pairs:
        now = store.get(identity) if until is None else None  # with what was brought together since
        after = now or contents[track.after]
        one = _changed(names, kind, identity, contents.get(track.before), after)
        shop = names.label(after.provenance.shop) if after.provenance.shop else ""
        one.maker = ", ".join(said for said in (after.provenance.by, shop) if said)
        one.acts = [_act(commits[name], called) for name in reversed(track.commits)]
        (found.evidence if kind in _EVIDENCE else found.things).append(one)
    _sprayed(found, contents, tracks, names)
    found.things = [one for one in found.things if one.is_new or one.lines]
    found.things.sort(key=lambda one: (_ORDER.index(one.kind), one.name.casefold(), one.id))
    found.evidence.sort(key=lambda one: (_EVIDENCE.index(one.kind), one.acts[0].at, one.name))
    return found


def _edits(store: Store) -> Iterator[tuple[Commit, list[tuple[tuple[str, str], str, str]]]]:
    """Yield every commit that somebody made, newest first, with (place, blob before, blob after) of its changes."""
    if store.head is None:
        return
    words = ("--no-merges", "--format=%x01%H", "--raw", "-r", "--root", "--no-abbrev", "--no-renames")
    ids: list[str] = []
    changes: dict[str, list[tuple[tuple[str, str], str, str]]] = {}
    for line in store.git.text("log", "--topo-order", *words, store.head).splitlines():
        if head := _COMMIT.fullmatch(line):
            ids.append(head[1])
            changes[head[1]] = []
        elif (change := _CHANGE.fullmatch(line)) and (place := place_of(change[3])):
            changes[ids[-1]].append((place, change[1], change[2]))
    for name, (_, content) in zip(ids, bulk(store.git, ids), strict=True):
        yield read_commit(name, content), changes[name]


def _within(commit: Commit, since: date | None, until: date | None) -> bool:
    day = datetime.fromtimestamp(commit.author.at, UTC).astimezone().date()
    return (since is None or day >= since) and (until is None or day <= until)


def _contents(store: Store, blobs: Iterable[str]) -> dict[str, Document]:
    wanted = sorted({name for name in blobs if name != _NONE})
    return {found.id: read(content) for found, content in bulk(store.git, wanted)}


def _act(commit: Commit, called: dict[str, str]) -> Act:
    shop = called.get(commit.copy, f"copy {commit.copy}")
    return Act(now_text(commit.at), commit.author.name, shop, commit.subject)


def _changed(names: Names, kind: str, identity: str, before: Document | None, after: Document) -> Changed:
    name = names.label(identity) if identity in names.entries else after.name
    lines = tell(before, after, names.label) if before is not None else ()
    return Changed(identity, kind, name, before is None, lines)


def _sprayed(found: Period, contents: dict[str, Document], tracks: dict[tuple[str, str], _Track], names: Names) -> None:
    """Put the panels sprayed in the period beside what they were sprayed of, and beside their own evidence."""
    by_id = {identity: contents[track.after] for (_, identity), track in tracks.items()}
    panels = [one for one in by_id.values() if isinstance(one, Panel)]
    for one in found.things:
        of = [panel for panel in panels if one.id in (panel.proofs or {}) or panel.recipe == one.id]
        one.panels = tuple(names.label(panel.id) for panel in sorted(of, key=lambda panel: panel.sprayed_at or ""))
    for one in found.evidence:
        document = by_id[one.id]
        about: set[str] = set()
        if document.kind == "reading":
            about = {document.panel}  # type: ignore[attr-defined]
        elif document.kind == "judgement":
            about = judged_panels(document)  # type: ignore[arg-type]
        elif document.kind == "picture":
            about = {piece.panel for piece in document.shows}  # type: ignore[attr-defined]
        one.panels = tuple(sorted(names.label(panel) for panel in about))


def in_layers(lines: Iterable[Line]) -> list[tuple[Layer, list[str]]]:
    """Return lines gathered by their layer, the cup first."""
    gathered: dict[Layer, list[str]] = {}
    for line in lines:
        gathered.setdefault(line.layer, []).append(line.text)
    return [(layer, gathered[layer]) for layer in Layer if layer in gathered]
