"""Files edited by hand: each is held against the version it was edited from, and what differs becomes an edit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from sprayout_core.compare import Add, Change, Put, TakeAway, TakeOut, edit
from sprayout_core.documents import (
    ATOMS,
    FIXED,
    HEAD,
    LARGEST,
    RECORD,
    Document,
    DocumentError,
    Policy,
    atom_for,
    atoms_of,
    from_tree,
    implied_dot,
    parse,
    tree,
    value_at,
)
from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_library.record.writer import Writer, now_text
from sprayout_library.store import Store

__all__ = ["EditedFileError", "files_in", "hand_edits"]

_MOST = 10_000


class EditedFileError(FaultsError):
    """Files that cannot be taken in as edits by hand; nothing was changed."""


def files_in(places: Iterable[Path]) -> list[Path]:
    """Return the JSON files named, or lying in a folder named. Raises EditedFileError."""
    found: list[Path] = []
    for place in places:
        try:
            if place.is_dir():
                found += sorted(path for path in place.rglob("*.json") if ".git" not in path.parts and path.is_file())
            elif place.is_file():
                found.append(place)
            else:
                raise _wrong(place, "is no plain file" if place.exists() else "is not there", "Check the name.")
        except (OSError, ValueError):
            raise _wrong(place, "cannot be read", "Check the name and its permissions.") from None
    if not found or len(found) > _MOST:
        raise EditedFileError([Fault("", f"{len(found)} files", f"Name 1 to {_MOST} JSON files.")])
    return found


def hand_edits(store: Store, writer: Writer, files: Sequence[Path]) -> list[tuple[Document, Document]]:
    """Return (as it stands here, as it would stand) for each file with an edit in it; nothing is saved.

    Raises EditedFileError with what is wrong with every file: no document, an edit record changed by hand,
    written-once facts changed, a version that this library does not know.
    """
    found: dict[str, tuple[Document, Document]] = {}
    faults: list[Fault] = []
    for path in files:
        try:
            pair = _hand_edit(store, writer, path)
        except SprayoutError as error:
            faults += [
                Fault(f"{path.name}{', ' + fault.place if fault.place else ''}", fault.problem, fault.remedy)
                for fault in error.faults
            ]
            continue
        if pair is None:
            continue
        if pair[0].id in found:
            faults.append(Fault(path.name, "the same document was edited in another file too", "Take one of them."))
        found[pair[0].id] = pair
    if faults:
        raise EditedFileError(faults[:50])
    return list(found.values())


def _hand_edit(store: Store, writer: Writer, path: Path) -> tuple[Document, Document] | None:
    plain = parse(_content(path))
    if not isinstance(plain, dict) or not isinstance(plain.get("id"), str):
        raise SprayoutError("holds no document", "It is one JSON object with an id.")
    held = store.get(plain["id"])
    if held is None:
        raise SprayoutError("no document here has this id", "Take it in as a packet, or as a new document.")
    base = tree(_version(store, held, plain.get("seen")))
    _check_record(base, plain)
    fresh = _fresh_items(base, plain)
    said = tree(from_tree(plain))
    changes = [change for change in (*_changes(base, said), *fresh) if not _stands(tree(held), change)]
    if not changes:
        return None
    names = {change.atom: _live(base, change.atom) for change in changes if isinstance(change, Put | TakeAway)}
    after = edit(held, store.copy_id, changes, now_text(writer.clock()), names)
    return None if after is held or after == held else (held, after)


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        raise SprayoutError(f"cannot be read: {error.strerror}", "Check its permissions.") from None
    return content


def _version(store: Store, held: Document, seen: Any) -> Document:
    """Return the version that a file was edited from: the one in own history with the same `seen`."""
    if not isinstance(seen, dict):
        raise SprayoutError("its edit record was taken out", "Restore `seen` as the file had it.", place="seen")
    if seen == held.seen:
        return held
    for version in store.history(held.id):
        state = store.at(version.commit, held.id)
        if state.seen == seen:
            return state
    raise SprayoutError(
        "was edited from a version that this library does not know", "Take it in as a packet, or as a new document."
    )


def _check_record(base: Mapping[str, Any], plain: Mapping[str, Any]) -> None:
    """Refuse changes to the edit record and to what is written once."""
    faults = []
    for name in (*RECORD, *HEAD, *FIXED.get(base["kind"], ())):
        if plain.get(name) == base.get(name):
            continue
        if name in RECORD:
            faults.append(Fault(name, "the edit record was changed by hand", "Restore it; it is written for you."))
        elif name in HEAD:
            faults.append(Fault(name, "is written once and was changed", "Restore it."))
        else:
            faults.append(Fault(name, "is written once and was changed", "Record a new one that supersedes it."))
    if faults:
        raise DocumentError(faults)


def _fresh_items(base: Mapping[str, Any], plain: dict[str, Any]) -> list[Change]:
    """Take items under keys of the writer's own out of a tree, and return them as additions."""
    found: list[Change] = []
    for row in ATOMS[base["kind"]]:
        if row.keyed != "dot" or not isinstance(plain.get(row.member), dict):
            continue
        known = base.get(row.member, {})
        for key in [key for key in plain[row.member] if key not in known]:
            found.append(Add(row.member, plain[row.member].pop(key)))
        if not plain[row.member]:
            del plain[row.member]
    if isinstance(plain.get("coats_order"), list):
        plain["coats_order"] = [key for key in plain["coats_order"] if key in base.get("coats", {})]
    return found


def _changes(base: Mapping[str, Any], said: Mapping[str, Any]) -> Iterator[Change]:
    """Yield the changes from the version to the file, atom by atom."""
    kind = base["kind"]
    for row in ATOMS[kind]:
        if row.policy is Policy.SET:
            for key, value in base.get(row.member, {}).items():
                now = said.get(row.member, {}).get(key)
                if now != value:
                    yield TakeOut(row.member, value)
                    if now is not None:
                        yield Add(row.member, now)
    names = {name for one in (base, said) for name, row in atoms_of(one) if row.policy is not Policy.SET}
    for name in sorted(names):
        before, after = value_at(base, name), value_at(said, name)
        if before != after and name not in (said.get("questions") or {}):
            yield TakeAway(name) if after is None else Put(name, after)


def _stands(held: Mapping[str, Any], change: Change) -> bool:
    """Return whether what a change asks for stands here already: a file taken in twice is nothing."""
    match change:
        case Put(atom, value):
            return atom not in held.get("questions", {}) and bool(value_at(held, atom) == value)
        case TakeAway(atom):
            return atom not in held.get("questions", {}) and value_at(held, atom) is None
        case Add(member, value):
            return value in held.get(member, {}).values()
        case TakeOut(member, value):
            return value not in held.get(member, {}).values()


def _live(base: Mapping[str, Any], atom: str) -> list[str]:
    """Return the live edits of an atom in the version a file was edited from: those its edit replaces."""
    row = atom_for(base["kind"], atom)
    named = base.get("edits", {}).get(atom)
    if named:
        return list(named)
    return [implied_dot(base["made"], atom, row)] if row is not None else []


def _wrong(place: Path, problem: str, remedy: str) -> EditedFileError:
    return EditedFileError([Fault(str(place).encode("utf-8", "replace").decode("utf-8"), problem, remedy)])
