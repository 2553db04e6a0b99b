"""Verifying a library: every edit by its signature and the copy it names, every fold by making it again."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import Enum

from sprayout_core.errors import SprayoutError
from sprayout_library.machine import PublicKey, SigningError
from sprayout_library.store import FOLD_RULES, Commit, Store
from sprayout_library.store.journal import received_times
from sprayout_library.store.objects import Pile
from sprayout_library.store.trees import trees_of
from sprayout_library.sync.folding import commits_of, fold
from sprayout_library.trust.errors import TrustError
from sprayout_library.trust.signatures import fits, signer
from sprayout_library.trust.trusted import TrustedKey, trusted_keys

__all__ = ["Checked", "State", "Verification", "rotation_of", "verify"]

_ROTATION = re.compile(r"^New key: (ssh-ed25519 [A-Za-z0-9+/]{68}={0,2})$", re.MULTILINE | re.ASCII)


class State(Enum):
    """What can be said about one commit; the first three say that nothing is wrong, the others that something is."""

    KNOWN = "signed by a known shop"
    UNKNOWN = "signed by an unknown key"
    UNSIGNED = "not signed"
    FOLD = "a fold, made again and the same"
    OTHER_RULES = "a fold by other rules, which cannot be made again here"
    BROKEN = "its signature does not fit"
    ANOTHERS = "signed with the key of another copy"
    ENDED = "signed with a key after its copy went on to another"
    BACKDATED = "dated before its key ended, but made or received after"
    WITHDRAWN = "signed with a withdrawn key"
    DIFFERENT = "a fold that comes out differently when made again"

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong with it."""
        return self in {State.KNOWN, State.UNKNOWN, State.UNSIGNED, State.FOLD, State.OTHER_RULES}


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found about one commit."""

    commit: str
    copy: str
    state: State
    fingerprint: str = ""


@dataclass(slots=True)
class Verification:
    """What was found about a library.

    checked    every commit, parents first
    rotations  keys that a copy went on to, said in a commit signed with its trusted key: (copy, new key, commit, time)
    """

    checked: list[Checked] = field(default_factory=list)
    rotations: list[tuple[str, PublicKey, str, datetime]] = field(default_factory=list)

    @property
    def counts(self) -> dict[State, int]:
        """How many commits there are of each state."""
        return dict(Counter(one.state for one in self.checked))

    @property
    def wrong(self) -> list[Checked]:
        """The commits with which something is wrong."""
        return [one for one in self.checked if not one.state.sound]


def rotation_of(commit: Commit) -> PublicKey | None:
    """Return the new key that a commit says its copy goes on to, or None."""
    hit = _ROTATION.search(commit.message)
    return PublicKey.read(hit[1]) if hit and commit.what == "edit" else None


def verify(store: Store, since: Sequence[str] = ()) -> Verification:
    """Check every commit of a library and return what was found; nothing is changed.

    since   commits that were verified before: what they contain is left out

    A signature says that a copy stored these bytes, and no more. Git compares the signer with nobody, so the key
    is compared here with the copy that the commit names.
    """
    found = Verification()
    if store.head is None:
        return found
    words = ("rev-list", "--topo-order", "--reverse", "--end-of-options", store.head)
    names = store.git.text(*words, *(f"^{name}" for name in since)).split()
    look = _Look(store, trusted_keys(store), received_times(store.folder, store.git), found)
    for commit in commits_of(store.git, names):
        found.checked.append(look.at(commit))
    return found


@dataclass(slots=True)
class _Look:
    """One verification under way; trusted keys grow by rotations that a trusted key signed."""

    store: Store
    keys: list[TrustedKey]
    received: dict[str, datetime]
    found: Verification
    contained: dict[str, set[str]] = field(default_factory=dict)

    def at(self, commit: Commit) -> Checked:
        if commit.what == "fold":
            return Checked(commit.id, "", self._fold(commit))
        if not commit.signature:
            return Checked(commit.id, commit.copy, State.UNSIGNED)
        try:
            public = signer(commit.signature)
        except (TrustError, SigningError):
            return Checked(commit.id, commit.copy, State.BROKEN)
        state = self._signed(commit, public) if fits(commit.payload, commit.signature) else State.BROKEN
        if state is State.KNOWN and (new := rotation_of(commit)) is not None:
            self._rotated(commit, public, new)
        return Checked(commit.id, commit.copy, state, public.fingerprint)

    def _signed(self, commit: Commit, public: PublicKey) -> State:
        entries = [key for key in self.keys if key.fingerprint == public.fingerprint]
        if not entries:
            return State.UNKNOWN
        if any(key.withdrawn for key in entries):
            return State.WITHDRAWN
        own = [key for key in entries if key.copy == commit.copy]
        if not own:
            return State.ANOTHERS
        if until := own[0].until:
            end = datetime.fromisoformat(until)
            last = own[0].last
            if last and commit.id in self._contained(last):
                return State.KNOWN
            if datetime.fromtimestamp(commit.committer.at, UTC) > end:
                return State.ENDED
            arrived = self.received.get(commit.id)
            if last or (arrived is not None and arrived > end):
                return State.BACKDATED
        return State.KNOWN

    def _rotated(self, commit: Commit, old: PublicKey, new: PublicKey) -> None:
        at = datetime.fromtimestamp(commit.committer.at, UTC)
        if all(key.fingerprint != new.fingerprint for key in self.keys):
            self.keys.append(TrustedKey(commit.copy, new.line, new.fingerprint))
            self.found.rotations.append((commit.copy, new, commit.id, at))

    def _contained(self, last: str) -> set[str]:
        if last not in self.contained:
            self.contained[last] = set(self.store.git.text("rev-list", "--end-of-options", last).split())
        return self.contained[last]

    def _fold(self, commit: Commit) -> State:
        if commit.rules != FOLD_RULES:
            return State.OTHER_RULES
        with Pile() as pile:
            try:
                again = fold(self.store.git, trees_of(self.store.git, self.store.reader), commit.parents, pile)
            except SprayoutError:
                return State.DIFFERENT
        return State.FOLD if again == commit.id else State.DIFFERENT


def verified_lines(found: Verification) -> Iterator[str]:
    """Yield what was found in plain words, one line for each state, what is wrong first."""
    for state, count in sorted(found.counts.items(), key=lambda item: (item[0].sound, item[0].value)):
        yield f"{count} {state.value}"
