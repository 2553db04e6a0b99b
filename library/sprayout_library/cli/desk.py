"""The desk of a command: which library is in use, who works, and the documents by their names."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Library
    from sprayout_library.record import Names, Writer
    from sprayout_library.store import Store

__all__ = ["Desk", "NoLibrary", "use_library"]

_TIMES = 20


class NoLibrary(SprayoutError):
    """No library is in use yet."""


def use_library(folder: Path, title: str) -> str:
    """Remember a library of this machine, take it into use, and return the name it goes by here.

    A second copy under one title goes by its folder's name too, so that neither hides the other.
    """
    from sprayout_library.machine import shop_facts

    chosen = []

    def remember(facts: dict[str, Any]) -> None:
        known = facts.setdefault("libraries", {})
        own = [name for name, path in known.items() if path == str(folder)]
        candidates = [*own, title, f"{title} ({folder.name})", f"{title} ({folder})"]
        name = next(one for one in candidates if known.get(one) in (None, str(folder)))
        known[name] = str(folder)
        facts["library"] = name
        chosen.append(name)

    shop_facts().change(remember)
    return str(chosen[0])


class Desk:
    """What a command needs; everything is opened only when asked for."""

    def __init__(self, library: str | None, by: str | None) -> None:
        self._library = library
        self._by = by
        self._store: Store | None = None
        self._names: Names | None = None

    def folder(self) -> Path:
        """Return the folder of the library in use. Raises NoLibrary."""
        from sprayout_library.machine import shop_facts

        facts = shop_facts().all()
        known = facts.get("libraries", {})
        if self._library:
            return Path(known.get(self._library, self._library)).expanduser()
        here = Path.cwd()
        if (here / "HEAD").is_file() and (here / "objects").is_dir():
            return here
        chosen = known.get(facts.get("library", ""))
        if chosen is None:
            raise NoLibrary(
                "no library is in use yet", "Make one: sprayout create FOLDER. Or look first: sprayout demo."
            )
        return Path(chosen)

    @contextmanager
    def store(self) -> Iterator[Store]:
        """Open the library in use."""
        from sprayout_library.store import Store

        with Store.open(self.folder()) as store:
            self._store = store
            yield store

    def names(self, store: Store) -> Names:
        """Return the names in the library as it stands."""
        from sprayout_library.record import names_in

        if self._names is None:
            self._names = names_in(store)
        return self._names

    def renamed(self) -> None:
        """Forget the names: something was saved."""
        self._names = None

    def by(self) -> str:
        """Return who works here: as told, as remembered, else the name at this machine."""
        from sprayout_library.machine import shop_facts

        if self._by:
            return self._by
        known = shop_facts().get("by")
        if isinstance(known, str) and known:
            return known
        import getpass

        try:
            return getpass.getuser()
        except (OSError, KeyError):
            return os.environ.get("USERNAME", "someone")

    def writer(self, store: Store) -> Writer:
        """Return a writer for the person at this desk."""
        from sprayout_library.record import Writer

        return Writer(store, self.by(), store.facts.get("shop"))

    def again(self, action: Callable[[Store], str]) -> str:
        """Open the library and do what is right whatever another command saved meanwhile; then it is done anew.

        action  saves once, and tells nothing before that
        """
        from sprayout_library.store import StaleError

        for _ in range(_TIMES):
            with suppress(StaleError), self.store() as store:
                return action(store)
            self.renamed()
        with self.store() as store:
            return action(store)

    def document(self, store: Store, text: str, *kinds: str) -> Document:
        """Return the document that goes by a name. Raises NotKnown, Ambiguous."""
        entry = self.names(store).find(text, *kinds)
        document = store.get(entry.id)
        if document is None:
            raise SprayoutError(f"{text!r} is gone", "Another command changed the library: try again.")
        return document

    def manifest(self, store: Store) -> Library | None:
        """Return the manifest that counts, where the library has one."""
        from sprayout_library.store import manifest

        return manifest(store)
