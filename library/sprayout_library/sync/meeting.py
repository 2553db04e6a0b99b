"""Trees of two heads met level by level: a folder that only one side changed is taken whole, unread."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sprayout_library.store.errors import DamagedError
from sprayout_library.store.objects import (
    EMPTY_TREE,
    FILE,
    FOLDER,
    Entry,
    Pile,
    entry,
    object_id,
    read_tree,
    tree_bytes,
)
from sprayout_library.store.trees import Trees

__all__ = ["Meeting", "Pair"]

Pair = tuple[str, str]
"""Blob ids of one document as the two sides hold it."""

_DEEPEST = 3


@dataclass(slots=True)
class Meeting:
    """Trees and documents made while heads meet; nothing is written before it is known what stays.

    read   gives the bytes of trees in the repository
    join   gives the joined documents of pairs of blobs, in the order asked; some may be of `blobs`
    """

    read: Trees
    join: Callable[[Sequence[Pair], Mapping[str, bytes]], Iterable[bytes]]
    trees: dict[str, dict[bytes, Entry]] = field(default_factory=dict)
    blobs: dict[str, bytes] = field(default_factory=dict)

    def met(self, base: str, ours: str, theirs: str) -> str:
        """Return the tree in which a head's tree is taken into ours, both grown out of the base's.

        What a head holds unchanged since an ancestor that both share is contained in our state already (the law of
        edits: a state joined with an earlier one is itself), so only what changed on both sides is joined.
        """
        if theirs in (base, ours):
            return ours
        if ours == base:
            return theirs
        levels: list[dict[str, dict[bytes, Entry]]] = []
        unclear: list[tuple[str, bytes, Pair]] = []
        nodes = [("", base, ours, theirs)]
        for _ in range(_DEEPEST + 1):
            held = self._entries(name for _, *three in nodes for name in three)
            level: dict[str, dict[bytes, Entry]] = {}
            below: list[tuple[str, str, str, str]] = []
            for path, *three in nodes:
                before, mine, other = (held[name] for name in three)
                level[path] = self._taken(path, before, mine, other, below, unclear)
            levels.append(level)
            nodes = below
        joined = self.join([pair for _, _, pair in unclear], self.blobs)
        for (path, file, _), content in zip(unclear, joined, strict=True):
            name = object_id("blob", content)
            self.blobs[name] = content
            levels[path.count("/") + 1 if path else 0][path][file] = entry(FILE, name)
        return self._grown(levels)

    def _taken(
        self,
        path: str,
        base: Mapping[bytes, Entry],
        ours: Mapping[bytes, Entry],
        theirs: Mapping[bytes, Entry],
        below: list[tuple[str, str, str, str]],
        unclear: list[tuple[str, bytes, Pair]],
    ) -> dict[bytes, Entry]:
        """Return our entries of one folder with theirs taken in; note what has to be looked at below or joined."""
        taken = dict(ours)
        for name, other in theirs.items():
            before, mine = base.get(name), ours.get(name)
            if other in (before, mine):
                continue
            if mine is None or mine == before:
                taken[name] = other
            elif other[0] == mine[0] == FOLDER:
                start = before[1].hex() if before is not None and before[0] == FOLDER else EMPTY_TREE
                inner = name.decode("ascii")
                below.append((f"{path}/{inner}" if path else inner, start, mine[1].hex(), other[1].hex()))
            elif other[0] == mine[0] == FILE:
                unclear.append((path, name, (mine[1].hex(), other[1].hex())))
            else:
                raise DamagedError(f"{path} holds a file and a folder of one name", "Run a check of the library.")
        return taken

    def _grown(self, levels: list[dict[str, dict[bytes, Entry]]]) -> str:
        """Make the trees from the deepest folders up and return the id of the topmost."""
        for depth in range(len(levels) - 1, 0, -1):
            for folder, entries in levels[depth].items():
                above, _, name = folder.rpartition("/")
                levels[depth - 1][above][name.encode("ascii")] = entry(FOLDER, self._made(entries))
        return self._made(levels[0][""])

    def _made(self, entries: dict[bytes, Entry]) -> str:
        name = object_id("tree", tree_bytes(entries))
        self.trees[name] = entries
        return name

    def _entries(self, names: Iterable[str]) -> dict[str, dict[bytes, Entry]]:
        wanted = dict.fromkeys(names)
        contents = self.read([name for name in wanted if name != EMPTY_TREE and name not in self.trees])
        held: dict[str, dict[bytes, Entry]] = {EMPTY_TREE: {}}
        for name in wanted:
            if name in self.trees:
                held[name] = self.trees[name]
            elif name in contents:
                held[name] = read_tree(contents[name])
            elif name != EMPTY_TREE:
                raise DamagedError(f"tree {name[:12]} is missing", "Run a check of the library.")
        return held

    def keep(self, tree: str, pile: Pile) -> None:
        """Put on the pile what was made and is part of this tree."""
        waiting = [tree]
        while waiting:
            name = waiting.pop()
            if name in self.blobs:
                pile.add("blob", self.blobs[name])
            elif name in self.trees:
                pile.add("tree", tree_bytes(self.trees[name]))
                waiting += [blob.hex() for _, blob in self.trees[name].values()]
