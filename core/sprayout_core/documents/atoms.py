"""The table of atoms: for every kind, what is edited as one, and what happens when copies disagree.

An atom is named by its path. A pattern ends in `/*` where each item under a member is an atom of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache

from sprayout_core.documents.json_value import Json

__all__ = [
    "ATOMS",
    "FIXED",
    "HEAD",
    "MIX_DISPLAY",
    "RECORD",
    "Atom",
    "Layer",
    "Policy",
    "atom_for",
    "atoms_of",
    "implied_dot",
    "rows_by_member",
    "value_at",
    "with_value",
]

#: The edit record itself, which no atom holds.
RECORD = ("made", "seen", "edits", "questions")
#: Facts of the head that no edit changes.
HEAD = ("format", "id", "kind", "provenance")
#: How a mix was written: members of it that are atoms of their own.
MIX_DISPLAY = ("scale", "order", "as_typed")


class Policy(Enum):
    """What happens when two live values of an atom differ."""

    ASK = "ask"
    QUIET = "quiet"
    SET = "set"
    FIXED = "fixed"
    WITHDRAWAL = "withdrawal"


class Layer(Enum):
    """In which layer of a comparison a change of this atom is told."""

    CUP = "in the cup"
    WORK = "in the work"
    EVIDENCE = "in the evidence"
    COLOUR = "in the colour"
    WORDS = "in the words"


@dataclass(frozen=True, slots=True)
class Atom:
    """One row of the table. `keyed` says how the items of a `/*` pattern are keyed: by dot or by name."""

    pattern: str
    policy: Policy
    layer: Layer
    keyed: str = ""

    @property
    def member(self) -> str:
        """The member that holds the items of a keyed pattern."""
        return self.pattern.removesuffix("/*")


def _ask(pattern: str, layer: Layer, keyed: str = "") -> Atom:
    return Atom(pattern, Policy.ASK, layer, keyed)


def _set(member: str, layer: Layer) -> Atom:
    return Atom(member, Policy.SET, layer, "dot")


def _quiet(pattern: str, layer: Layer) -> Atom:
    return Atom(pattern, Policy.QUIET, layer)


def _facts(layer: Layer, *members: str) -> tuple[Atom, ...]:
    return tuple(_ask(member, layer) for member in members)


_COMMON = (
    _ask("title", Layer.WORDS),
    _ask("rights", Layer.WORDS),
    _set("tags", Layer.WORDS),
    _set("aliases", Layer.WORDS),
    _set("references", Layer.WORDS),
    _ask("notes/*", Layer.WORDS, "dot"),
    Atom("withdrawn", Policy.WITHDRAWAL, Layer.WORDS),
)

#: What each kind has beside the common rows.
ATOMS: Mapping[str, tuple[Atom, ...]] = {
    "material": (
        *_COMMON,
        *_facts(Layer.CUP, "role", "density_g_per_ml", "volume_solids_percent", "mass_solids_percent"),
        *_facts(Layer.CUP, "voc_g_per_l", "flake_um"),
        _ask("safety_notes", Layer.WORDS),
        _set("lots", Layer.WORDS),
        _set("cautions", Layer.WORDS),
    ),
    "formula": (
        *_COMMON,
        _ask("mix", Layer.CUP),
        _quiet("mix/scale", Layer.WORK),
        _quiet("mix/order", Layer.WORK),
        _quiet("mix/as_typed", Layer.WORDS),
        _ask("spray_ready/*", Layer.WORK, "name"),
    ),
    "recipe": (
        *_COMMON,
        _set("grounds", Layer.WORK),
        _ask("coats/*", Layer.WORK, "dot"),
        _ask("coats_order", Layer.WORK),
        _ask("clear", Layer.WORK),
        _ask("standards/*", Layer.EVIDENCE, "name"),
        _ask("tolerance", Layer.EVIDENCE),
    ),
    "batch": (*_COMMON, _set("taken_out", Layer.WORK), _ask("label", Layer.WORDS)),
    "panel": (*_COMMON, *_facts(Layer.EVIDENCE, "stage"), *_facts(Layer.WORDS, "label", "kept")),
    "reading": _COMMON,
    "judgement": _COMMON,
    "picture": _COMMON,
    "shop": (*_COMMON, _ask("copies/*", Layer.WORDS, "name"), _ask("baseline_grounds", Layer.WORDS)),
    "library": (*_COMMON, *_facts(Layer.WORDS, "illuminant", "observer", "difference")),
}

#: What each kind has that is written once and never edited: a correction is a new document that supersedes.
FIXED: Mapping[str, tuple[str, ...]] = {
    "batch": ("formula", "spray_ready", "proofs", "poured", "takes_whole", "poured_at", "catalysed"),
    "panel": (
        "recipe", "recipe_proof", "ground", "shape", "zones", "steps", "coats", "clear", "conditions",
        "session", "sprayed_at", "proofs", "poured", "supersedes",
    ),
    "reading": (
        "panel", "zone", "step", "stage", "grade", "measured", "instrument", "measured_at", "repeat",
        "temperature_degc", "supersedes",
    ),
    "judgement": ("way", "quality", "pieces", "against", "light", "where", "by", "at", "supersedes"),
    "picture": (
        "image", "media", "bytes", "shows", "cup", "light", "tilt_deg", "taken_at", "thumbnail", "supersedes",
    ),
}  # fmt: skip

_BY_NAME = {kind: {atom.pattern: atom for atom in rows} for kind, rows in ATOMS.items()}


def atom_for(kind: str, name: str) -> Atom | None:
    """Return the row that an atom's name falls under; None for a fixed fact or a member of the record.

    An unknown top-level member is one asked atom: a newer edition may have brought it.
    """
    rows = _BY_NAME[kind]
    if name in rows:
        return rows[name]
    member, slash, _ = name.partition("/")
    if slash:
        return rows.get(f"{member}/*")
    known = HEAD + RECORD + FIXED.get(kind, ())
    held = member in known or f"{member}/*" in rows
    return None if held else Atom(member, Policy.ASK, Layer.WORDS)


def atoms_of(tree: Mapping[str, Json]) -> Iterator[tuple[str, Atom]]:
    """Yield (name, row) of every atom that a document's tree speaks of, items of keyed members one by one.

    A set yields itself once, under its member's name.
    """
    kind = tree["kind"]
    names: set[str] = set(tree.get("edits", ())) | set(tree.get("questions", ()))
    rows = rows_by_member(kind)
    for member in tree:
        for row in rows.get(member, ()):
            if row.pattern.endswith("/*"):
                names.update(f"{member}/{key}" for key in tree[member])
            elif value_at(tree, row.pattern) is not None:
                names.add(row.pattern)
    names.update(tree.keys() - _known(kind))
    for name in sorted(names):
        row_of_name = atom_for(kind, name)
        if row_of_name is not None:
            yield name, row_of_name


@cache
def rows_by_member(kind: str) -> Mapping[str, tuple[Atom, ...]]:
    """Return the rows of a kind by the member at the top that holds their atoms."""
    rows: dict[str, tuple[Atom, ...]] = {}
    for row in ATOMS[kind]:
        member = row.pattern.partition("/")[0]
        rows[member] = (*rows.get(member, ()), row)
    return rows


@cache
def _known(kind: str) -> frozenset[str]:
    """Members of a kind that are facts, hold atoms, or are the record."""
    return frozenset(row.pattern.partition("/")[0] for row in ATOMS[kind]) | {*HEAD, *RECORD, *FIXED.get(kind, ())}


def implied_dot(made: str, name: str, atom: Atom) -> str:
    """Return the dot of an atom that the record does not name: its item's key, or the document's making."""
    return name.partition("/")[2] if atom.keyed == "dot" else made


def value_at(tree: Mapping[str, Json], name: str) -> Json:
    """Return the value at an atom's place, or None where the place is empty.

    The mix is an atom without its quiet members, which are atoms of their own.
    """
    if name == "mix":
        held = tree.get("mix", {})
        if not isinstance(held, dict):
            return held
        return {key: value for key, value in held.items() if key not in MIX_DISPLAY} or None
    member, slash, key = name.partition("/")
    holder = tree.get(member)
    return holder.get(key) if slash and isinstance(holder, dict) else (None if slash else holder)


def with_value(tree: Mapping[str, Json], name: str, value: Json) -> dict[str, Json]:
    """Return a copy of a tree with an atom's place holding this value; None empties it."""
    copied = dict(tree)
    member, slash, key = name.partition("/")
    if name == "mix":
        kept = {part: item for part, item in copied.get("mix", {}).items() if part in MIX_DISPLAY}
        copied["mix"] = {**(value or {}), **kept}
    elif slash:
        holder = {part: item for part, item in copied.get(member, {}).items() if part != key}
        copied[member] = holder if value is None else {**holder, key: value}
    elif value is None:
        copied.pop(member, None)
    else:
        copied[member] = value
    if copied.get(member) == {}:
        del copied[member]
    return copied
