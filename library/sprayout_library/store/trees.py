"""Trees of a library: changing some paths of one, listing one, and comparing several by blob id."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from sprayout_library.store.git import Git
from sprayout_library.store.objects import EMPTY_TREE, FILE, FOLDER, Entry, Pile, read_tree, tree_bytes

__all__ = ["changed_between", "changed_tree", "listed"]

_Branches = dict[bytes, "str | _Branches"]


def changed_tree(read: Callable[[str], bytes], tree: str, blobs: Mapping[str, str], pile: Pile) -> str:
    """Return the id of `tree` with the given paths set to the given blob ids.

    read   gives the bytes of a tree by its id; asked only for the folders that change
    blobs  blob id by path
    pile   takes the new trees
    """
    branches: _Branches = {}
    for path, blob in blobs.items():
        *folders, name = path.encode("ascii").split(b"/")
        here = branches
        for folder in folders:
            below = here.setdefault(folder, {})
            if isinstance(below, str):
                raise TypeError(path)
            here = below
        here[name] = blob
    return _grown(read, tree, branches, pile)


def _grown(read: Callable[[str], bytes], tree: str, branches: _Branches, pile: Pile) -> str:
    entries = read_tree(read(tree)) if tree != EMPTY_TREE else {}
    for name, what in branches.items():
        if isinstance(what, str):
            entries[name] = Entry(FILE, what)
        else:
            old = entries.get(name)
            below = old.id if old is not None and old.mode == FOLDER else EMPTY_TREE
            entries[name] = Entry(FOLDER, _grown(read, below, what, pile))
    return pile.add("tree", tree_bytes(entries))


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
