"""Signing: a key for this copy, going on to a new one, and signatures that travel with packets."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from sprayout_library.machine import PublicKey, key_of, make_key, use_key
from sprayout_library.store import Author, Store, Written
from sprayout_library.store.layout import shop_ref
from sprayout_library.store.refs import MAIN, all_refs, move
from sprayout_library.store.writing import write_edit
from sprayout_library.trust.errors import TrustError
from sprayout_library.trust.signatures import PACKETS, fits, signer
from sprayout_library.trust.trusted import Ended, trust_key, trusted_keys
from sprayout_library.trust.verifying import State, Verification

__all__ = ["Signed", "accept_rotations", "begin_signing", "check_packet", "rotate", "sign_packet"]


def begin_signing(store: Store) -> PublicKey:
    """Make a key for this copy; every edit from now on is signed with it. Returns its public half.

    Raises TrustError where the copy has a key already: going on to a new one is `rotate`.
    """
    copy = store.copy_id
    if key_of(copy) is not None:
        raise TrustError("this copy has a key already", "Go on to a new one if it is lost or stolen.")
    make_key(copy)
    key = use_key(copy)
    trust_key(store, copy, key.public.line)
    return key.public


def rotate(store: Store, now: datetime) -> PublicKey:
    """Go on to a new key, said in a commit signed with the old one, and return its public half.

    Stopped in between, it can be called again: the new key is the same one, and it is not used before it was said.
    """
    copy = store.copy_id
    if key_of(copy) is None:
        raise TrustError("this copy has no key yet", "Make one first.")
    new = make_key(copy)
    message = f"a new key for {copy}\n\nNew key: {new.public.line}"
    how = Written("edit", message, Author("sprayout", now))
    with store.writing():
        newest = store.newest()
        commit = write_edit(store, newest, {}, how, copy)
        refs = all_refs(store.git, "refs/heads/")
        own = shop_ref(copy)
        move(store.git, {own: (refs.get(own), commit), MAIN: (refs.get(MAIN), commit)}, "a new key")
    store.refresh()
    use_key(copy)
    at = now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    trust_key(store, copy, new.public.line, Ended(at, commit))
    return new.public


def accept_rotations(store: Store, found: Verification) -> list[str]:
    """Trust the keys that trusted copies went on to, and return their fingerprints."""
    known = {key.fingerprint for key in trusted_keys(store)}
    accepted: list[str] = []
    for copy, public, commit, at in found.rotations:
        if public.fingerprint not in known:
            trust_key(store, copy, public.line, Ended(at.strftime("%Y-%m-%dT%H:%M:%SZ"), commit))
            accepted.append(public.fingerprint)
    return accepted


@dataclass(frozen=True, slots=True)
class Signed:
    """What a packet's signature says: its state, and the copy and key where they are known."""

    state: State
    copy: str = ""
    fingerprint: str = ""


def sign_packet(store: Store, content: bytes) -> str:
    """Return a detached signature over a packet by this copy's key, or "" where it has none."""
    key = key_of(store.copy_id)
    return key.sign(content, PACKETS) if key else ""


def check_packet(store: Store, content: bytes, signature: str) -> Signed:
    """Return what a packet's detached signature is worth on this machine; "" is "not signed"."""
    if not signature:
        return Signed(State.UNSIGNED)
    public = signer(signature)
    if not fits(content, signature, PACKETS):
        return Signed(State.BROKEN, fingerprint=public.fingerprint)
    for key in trusted_keys(store):
        if key.fingerprint == public.fingerprint:
            state = State.WITHDRAWN if key.withdrawn else State.KNOWN
            return Signed(state, key.copy, public.fingerprint)
    return Signed(State.UNKNOWN, fingerprint=public.fingerprint)
