"""What lies behind an answer: the panels sprayed of it, and what was measured, seen and pictured of those."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sprayout_core.compare import ABSENT, Sprayed, Status
from sprayout_core.documents import Document, Formula, Panel, from_tree, tree, with_value
from sprayout_core.documents.which import is_formula, is_recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.between import manifest_of
from sprayout_library.record.evidence import Evidence
from sprayout_library.record.measured import colours_of, default_view
from sprayout_library.record.names import Names
from sprayout_library.record.seen import standing, told_judgement, told_picture
from sprayout_library.store import Store

__all__ = ["Behind", "Seen", "behind", "is_proved_by_panels", "last_sprayed", "settled_as", "sprayed_of"]

_PROVED = {"formula": ("mix", "spray_ready"), "recipe": ("coats", "coats_order", "clear")}


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing seen of a panel: how (measured, by eye, picture), when ("" where nobody said), and what."""

    way: str
    at: str
    told: str

    def data(self) -> dict[str, str]:
        """Return it as plain members for JSON."""
        return {"way": self.way, "at": self.at, "told": self.told}


@dataclass(frozen=True, slots=True)
class Behind:
    """One panel behind an answer: what it is called, over what, which shop sprayed it and when, what was seen of it."""

    panel: str
    name: str
    over: str
    shop: str
    at: str
    seen: tuple[Seen, ...]

    def data(self) -> dict[str, Any]:
        """Return the panel as plain members for JSON."""
        return {
            "panel": self.panel, "name": self.name, "over": self.over, "shop": self.shop, "sprayed_at": self.at,
            "seen": [one.data() for one in self.seen],
        }  # fmt: skip


def is_proved_by_panels(kind: str, atom: str) -> bool:
    """Return whether panels can be evidence for this place: of a material's density they are none."""
    return atom.partition("/")[0] in _PROVED.get(kind, ())


def settled_as(document: Document, atom: str, value: Any) -> Document | None:
    """Return the document as one answer would have it, other questions left open; None where it cannot stand so."""
    plain = tree(document)
    questions = dict(plain.get("questions", {}))
    questions.pop(atom, None)
    if atom == "mix":  # how it was written goes with the answer that wrote it
        questions = {name: held for name, held in questions.items() if name.partition("/")[0] != "mix"}
    bare = {name: held for name, held in plain.items() if name != "questions"}
    settled = with_value(bare, atom, None if value is ABSENT else value)
    if atom == "mix" and "mix" in settled:
        settled["mix"] = {name: held for name, held in settled["mix"].items() if name != "scale"}
    try:
        return from_tree(settled | ({"questions": questions} if questions else {}))
    except SprayoutError:
        return None


def sprayed_of(store: Store, panels: Evidence, document: Document, atom: str, value: Any) -> Status | None:
    """Return what the panels say of one answer; None where panels say nothing about such a place.

    panels   at least every panel of the library
    """
    version = settled_as(document, atom, value) if is_proved_by_panels(document.kind, atom) else None
    if not (is_formula(version) or is_recipe(version)):
        return None
    found = panels.status(version, store)
    if atom.startswith("spray_ready/") and found.state is Sprayed.SPRAYED:
        gun = atom.partition("/")[2]
        through = tuple(one for one in found.panels if gun in _guns(panels.panels[one], document.id))
        return Status(Sprayed.SPRAYED if through else Sprayed.NEVER, through)
    return found


def last_sprayed(formula: Formula, panels: Evidence, store: Store) -> Formula | None:
    """Return an open mix as the answer that was sprayed last would have it; None where none was sprayed."""
    found: list[tuple[str, str]] = []
    for dot, answer in panels.status(formula, store).answers.items():
        found += [(_sprayed(panels.panels[one]), dot) for one in answer.panels]
    if not found:
        return None
    value = tree(formula)["questions"]["mix"][max(found)[1]]["value"]
    version = settled_as(formula, "mix", value)
    return version if is_formula(version) else None


def _guns(panel: Panel, formula: str) -> set[str | None]:
    return {coat.spray_ready for coat in panel.coats or [] if coat.formula == formula}


def behind(
    store: Store, names: Names, panels: Mapping[str, Panel], wanted: tuple[str, ...], shops: Mapping[str, str]
) -> tuple[Behind, ...]:
    """Return panels with all that was seen of them, by when they were sprayed.

    panels   panel by id, at least those wanted
    shops    name by copy, for panels that name no shop
    """
    if not wanted:
        return ()
    evidence = evidence_of_panels(store, wanted)
    view = default_view(manifest_of(store))
    found = []
    for panel in sorted((panels[one] for one in wanted), key=lambda one: (_sprayed(one), one.id)):
        over = names.label(panel.ground.id) if panel.ground else ""
        seen = sorted(_seen(panel, evidence, names, view), key=lambda one: (one.at, one.told))
        found.append(Behind(panel.id, panel.name, over, _shop(panel, names, shops), _sprayed(panel), tuple(seen)))
    return tuple(found)


def _sprayed(panel: Panel) -> str:
    return panel.sprayed_at or panel.provenance.at


def _shop(panel: Panel, names: Names, shops: Mapping[str, str]) -> str:
    if panel.provenance.shop:
        return names.label(panel.provenance.shop)
    copy = panel.made.partition(".")[0]
    return shops.get(copy, f"copy {copy}")


def _seen(panel: Panel, evidence: Evidence, names: Names, view: Any) -> list[Seen]:
    readings = evidence.readings.get(panel.id, [])
    times = {one.id: one.measured_at or one.provenance.at for one in readings}
    found = []
    for colour in colours_of(readings, view):
        at = max(times[one] for one in colour.readings)
        shown = [_colour(geometry, seen.lab) for geometry, seen in colour.seen.items()]
        lines = shown or [f"no colour under {view}"]
        found += [
            Seen("measured", at, ", ".join(part for part in (colour.spot.said(), line) if part)) for line in lines
        ]
    judged = standing(evidence.judgements.get(panel.id, []))
    found += [Seen("by eye", one.at or one.provenance.at, told_judgement(one, names)) for one in judged]
    pictures = [one for one in evidence.pictures.get(panel.id, []) if one.withdrawn is None]
    found += [Seen("picture", one.taken_at or one.provenance.at, told_picture(one, names)) for one in pictures]
    return found


def _colour(geometry: str, lab: Any) -> str:
    values = "  ".join(f"{name} {value:.2f}" for name, value in zip(("L*", "a*", "b*"), lab, strict=True))
    return f"{geometry}: {values}"
