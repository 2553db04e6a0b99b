"""What was settled, and what came in of either answer since, so that a choice can be looked at again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from sprayout_core.compare import ABSENT, questions_of
from sprayout_core.documents import Document, parse, read, tree, value_at
from sprayout_core.documents.which import is_panel
from sprayout_library.record.answers import told_value
from sprayout_library.record.behind import is_proved_by_panels, sprayed_of
from sprayout_library.record.choices import CHOSE, LOOKED, choices
from sprayout_library.record.evidence import EVIDENCE, Evidence, evidence_for, panels_named
from sprayout_library.record.names import Names
from sprayout_library.record.seen import told_judgement, told_picture
from sprayout_library.record.writer import now_text
from sprayout_library.store import Store, read_commit
from sprayout_library.store.reader import bulk
from sprayout_library.store.trees import changed_between

__all__ = ["CHOSE", "LOOKED", "Fresh", "Settled", "fresh_evidence", "settlements"]


@dataclass(frozen=True, slots=True)
class Settled:
    """One choice: where, when, by whom, what stands since, and the document before it, with all its answers.

    looked   the version in which somebody last looked at the evidence: the choice itself, or a later look
    """

    document: str
    atom: str
    at: str
    by: str
    before: Document
    value: Any
    looked: str


@dataclass(frozen=True, slots=True)
class Fresh:
    """New evidence on what was settled: the choice in words, and a line for each thing that came in since."""

    document: str
    title: str
    atom: str
    words: str
    at: str
    by: str
    stands: str
    lines: tuple[str, ...] = field(default=())

    def data(self) -> dict[str, Any]:
        """Return it as plain members for JSON: like a question, with no answers open."""
        return {
            "document": self.document, "title": self.title, "about": self.atom, "answers": [], "chosen_at": self.at,
            "by": self.by, "stands": self.stands, "since": list(self.lines),
        }  # fmt: skip


def settlements(store: Store, only: str | None = None) -> list[Settled]:
    """Return the choices that still stand, newest first: of one place the last one, of the last 200 choices."""
    found: dict[tuple[str, str], Settled] = {}
    looked: dict[str, str] = {}
    for commit, document, old, new in _chosen(store, only):
        before, after = parse(old), parse(new)
        atoms = [atom for atom in before.get("questions", {}) if atom not in after.get("questions", {})]
        if not atoms:
            looked.setdefault(document, commit)
        for atom in atoms:
            if (document, atom) in found or not is_proved_by_panels(before["kind"], atom):
                continue
            made = read_commit(commit, store.reader.content(commit) or b"")
            value = value_at(after, atom)
            found[document, atom] = Settled(
                document, atom, now_text(made.at), made.author.name, read(old),
                ABSENT if value is None else value, looked.get(document, commit),
            )  # fmt: skip
    return [one for one in found.values() if _stands(store, one)]


def _chosen(store: Store, only: str | None) -> Iterator[tuple[str, str, bytes, bytes]]:
    """Yield (commit, document, content before, content after) of what choices and later looks changed, newest first."""
    found = choices(store, only)
    contents = bulk(store.git, [name for one in found for name in (one.before, one.after)])
    for one in found:
        yield one.commit, one.document, next(contents)[1], next(contents)[1]


def _stands(store: Store, settled: Settled) -> bool:
    now = store.get(settled.document)
    if now is None or now.withdrawn is not None or settled.atom in questions_of(now):
        return False
    value = value_at(tree(now), settled.atom)
    return bool((ABSENT if value is None else value) == settled.value)


def fresh_evidence(store: Store, names: Names, only: str | None = None) -> list[Fresh]:
    """Return the choices on which something was sprayed, measured or judged since, of either answer."""
    settled = settlements(store, only)
    if not settled:
        return []
    panels = evidence_for(store, "panel")
    found = []
    for one in settled:
        if lines := tuple(_since(store, names, panels, one)):
            document = store.get(one.document)
            words = "chosen for " + one.atom.partition("/")[0].replace("_", " ").replace("mix", "the mix")
            stands = told_value(one.before, one.atom, one.value, names)
            called = document.name if document else ""
            found.append(Fresh(one.document, called, one.atom, words, one.at, one.by, stands, lines))
    return found


def _since(store: Store, names: Names, panels: Evidence, settled: Settled) -> Iterator[str]:
    """Yield what came into this library since the choice was last looked at, of any of its answers."""
    sides = dict(_sides(store, panels, settled))
    came = changed_between(store.git, settled.looked, store.head or settled.looked)
    fresh = [new for path, (old, new) in came.items() if not old and path.split("/")[0] in EVIDENCE]
    for document in (read(content) for _, content in bulk(store.git, fresh)):
        touched = {sides[panel] for panel in panels_named(document) & sides.keys()}
        if touched:
            yield f"{_told(document, names)}, {touched.pop() if len(touched) == 1 else 'of both'}"


def _sides(store: Store, panels: Evidence, settled: Settled) -> Iterator[tuple[str, str]]:
    """Yield (panel, which answer it shows) for every panel of every answer there was."""
    answers = tree(settled.before)["questions"][settled.atom].values()
    values = [answer["value"] for answer in answers if "value" in answer]
    for value in sorted(values, key=lambda value: value == settled.value):  # the chosen one has the last word
        status = sprayed_of(store, panels, settled.before, settled.atom, value)
        side = "of what was chosen" if value == settled.value else "of the other answer"
        yield from ((panel, side) for panel in (status.panels if status else ()))


def _told(document: Document, names: Names) -> str:
    if is_panel(document):
        return f"{document.name} was sprayed"
    if document.kind == "reading":
        return f"{_names(panels_named(document), names)} was measured"
    if document.kind == "judgement":
        return f"by eye: {told_judgement(document, names)}"
    return f"picture: {told_picture(document, names)}"


def _names(panels: Iterable[str], names: Names) -> str:
    return ", ".join(sorted(names.label(panel) for panel in panels))
