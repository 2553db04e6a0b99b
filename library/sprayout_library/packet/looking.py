"""Looking into a packet before anything is taken: what is new, newer, older, the same, or becomes two answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from sprayout_core.compare import Line, Naming, join, questions_of, tell
from sprayout_core.documents import Document, tree
from sprayout_core.errors import Fault, SprayoutError
from sprayout_library.packet.container import Packet, PacketError
from sprayout_library.record.about import evidence_about
from sprayout_library.record.gaps import Gap, gaps_of
from sprayout_library.store import Store

__all__ = ["Fate", "Look", "Seen", "look"]


class Fate(Enum):
    """What would become of one document of a packet."""

    NEW = "new"
    NEWER = "newer than mine"
    JOINED = "changed here and there, joins without a question"
    ANSWERS = "two answers"
    OLDER = "older than mine"
    SAME = "the same as mine"


@dataclass(frozen=True, slots=True)
class Seen:
    """One document of a packet: its fate, the state that would stand after, what would change here."""

    document: Document
    fate: Fate
    after: Document
    lines: tuple[Line, ...]
    asked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Look:
    """Everything a packet would bring; `gaps` are asked anew of what it holds and what is here."""

    packet: Packet
    seen: tuple[Seen, ...]
    gaps: tuple[Gap, ...]

    def of(self, fate: Fate) -> list[Seen]:
        """Return the documents with one fate."""
        return [one for one in self.seen if one.fate is fate]

    @property
    def changing(self) -> list[Document]:
        """The documents that would be saved, as they would stand."""
        return [one.after for one in self.seen if one.fate not in (Fate.SAME, Fate.OLDER)]


def look(store: Store, packet: Packet, name: Naming) -> Look:
    """Return what a packet would bring to a library; nothing is taken.

    Raises PacketError naming every document that cannot be a state of the one here.
    """
    seen: list[Seen] = []
    faults: list[Fault] = []
    for _, theirs in sorted(packet.documents.items()):
        try:
            seen.append(_fate(store, theirs, name))
        except SprayoutError as error:
            fault = error.fault
            faults.append(Fault(theirs.name, fault.problem, fault.remedy or "Ask the sender to sync first."))
    if faults:
        raise PacketError(faults[:50])
    return Look(packet, tuple(seen), _gaps(store, packet, name))


def _fate(store: Store, theirs: Document, name: Naming) -> Seen:
    mine = store.get(theirs.id)
    own = store.facts.copy_id or ""  # not drawn here: looking changes nothing
    if theirs.seen.get(own, 0) > (mine.seen if mine else {}).get(own, 0):
        raise SprayoutError(
            "brings edits of this very copy that this copy does not hold",
            "This library is behind itself, as after a restored backup: sync it once, then take the packet.",
        )
    if mine is None:
        return Seen(theirs, Fate.NEW, theirs, (), questions_of(theirs))
    if mine == theirs:
        return Seen(theirs, Fate.SAME, mine, (), ())
    after = join(mine, theirs)
    if _only_counted(mine, after):
        return Seen(theirs, Fate.SAME, mine, (), ())
    asked = tuple(sorted(set(questions_of(after)) - set(questions_of(mine))))
    if after == mine:
        fate = Fate.OLDER
    elif asked:
        fate = Fate.ANSWERS
    else:
        fate = Fate.NEWER if after == theirs else Fate.JOINED
    return Seen(theirs, fate, after, tell(mine, after, name), asked)


def _only_counted(mine: Document, after: Document) -> bool:
    """Say whether nothing would change here but how many edits are counted.

    Nothing is lost by leaving that out; a count that is too high would make this library pass over edits to come.
    """
    ours, theirs = tree(mine), tree(after)
    return ours != theirs and {**ours, "seen": {}} == {**theirs, "seen": {}}


def _gaps(store: Store, packet: Packet, name: Naming) -> tuple[Gap, ...]:
    def find(identity: str) -> Document | None:
        return packet.documents.get(identity) or store.find(identity)

    about = [packet.documents[identity] for identity in packet.about]
    evidence = evidence_about(store, *about, beside=packet.documents.values())
    found: list[Gap] = []
    for one in about:
        found += gaps_of(one, find, evidence, name)
    return tuple(dict.fromkeys(found))
