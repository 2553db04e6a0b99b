"""Whom this machine trusts: keys by copy, kept in its own file and never taken from what is synced."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime

from sprayout_core.documents import Shop
from sprayout_library.machine import PublicKey
from sprayout_library.store import Store
from sprayout_library.store.layout import copy_name
from sprayout_library.trust.errors import TrustError

__all__ = ["Claim", "Ended", "TrustedKey", "claims", "trust_key", "trusted_keys", "withdraw_key"]


@dataclass(frozen=True, slots=True)
class TrustedKey:
    """A key this machine trusts for one copy.

    key        its one line; `fingerprint` is what people compare
    until      when its copy went on to another key (RFC 3339), "" while it is in use
    last       the commit that said so, signed with this key: what that contains was made in time
    withdrawn  when it was withdrawn, "" where it was not: nothing it signed counts any more
    """

    copy: str
    key: str
    fingerprint: str
    until: str = ""
    last: str = ""
    withdrawn: str = ""


@dataclass(frozen=True, slots=True)
class Ended:
    """When a copy went on to a new key (RFC 3339), and the commit that says so ("" where none does)."""

    until: str
    last: str = ""


@dataclass(frozen=True, slots=True)
class Claim:
    """What a shop's document says about one of its copies; anybody can write that, so it is only a claim."""

    shop: str
    copy: str
    name: str
    key: str
    fingerprint: str
    trusted: bool


def trusted_keys(store: Store) -> list[TrustedKey]:
    """Return every key this machine trusts, or trusted, in this library."""
    kept = store.facts.get("trusted", [])
    try:
        return [TrustedKey(**entry) for entry in kept]
    except TypeError:
        raise TrustError("this machine's list of trusted keys is broken", "Repair or remove it in its facts.") from None


def _keep(store: Store, keys: list[TrustedKey]) -> None:
    store.facts.put("trusted", [asdict(key) for key in keys])


def _is_former(key: TrustedKey, copy: str, new: PublicKey) -> bool:
    return key.copy == copy and not key.until and key.fingerprint != new.fingerprint


def trust_key(store: Store, copy: str, line: str, ended: Ended | None = None) -> TrustedKey:
    """Trust a key for a copy from now on, after its fingerprint was compared by another way; return it.

    ended   what ended the former keys of that copy, where it had some
    """
    public = PublicKey.read(line)
    keys = [
        replace(key, until=ended.until, last=ended.last) if ended and _is_former(key, copy, public) else key
        for key in trusted_keys(store)
    ]
    for key in keys:
        if key.fingerprint == public.fingerprint and (key.copy != copy or key.withdrawn):
            what = f"was withdrawn at {key.withdrawn}" if key.withdrawn else f"is the key of {key.copy}"
            raise TrustError(f"this key {what}", "Every copy has a key of its own: ask for a new one.")
    kept = TrustedKey(copy_name(copy), public.line, public.fingerprint)
    if all(key.fingerprint != public.fingerprint for key in keys):
        keys.append(kept)
    _keep(store, keys)
    return kept


def withdraw_key(store: Store, fingerprint: str, now: datetime) -> TrustedKey:
    """Trust nothing any more that a key signed, whenever it says it did: it was stolen or lost."""
    keys = trusted_keys(store)
    at = now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    for place, key in enumerate(keys):
        if key.fingerprint == fingerprint:
            keys[place] = replace(key, withdrawn=at)
            _keep(store, keys)
            return keys[place]
    raise TrustError(f"{fingerprint[:60]!r} is not trusted here", "See the list of trusted keys.")


def claims(store: Store) -> list[Claim]:
    """Return what the shops' documents say about keys, and which of it this machine trusts already."""
    trusted = {(key.copy, key.fingerprint) for key in trusted_keys(store) if not key.withdrawn}
    found: list[Claim] = []
    for shop in store.documents("shop"):
        if not isinstance(shop, Shop):
            continue
        for copy, entry in (shop.copies or {}).items():
            if entry.key:
                public = PublicKey.read(entry.key)
                known = (copy, public.fingerprint) in trusted
                found.append(Claim(shop.name, copy, entry.name, public.line, public.fingerprint, known))
    return found
