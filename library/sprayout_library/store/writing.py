"""Writing one commit of edited documents: checked against what stands there now, then blobs, trees, commit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sprayout_core.compare import join_trees
from sprayout_core.documents import Document, parse, write
from sprayout_core.errors import SprayoutError
from sprayout_library.machine import key_of
from sprayout_library.store.commits import Person, clean_name, commit_bytes, edit_message, packet_message
from sprayout_library.store.errors import DamagedError, StaleError, StoreError
from sprayout_library.store.layout import path_of
from sprayout_library.store.objects import EMPTY_TREE, Pile
from sprayout_library.store.trees import changed_tree, trees_of

if TYPE_CHECKING:
    from sprayout_library.store.store import Store

__all__ = ["Author", "Written", "called", "contains", "copy_mail", "fresh", "ready", "write_commit", "write_edit"]


@dataclass(frozen=True, slots=True)
class Author:
    """Who makes an edit (a handle is enough), and when."""

    name: str
    at: datetime

    def person(self, copy: str) -> Person:
        """Return the author as a commit spells one; the address says which copy it was, nothing more."""
        return Person(clean_name(self.name), copy_mail(copy), int(self.at.astimezone(UTC).timestamp()))


@dataclass(frozen=True, slots=True)
class Written:
    """How something is saved ("edit", or "packet" with the packet's sha256), and the commit once it was."""

    what: str
    message: str
    author: Author
    sha256: str = ""
    commit: str = ""

    def done(self, commit: str) -> Written:
        """Return the same, with the commit that holds it."""
        return replace(self, commit=commit)

    def text(self, copy: str) -> str:
        """Return the commit's message."""
        if self.what == "packet":
            return packet_message(self.message, copy, self.sha256)
        return edit_message(self.message, copy)


def copy_mail(copy: str) -> str:
    """Return the address that names a copy in its commits; `.invalid` reaches nobody (RFC 2606)."""
    return f"{copy}@copy.sprayout.invalid"


def ready(documents: Iterable[Document]) -> dict[str, bytes]:
    """Return the stored form of documents by path. Raises StoreError for one that is given in two states."""
    contents: dict[str, bytes] = {}
    for document in documents:
        content = write(document)
        path = path_of(document.kind, document.id)
        if path in contents and contents[path] != content:
            raise StoreError("given twice with different content", "Save one state of it.", place=document.id)
        contents[path] = content
    return contents


def fresh(store: Store, newest: str | None, contents: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the bytes to be written by path, leaving out what stands there already.

    Raises StaleError where a document changed between the state this store reads at and the newest one, and
    where a document was not edited from what stands there (the law: old joined with new is new).
    """
    wanted = dict(contents)
    stands = _standing(store, newest, contents)
    if newest != store.head:
        seen = _standing(store, store.head, contents)
        for path in contents:
            if seen.get(path) != stands.get(path):
                raise StaleError(
                    "was changed by another command in the meantime",
                    "Nothing was saved: do the same once more.",
                    place=called(path, store.reader.content(stands[path]) if path in stands else None),
                )
    for path, old in stands.items():
        before = store.reader.content(old)
        if before is None:
            raise DamagedError("is missing", "Run a check of the library.", place=path)
        if before == wanted[path]:
            del wanted[path]
        elif not contains(before, wanted[path]):
            raise StaleError(
                "was not edited from the version that stands there",
                "Nothing was saved: do the same once more.",
                place=called(path, before),
            )
    return wanted


def called(path: str, content: bytes | None = None) -> str:
    """Return what a person knows a document by: its name, else its kind and the end of its id."""
    said = parse(content) if content else {}
    if name := said.get("title") or said.get("label"):
        return str(name)
    kind, _, rest = path.partition("/")
    return f"{kind} …{rest.removesuffix('.json')[-6:]}"


def contains(before: bytes, after: bytes) -> bool:
    """Say whether a state contains an earlier one: then joining the two makes no difference."""
    newer = parse(after)
    try:
        return bool(join_trees(parse(before), newer) == newer)
    except SprayoutError:  # edits of two hands under one number
        return False


def _standing(store: Store, commit: str | None, paths: Mapping[str, bytes]) -> dict[str, str]:
    if commit is None:
        return {}
    names = list(paths)
    found = store.reader.infos([f"{commit}:{path}" for path in names])
    return {path: one.id for path, one in zip(names, found, strict=True) if one is not None}


def write_edit(
    store: Store,
    parent: str | None,
    contents: Mapping[str, bytes],
    how: Written,
    copy: str,
) -> str:
    """Write blobs, trees and one commit, and return its id; no reference points to it yet."""
    with Pile() as pile:
        blobs = {path: pile.add("blob", content) for path, content in contents.items()}
        tree = EMPTY_TREE
        if parent is not None:
            found = store.reader.info(f"{parent}^{{tree}}")
            if found is None:
                raise DamagedError("the newest state is missing", "Run a check of the library.")
            tree = found.id
        tree = changed_tree(trees_of(store.git, store.reader), tree, blobs, pile) if blobs else tree
        if tree == EMPTY_TREE:
            pile.add("tree", b"")
        commit = pile.add("commit", _signed(parent, tree, how, copy))
        pile.write(store.git)
    return commit


def write_commit(store: Store, parent: str | None, tree: str, how: Written, copy: str) -> str:
    """Write one commit of a tree that is there, and return its id; no reference points to it yet."""
    with Pile() as pile:
        commit = pile.add("commit", _signed(parent, tree, how, copy))
        pile.write(store.git)
    return commit


def _signed(parent: str | None, tree: str, how: Written, copy: str) -> bytes:
    key = key_of(copy)
    author = how.author.person(copy)
    parents = (parent,) if parent else ()
    keeper = Person("sprayout", copy_mail(copy), author.at)
    unsigned = commit_bytes(tree, parents, author, keeper, how.text(copy))
    return commit_bytes(tree, parents, author, keeper, how.text(copy), key.sign(unsigned)) if key else unsigned
