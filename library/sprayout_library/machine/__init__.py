"""This machine's own facts, outside every library: copy ids, remotes, trusted keys, the shop's cups and scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sprayout_library.machine.cloud import synced_by
from sprayout_library.machine.copies import LibraryFacts, fingerprint, library_facts, shop_facts, tokens
from sprayout_library.machine.facts import Facts, FactsError, write_whole
from sprayout_library.machine.home import HOME_VARIABLE, home
from sprayout_library.machine.lock import LockedError, held

if TYPE_CHECKING:
    from sprayout_library.machine.keys import (
        COMMITS,
        PublicKey,
        SigningError,
        SigningKey,
        key_of,
        make_key,
        ssh_keygen,
        use_key,
    )

__all__ = [
    "COMMITS",
    "HOME_VARIABLE",
    "Facts",
    "FactsError",
    "LibraryFacts",
    "LockedError",
    "PublicKey",
    "SigningError",
    "SigningKey",
    "fingerprint",
    "held",
    "home",
    "key_of",
    "library_facts",
    "make_key",
    "shop_facts",
    "ssh_keygen",
    "synced_by",
    "tokens",
    "use_key",
    "write_whole",
]

_KEYS = {"COMMITS", "PublicKey", "SigningError", "SigningKey", "key_of", "make_key", "ssh_keygen", "use_key"}


def __getattr__(name: str) -> Any:
    """Load what has to do with keys when it is asked for: most commands sign nothing."""
    if name not in _KEYS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from sprayout_library.machine import keys

    return getattr(keys, name)
