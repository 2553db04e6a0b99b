"""What a commit changed, walked by ourselves: a tree has four levels, and each entry is looked at before the next.

Git's own comparison gathers every path before it tells the first; a few objects can unfold into more paths than
any disk holds. Here a level that does not look like one of a library ends the walk.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from sprayout_core.errors import Fault
from sprayout_library.store.errors import DamagedError
from sprayout_library.store.layout import KINDS, place_of
from sprayout_library.store.objects import EMPTY_TREE, FILE, FOLDER, Entry, is_spelled_by_git, read_tree
from sprayout_library.store.trees import Trees

__all__ = ["Change", "OutOfPlace", "Walk", "shown"]

_DEEPEST = 3
_MOST_KEPT = 40_000
_HEX = re.compile(rb"[0-9a-f]{2}")
_KIND_NAMES = frozenset(kind.encode("ascii") for kind in KINDS)
_WHAT = {b"120000": "a link", b"160000": "a submodule", b"100755": "an executable file", FOLDER: "a folder"}
_PLAIN = "A library holds plain files only."
_PLACE = "Documents lie at kind/xx/yy/id.json, in small letters."


@dataclass(frozen=True, slots=True)
class Change:
    """One document that a commit brought or changed: its path and blob ids before ("" where new) and after."""

    path: str
    old: str
    new: str


class OutOfPlace(Exception):
    """Something in a tree that no library has."""

    def __init__(self, path: str, problem: str, remedy: str) -> None:
        super().__init__(problem)
        self.fault = Fault(shown(path), problem, remedy)


def shown(path: str) -> str:
    """Return a path that is safe to print, cut where it is long."""
    text = "".join(sign if sign.isprintable() else "?" for sign in path)
    return text if len(text) <= 120 else f"{text[:117]}..."


@dataclass(slots=True)
class Walk:
    """Compares trees level by level; trees just read are kept, since the next commit starts from them."""

    read: Trees
    kept: dict[str, dict[bytes, Entry]] = field(default_factory=dict)

    def changes(self, tree: str, parent: str) -> list[Change]:
        """Return what differs between a commit's tree and its parent's. Raises OutOfPlace at the first wrong entry."""
        found: list[Change] = []
        pairs = [("", tree, parent)] if tree != parent else []
        for level in range(_DEEPEST + 1):
            self._fetch([name for _, new, old in pairs for name in (new, old)])
            below: list[tuple[str, str, str]] = []
            for path, new, old in pairs:
                for name, entry, before in self._apart(path, self.kept[new], self.kept[old]):
                    inner = (
                        f"{path}/{name.decode('utf-8', 'backslashreplace')}"
                        if path
                        else name.decode("utf-8", "backslashreplace")
                    )
                    if level < _DEEPEST:
                        _folder_or_fault(inner, level, name, entry, before)
                        below.append((inner, entry[1].hex(), before[1].hex() if before else EMPTY_TREE))
                    else:
                        found.append(_document_or_fault(inner, entry, before))
            pairs = below
        return found

    def _apart(
        self, path: str, new: Mapping[bytes, Entry], old: Mapping[bytes, Entry]
    ) -> Iterator[tuple[bytes, Entry, Entry | None]]:
        if not new and path:
            raise OutOfPlace(path, "is a folder without a document in it", "It was made by another program.")
        for name in old:
            if name not in new:
                gone = f"{path}/{name.decode('ascii', 'replace')}".lstrip("/")
                raise OutOfPlace(gone, "is taken away", "Nothing is ever deleted from a library: withdraw it instead.")
        for name, entry in new.items():
            before = old.get(name)
            if before != entry:
                yield name, entry, before

    def _fetch(self, names: list[str]) -> None:
        """Read the trees that are not kept; every one must be spelled as git spells it."""
        self.kept.setdefault(EMPTY_TREE, {})
        missing = [name for name in dict.fromkeys(names) if name not in self.kept]
        if len(self.kept) > _MOST_KEPT:
            needed = {name: self.kept[name] for name in names if name in self.kept}
            self.kept = {EMPTY_TREE: {}} | needed
        contents = self.read(missing)
        for name in missing:
            if name not in contents:
                raise OutOfPlace(name[:12], "is a tree that did not come along", "Nothing was taken.")
            try:
                entries = read_tree(contents[name])
            except DamagedError:
                entries = {}
            if not is_spelled_by_git(contents[name], entries):
                raise OutOfPlace(name[:12], "is a tree that is not written as git writes it", "Nothing was taken.")
            self.kept[name] = entries


def _folder_or_fault(path: str, level: int, name: bytes, entry: Entry, before: Entry | None) -> None:
    fits = name in _KIND_NAMES if level == 0 else _HEX.fullmatch(name) is not None
    if not fits:
        raise OutOfPlace(path, "is no place of a document", _PLACE)
    if entry[0] != FOLDER:
        problem = f"is {_WHAT[entry[0]]}" if entry[0] in _WHAT else "is no place of a document"
        raise OutOfPlace(path, problem, _PLAIN if entry[0] in _WHAT else _PLACE)
    if before is not None and before[0] != FOLDER:
        raise OutOfPlace(path, "replaces something that is no folder", _PLAIN)


def _document_or_fault(path: str, entry: Entry, before: Entry | None) -> Change:
    if entry[0] == FOLDER:
        raise OutOfPlace(path, "is no place of a document", _PLACE)
    if entry[0] != FILE:
        what = _WHAT.get(entry[0], f"of mode {entry[0].decode('ascii', 'replace')}")
        raise OutOfPlace(path, f"is {what}", _PLAIN)
    if before is not None and before[0] != FILE:
        raise OutOfPlace(path, "replaces something that is no plain file", _PLAIN)
    if place_of(path) is None:
        raise OutOfPlace(path, "is no place of a document", _PLACE)
    return Change(path, before[1].hex() if before else "", entry[1].hex())
