"""Our version of: a new document with its lineage, and how it differs from its parent."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.compare import Line, Naming, aligned, changes_between, tell, tell_found
from sprayout_core.documents import ATOMS, Layer, digest, tree
from sprayout_core.documents.which import is_recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.record.names import kind_said
from sprayout_library.record.writer import Writer
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Recipe

__all__ = ["Parent", "derived", "facts_of", "parent_of", "tell_between"]

_KINDS = ("formula", "recipe")
#: What a new version of something does not inherit: who it was checked against, and its own story.
_LEFT = ("standards", "notes", "withdrawn", "aliases")
_HEAD = ("format", "kind", "id", "provenance", "made", "seen", "edits", "questions")


@dataclass(frozen=True, slots=True)
class Parent:
    """What a document was derived from: its id, the state it was derived from where that is known, words.

    document  the parent as it stood then; None where it or that state is not here
    since     whether the parent stands otherwise by now
    lines     how the child differs from the parent as it stood then
    """

    id: str
    document: Document | None
    since: str
    lines: tuple[Line, ...]


def facts_of(document: Document) -> dict[str, Any]:
    """Return the facts of a formula or a recipe as `Writer.new` takes them, for a new document like it.

    Raises SprayoutError for other kinds, and while answers compete.
    """
    if document.kind not in _KINDS:
        raise SprayoutError(
            f"a {kind_said(document.kind)} has no versions of its own", "Derive from a mix or a recipe."
        )
    if document.questions:
        raise SprayoutError(f"{document.name}: two answers are open", "Choose first: sprayout answers.")
    plain = tree(document)
    keyed = {row.member for row in ATOMS[document.kind] if row.keyed == "dot"}
    facts: dict[str, Any] = {}
    for name, value in plain.items():
        if name in _HEAD or name in _LEFT or name == "coats_order":
            continue
        if name == "coats":
            facts[name] = [plain["coats"][key] for key, _ in document.coats_in_order()]  # type: ignore[attr-defined]
        else:
            facts[name] = list(_distinct(value)) if name in keyed else value
    return facts


def _distinct(items: Mapping[str, Any]) -> list[Any]:
    found: list[Any] = []
    for item in items.values():
        if item not in found:
            found.append(item)
    return found


def derived(
    writer: Writer, parent: Document, title: str, changed: Mapping[str, Any], library: str | None = None
) -> Document:
    """Return a new document like `parent` with some facts changed, not saved yet; its lineage says where from.

    library   the id of the manifest of the library that the parent lives in, where that is another one
    """
    lineage: dict[str, str] = {"id": parent.id, "digest": digest(parent)}
    if library:
        lineage["library"] = library
    return writer.new(parent.kind, {**facts_of(parent), "title": title, **changed}, derived=lineage)


def parent_of(child: Document, store: Store, name: Naming) -> Parent | None:
    """Return what a document was derived from, or None where it is nobody's version."""
    lineage = child.provenance.derived
    if lineage is None:
        return None
    parent = store.get(lineage.id)
    if parent is None or parent.kind != child.kind:
        return Parent(lineage.id, None, "not here", ())
    then: Document | None = parent
    since = ""
    if digest(parent) != lineage.digest:
        states = (store.at(version.commit, lineage.id) for version in store.history(lineage.id))
        then = next((state for state in states if digest(state) == lineage.digest), None)
        since = "changed since" if then is not None else "changed since; the state it was derived from is not here"
    lines = tell_between(then if then is not None else parent, child, name)
    return Parent(lineage.id, then, since, lines)


def tell_between(before: Document, after: Document, name: Naming) -> tuple[Line, ...]:
    """Return how one document differs from another of its kind, in the trade's terms.

    Items keyed by the edit that made them are matched by what they say, coats by their place in the order.
    """
    if before.id == after.id or before.questions or after.questions:
        return tell(before, after, name)
    old, new = tree(before), tree(after)
    apart = changes_between(old, aligned(old, new))
    # Titles differ by nature, and coats are told below, each with its place in the order.
    found = [one for one in apart if one.place not in ("title", "withdrawn") and not one.place.startswith("coats")]
    lines = list(tell_found(found, before, after, name))
    if is_recipe(before) and is_recipe(after):
        lines += [Line(Layer.WORK, text) for text in _coats(before, after, name)]
    order = list(Layer)
    return tuple(sorted(lines, key=lambda line: order.index(line.layer)))


def _coats(old: Recipe, new: Recipe, name: Naming) -> Iterator[str]:
    """Yield how coats differ, first with first: only what is different of each."""
    ours, theirs = ([tree(one)["coats"][key] for key, _ in one.coats_in_order()] for one in (old, new))
    for number, (before, after) in enumerate(itertools.zip_longest(ours, theirs), 1):
        if before is None or after is None:
            coat, told = (after, "is new") if before is None else (before, "is no longer there")
            yield f"coat {number}: {coat['count']} {name(coat['formula'])} {told}"
            continue
        for member in sorted({*before, *after}):
            if before.get(member) != after.get(member):
                was, now = (_said(coat.get(member), name) for coat in (before, after))
                label = {"formula": "mix", "spray_ready": "through"}.get(member, member.replace("_", " "))
                yield f"coat {number}, {label}: {was} before, {now} now"


def _said(value: Any, name: Naming) -> str:
    if value is None:
        return "not said"
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {item}" for key, item in value.items())
    text = str(value)
    return name(text) if len(text) == 36 and text.count("-") == 4 else text
