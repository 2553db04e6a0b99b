"""Trees of a library: changing some paths of one, listing one, and comparing several by blob id."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from sprayout_library.store.errors import DamagedError
from sprayout_library.store.git import Git
from sprayout_library.store.objects import EMPTY_TREE, FILE, FOLDER, Entry, Pile, entry, read_tree, tree_bytes
from sprayout_library.store.reader import ObjectReader, contents

__all__ = ["Trees", "changed_between", "changed_tree", "listed", "trees_of"]

_FEW = 60
"""Up to this many trees are asked for one by one."""

_LARGEST = 4_000_000
"""Bytes of the largest tree that is read; a folder of a library holds a few thousand entries at most."""

Trees = Callable[[list[str]], Mapping[str, bytes]]
"""Gives the bytes of trees (and of commits) by their ids, many at once."""


def trees_of(git: Git, reader: ObjectReader) -> Trees:
    """Return a function that reads trees: a few through the kept child, many in one stream."""

    def read(names: list[str]) -> Mapping[str, bytes]:
        if len(names) > _FEW:
            return dict(zip(names, contents(git, names, _LARGEST), strict=True))
        return {name: content for name in names if (content := reader.content(name)) is not None}

    return read


def changed_tree(read: Trees, tree: str, blobs: Mapping[str, str], pile: Pile) -> str:
    """Return the id of `tree` with the given paths set to the given blob ids.

    read   gives the bytes of trees; asked once a level, only for the folders that change
    blobs  blob id by path
    pile   takes the new trees
    """
    levels: list[dict[str, dict[bytes, Entry]]] = []
    inside: dict[str, dict[str, None]] = {}
    for path in blobs:
        parts = path.split("/")
        for depth in range(1, len(parts)):
            inside.setdefault("/".join(parts[: depth - 1]), {})["/".join(parts[:depth])] = None
    here = {"": tree}
    while here:
        contents = read(list(dict.fromkeys(name for name in here.values() if name != EMPTY_TREE)))
        entries = {folder: _entries(name, contents) for folder, name in here.items()}
        levels.append(entries)
        here = {}
        for folder, held in entries.items():
            for below in inside.get(folder, ()):
                old = held.get(below.rpartition("/")[2].encode("ascii"))
                here[below] = old[1].hex() if old is not None and old[0] == FOLDER else EMPTY_TREE
    return _grown(levels, blobs, pile)


def _entries(name: str, contents: Mapping[str, bytes]) -> dict[bytes, Entry]:
    if name == EMPTY_TREE:
        return {}
    if name not in contents:
        raise DamagedError(f"tree {name[:12]} is missing", "Run a check of the library.")
    return read_tree(contents[name])


def _grown(levels: list[dict[str, dict[bytes, Entry]]], blobs: Mapping[str, str], pile: Pile) -> str:
    """Put the blobs into the entries, then write the trees from the deepest folders up."""
    for path, blob in blobs.items():
        folder, _, name = path.rpartition("/")
        levels[folder.count("/") + 1 if folder else 0][folder][name.encode("ascii")] = entry(FILE, blob)
    for depth in range(len(levels) - 1, 0, -1):
        for folder, entries in levels[depth].items():
            above, _, name = folder.rpartition("/")
            made = entry(FOLDER, pile.add("tree", tree_bytes(entries)))
            levels[depth - 1][above][name.encode("ascii")] = made
    return pile.add("tree", tree_bytes(levels[0][""]))


def listed(git: Git, tree: str, folder: str = "") -> Iterator[tuple[str, str]]:
    """Yield (path, blob id) of everything in a tree, or in one folder of it, in order of path."""
    words = ("ls-tree", "-r", "-z", "--full-tree", tree, *((f"{folder}/",) if folder else ()))
    for line in git.run(*words).split(b"\0")[:-1]:
        head, _, path = line.partition(b"\t")
        yield path.decode("utf-8", "surrogateescape"), head[-40:].decode("ascii")


def changed_between(git: Git, before: str, after: str) -> dict[str, tuple[str, str]]:
    """Return the blob ids (before, after) of every path that differs between two trees; "" where none stands."""
    raw = git.run("diff-tree", "-r", "-z", "--raw", "--no-renames", "--no-abbrev", before, after).split(b"\0")
    changes: dict[str, tuple[str, str]] = {}
    for place in range(0, len(raw) - 1, 2):
        _, _, old, new, _ = raw[place].decode("ascii").split(" ")
        path = raw[place + 1].decode("utf-8", "surrogateescape")
        changes[path] = ("" if not old.strip("0") else old, "" if not new.strip("0") else new)
    return changes
