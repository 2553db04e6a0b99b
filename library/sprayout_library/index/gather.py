"""From documents to rows: what each is called, what is in it, and what core's own rules say of it."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterable
from contextlib import suppress
from fractions import Fraction
from typing import Any, cast

import msgspec

from sprayout_core.compare import Sprayed, questions_of, recipe_status, status
from sprayout_core.documents import KINDS, Document, Formula, Library, Recipe, Thing, read
from sprayout_core.documents import Panel as WholePanel
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_library.index.plain import parts_of, shares_of, standing_of
from sprayout_library.index.rows import Row, folded, key
from sprayout_library.index.slim import Evidence, Head, Panel, Reading, decoder
from sprayout_library.index.slim import Formula as SlimFormula

__all__ = [
    "Relations",
    "Shelf",
    "formula_row",
    "head_row",
    "names_of",
    "panel_row",
    "recipe_row",
    "seen_row",
    "views_of",
]

_KEPT = 50_000
_STANDING = {one: one.name.lower() for one in Sprayed}


class Shelf:
    """Materials, formulas and recipes at hand, understood when asked for; what core asks for as `find`.

    Their stored form was checked when it came in, so the models alone read it here.
    """

    def __init__(self, content: Callable[[str], bytes | None]) -> None:
        self._content = content
        self._known: dict[str, Document | None] = {}
        self._heads: dict[str, Head | None] = {}
        self._keys: dict[str, bytes] = {}

    def find(self, identity: str) -> Document | None:
        """Return a document, or None where it is not here."""
        if identity not in self._known:
            if len(self._known) >= _KEPT:
                self._known.clear()
            content = self._content(identity)
            self._known[identity] = None if content is None else _understood(content)
        return self._known[identity]

    def key(self, identity: str) -> bytes:
        """Return the key of a document that many others name."""
        if identity not in self._keys:
            self._keys[identity] = key(identity)
        return self._keys[identity]

    def head(self, identity: str) -> Head | None:
        """Return what every kind may have, of a document that is here."""
        if identity not in self._heads:
            if len(self._heads) >= _KEPT:
                self._heads.clear()
            content = self._content(identity)
            self._heads[identity] = None if content is None else decoded("material", content)
        return self._heads[identity]

    def title(self, identity: str) -> str:
        """Return a document's title, empty where it has none or is not here."""
        found = self.head(identity)
        return found.title if found else ""


def _understood(content: bytes) -> Document:
    plain = msgspec.json.decode(content)
    try:
        return KINDS[plain["kind"]].model_validate(plain)
    except ValueError:  # an older edition is brought forward by the careful reader
        return read(content)


class Relations:
    """Rows of the other tables, gathered while documents become rows."""

    def __init__(self) -> None:
        self.tables: dict[str, list[tuple[object, ...]]] = defaultdict(list)

    def add(self, table: str, *row: object) -> None:
        """Add a row."""
        self.tables[table].append(row)


def head_row(one: Head | Reading, kind: str, blob: str, content: bytes) -> Row:
    """Return the row of a document by what every kind may have."""
    asked = 0
    if one.questions or one.withdrawn:
        asked = len(questions_of(_understood(content)))
    notes = "\n".join(note.text for note in one.notes.values())
    return Row(
        one.id, kind, blob, one.title, getattr(one, "label", ""), getattr(one, "role", ""),
        "\n".join(one.aliases.values()), notes, "\n".join(one.tags.values()), at=one.provenance.at,
        withdrawn=int(bool(one.withdrawn)), asked=asked,
    )  # fmt: skip


def has_words(reading: Reading) -> bool:
    """Return whether a reading has a row of its own: most have neither words nor anything to decide."""
    said = reading.title or reading.tags or reading.notes or reading.aliases
    return bool(said or reading.questions or reading.withdrawn)


def names_of(row: Row, relations: Relations) -> None:
    """Put down what a document goes by."""
    said = row.title, row.label, *(row.aliases.split("\n") if row.aliases else ())
    own = key(row.id)
    for name in {folded(one) for one in said if one}:
        relations.add("called", name, own)


def formula_row(row: Row, one: SlimFormula, shelf: Shelf, panels: Iterable[Panel], relations: Relations) -> None:
    """Fill in what is in a formula and whether it was sprayed."""
    parts = parts_of(one, shelf.head)
    standing = standing_of(one, parts, panels) if parts else None
    if parts is None or standing is None:
        _asked_of_core(row, shelf, panels, relations)
        return
    row.status, proving = standing
    _stands(row, proving, relations)
    basis = (one.mix.basis if one.mix else None) or ""
    own, said = key(row.id), []
    for material, (part, whole) in shares_of(parts).items():
        exact, raw = str(part) if whole == 1 else f"{part}/{whole}", shelf.key(material)
        relations.add("uses", raw, own, "formula")
        relations.add("share", raw, part / whole, own, exact, basis)
        said.append(f"{material}={exact}")
    row.mix = _mix_name(basis, said)
    row.materials = _titles(shelf, parts)


def _asked_of_core(row: Row, shelf: Shelf, panels: Iterable[Panel], relations: Relations) -> None:
    formula = shelf.find(row.id)
    if not isinstance(formula, Formula):
        return
    direct = _components(formula)
    for component in direct:
        relations.add("uses", key(component), key(row.id), "formula")
    standing = status(formula, cast("Iterable[WholePanel]", panels), shelf.find)
    row.status = _STANDING[standing.state]
    _stands(row, standing.panels, relations)
    flat: dict[str, Fraction] = {}
    with suppress(SprayoutError):  # an open slot, two answers, a part that is not here: it has no composition
        flat = composition(formula, shelf.find)
    basis = (formula.mix.basis if formula.mix else None) or ""
    for material, share in flat.items():
        relations.add("share", key(material), float(share), key(row.id), str(share), basis)
    if flat:
        row.mix = _mix_name(basis, [f"{material}={share}" for material, share in sorted(flat.items())])
    row.materials = _titles(shelf, dict.fromkeys([*direct, *flat]))


def _mix_name(basis: str, shares: Iterable[str]) -> bytes:
    """Return what names a composition: the same for every mix that says the same."""
    return hashlib.sha256((basis + ";".join(shares)).encode()).digest()[:16]


def _components(formula: Formula) -> list[str]:
    """Return the materials and formulas a mix names, in any of its answers."""
    found = [key for key, item in ((formula.mix.items if formula.mix else None) or {}).items() if item.kind != "slot"]
    for answer in (formula.questions or {}).get("mix", {}).values():
        if isinstance(answer.value, dict):
            items = answer.value.get("items", {})
            found += [name for name, item in items.items() if item.get("kind") != "slot"]
    return list(dict.fromkeys(found))


def _titles(shelf: Shelf, things: Iterable[str]) -> str:
    return "\n".join(dict.fromkeys(title for thing in things if (title := shelf.title(thing))))


def recipe_row(row: Row, shelf: Shelf, panels: Iterable[Panel], relations: Relations) -> None:
    """Fill in what a recipe is made of, whether it was sprayed, and its standards."""
    recipe = shelf.find(row.id)
    if not isinstance(recipe, Recipe):
        return
    things: list[Thing] = [*(recipe.grounds or {}).values(), *([recipe.clear.of] if recipe.clear else [])]
    named = dict.fromkeys([coat.formula for coat in (recipe.coats or {}).values()] + [thing.id for thing in things])
    for thing in named:
        relations.add("uses", key(thing), key(row.id), "recipe")
    for standard in (recipe.standards or {}).values():
        relations.add("standard", key(row.id), key(standard.panel))
    row.materials = _titles(shelf, named)
    standing = recipe_status(recipe, cast("Iterable[WholePanel]", panels), shelf.find)
    row.status = _STANDING[standing.state]
    _stands(row, standing.panels, relations)


def _stands(row: Row, panels: Iterable[str], relations: Relations) -> None:
    """Put down which panels prove a thing as it stands now."""
    for panel in panels:
        relations.add("stands", key(row.id), key(panel))


def panel_row(row: Row, panel: Panel, relations: Relations) -> None:
    """Put down what a panel proves, and what it was sprayed of."""
    own, ground = key(row.id), panel.ground.id if panel.ground else ""
    coats = dict.fromkeys(coat.formula for coat in panel.coats or ())
    of = [("recipe", panel.recipe or ""), ("ground", ground), *(("formula", formula) for formula in coats)]
    for place, (kind, thing) in enumerate(of):
        if thing:
            relations.add("sprayed", own, place, kind, key(thing))
    for formula in panel.proofs or {}:
        relations.add("proves", key(formula), "formula", own)
    if panel.recipe:
        relations.add("proves", key(panel.recipe), "recipe", own)
    if panel.supersedes:
        relations.add("sees", key(panel.supersedes), own, "panel")


def seen_row(row: Row, seen: Evidence, relations: Relations) -> None:
    """Put down which panels a judgement or a picture speaks of."""
    row.role = seen.quality or row.role
    for panel in seen.panels():
        relations.add("sees", key(panel), key(row.id), row.kind)
    if seen.quality and not seen.withdrawn:
        against = key(seen.against.panel) if seen.against else None
        for place, tied in enumerate(seen.pieces, 1):
            for piece in tied:
                relations.add("judged", seen.quality, key(piece.panel), key(row.id), place, len(seen.pieces), against)
        if seen.against:
            relations.add("judged", seen.quality, key(seen.against.panel), key(row.id), 0, 0, None)


def views_of(manifest: Library | None) -> list[tuple[str, int]]:
    """Return the views colours are kept in: the library's own first, then the lights of a shop."""
    found: list[tuple[str, int]] = []
    if manifest is not None and manifest.illuminant and manifest.observer:
        found.append((manifest.illuminant, manifest.observer))
    observer = 10
    shop = [("D65", observer), ("A", observer), ("FL11", observer), ("LED-B4", observer)]
    return list(dict.fromkeys([*found, *shop]))


def decoded(kind: str, content: bytes) -> Any:
    """Return the slim members of a document."""
    return decoder(kind).decode(content)
