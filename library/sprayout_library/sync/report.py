"""What a sync did, told as values; screens and pages tell it in their own words."""

from __future__ import annotations

from dataclasses import dataclass, field

from sprayout_core.errors import Fault

__all__ = ["Question", "SyncReport"]


@dataclass(frozen=True, slots=True)
class Question:
    """A place where two answers stand since this sync: the document and its atom."""

    id: str
    kind: str
    title: str
    atom: str


@dataclass(slots=True)
class SyncReport:
    """What one sync did.

    sent        ids of documents that went out
    received    ids of documents that came in or changed here
    questions   places where two answers stand since this sync
    refused     what was not let in, and why, by name
    notes       what else a shop should know, in plain words
    folded      the fold this copy made, or None where none was needed
    head        the commit this copy stands at
    shops       head of every copy the remote holds, by copy id
    at_remote   whether everything saved here is at the remote by now
    """

    sent: list[str] = field(default_factory=list)
    received: list[str] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    refused: list[Fault] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    folded: str | None = None
    head: str | None = None
    shops: dict[str, str] = field(default_factory=dict)
    at_remote: bool = False

    @property
    def whole(self) -> bool:
        """Whether everything went well: nothing refused, and all of ours at the remote."""
        return self.at_remote and not self.refused
