"""What a code leads to: the document, the exact version that was printed, and whether it has changed since."""

from __future__ import annotations

from dataclasses import dataclass

from sprayout_core.documents import Document, digest
from sprayout_core.errors import SprayoutError
from sprayout_core.sheet import Code, parse_code
from sprayout_library.store import Store
from sprayout_library.today.sheets import library_ids

__all__ = ["Scanned", "is_code", "scanned"]


@dataclass(frozen=True, slots=True)
class Scanned:
    """Where a code leads.

    then     the exact version that was printed; None where this copy of the library does not have that state
    number   which version that is, counted from 1; the newest one with that content
    now      the document as it stands now
    """

    code: Code
    then: Document | None
    number: int | None
    now: Document

    @property
    def unchanged(self) -> bool:
        """Whether it still says what was printed."""
        return self.then is not None and digest(self.then) == digest(self.now)


def is_code(text: str) -> bool:
    """Return whether a text begins like a code of a sheet or label."""
    return text.strip().lower().startswith("sprayout:")


def scanned(text: str, store: Store) -> Scanned:
    """Return where a scanned or typed code leads.

    Raises CodeError for what is no whole code, SprayoutError for another library's and for what is not here.
    """
    code = parse_code(text)
    own = {one.replace("-", "")[-len(code.library) :] for one in library_ids(store)}
    if code.library not in own:
        raise SprayoutError(
            f"this code is of another library (…{code.library})", "Open that library (--library), or ask for a packet."
        )
    now = store.find(code.document)
    if now is None:
        raise SprayoutError("what this code names is not here yet", "Sync, and scan again.")
    if _is(now, code):
        return Scanned(code, now, len(store.history(code.document)), now)
    history = store.history(code.document)
    for place, version in enumerate(history):
        then = store.at(version.commit, code.document)
        if _is(then, code):
            return Scanned(code, then, len(history) - place, now)
    return Scanned(code, None, None, now)


def _is(document: Document, code: Code) -> bool:
    return digest(document).rpartition(":")[2].startswith(code.digest)
