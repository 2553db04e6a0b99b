"""What this machine knows about each library on it: its copy id, its remotes, and whom it trusts."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sprayout_library.machine.facts import Facts, FactsError
from sprayout_library.machine.home import home, host

__all__ = ["LibraryFacts", "fingerprint", "library_facts", "shop_facts", "tokens"]


def fingerprint(folder: Path) -> str:
    """Return what tells this very folder from a copy or a restored backup of it: host, device, inode."""
    seen = folder.stat()
    return f"{host()}:{seen.st_dev}:{seen.st_ino}"


@dataclass(frozen=True, slots=True)
class LibraryFacts:
    """The facts of one library on this machine.

    mark   a random word that also stands in the library's own settings: an inode may be used again by
           another folder after this one is deleted, the mark is not
    """

    facts: Facts
    fingerprint: str
    mark: str

    @property
    def copy_id(self) -> str | None:
        """The copy id drawn for this very folder, or None where none was drawn yet (a copy, a restored backup)."""
        known = self.facts.all()
        if known.get("fingerprint") != self.fingerprint or known.get("mark") != self.mark:
            return None
        found = known.get("copy")
        return found if isinstance(found, str) else None

    def drawn(self, copy: str, folder: Path) -> None:
        """Remember a newly drawn copy id; what was known about another folder with this inode is dropped."""

        def begin(facts: dict[str, Any]) -> None:
            if facts.get("mark") != self.mark:
                facts.clear()
            former = [*facts.get("former", []), facts["copy"]] if "copy" in facts else []
            facts.update(copy=copy, fingerprint=self.fingerprint, mark=self.mark, path=str(folder), former=former)

        self.facts.change(begin)

    def forget(self) -> None:
        """Forget everything about this library: its folder is taken away again."""
        self.facts.path.unlink(missing_ok=True)

    def get(self, name: str, default: Any = None) -> Any:
        """Return one fact about this library, as long as it is about this very folder."""
        known = self.facts.all()
        return known.get(name, default) if known.get("mark") == self.mark else default

    def put(self, name: str, value: Any) -> None:
        """Set one fact about this library; None takes it away."""

        def set_one(facts: dict[str, Any]) -> None:
            if facts.get("mark") != self.mark:
                facts.clear()
                facts.update(mark=self.mark)
            if value is None:
                facts.pop(name, None)
            else:
                facts[name] = value

        self.facts.change(set_one)


def library_facts(folder: Path, mark: str) -> LibraryFacts:
    """Return the facts kept about the library in `folder`, found by the folder itself and not by its path."""
    seen = fingerprint(folder)
    name = hashlib.sha256(seen.encode("utf-8")).hexdigest()[:24]
    facts = Facts(home() / "libraries" / f"{name}.json")
    if mark and facts.get("mark") != mark and (known := _restored(facts.path, folder, mark)):

        def begin(fresh: dict[str, Any]) -> None:
            fresh.clear()
            fresh.update(known)

        facts.change(begin)
    return LibraryFacts(facts, seen, mark)


def _restored(own: Path, folder: Path, mark: str) -> dict[str, Any]:
    """Return what was known of a library that stood in this place before, and was put back as a folder of its own.

    Where it is shared, whose it is and what is private stays true of a restored backup; its copy id does not. A copy
    in another place is another library, of which nothing is known.
    """
    before = [path for path in own.parent.glob("*.json") if path != own] if own.parent.is_dir() else []
    for path in sorted(before, key=lambda one: one.stat().st_mtime, reverse=True):
        try:
            known = Facts(path).all()
        except FactsError:
            continue
        if known.get("mark") == mark and known.get("path") == str(folder):
            former = [*known.get("former", []), *([known["copy"]] if "copy" in known else [])]
            kept = {name: value for name, value in known.items() if name not in ("copy", "fingerprint", "path")}
            return {**kept, "former": former}
    return {}


def shop_facts() -> Facts:
    """Return the facts of the shop at this machine: its cups, its scale, its guns."""
    return Facts(home() / "shop.json")


def tokens() -> Facts:
    """Return the secrets for hubs, by address; a file only its owner may read, and never part of a library."""
    return Facts(home() / "tokens.json", private=True)
