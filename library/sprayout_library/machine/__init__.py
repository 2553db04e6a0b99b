"""This machine's own facts, outside every library: copy ids, remotes, trusted keys, the shop's cups and scale."""

from sprayout_library.machine.cloud import synced_by
from sprayout_library.machine.copies import LibraryFacts, fingerprint, library_facts, shop_facts, tokens
from sprayout_library.machine.facts import Facts, FactsError, write_whole
from sprayout_library.machine.home import HOME_VARIABLE, home
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
from sprayout_library.machine.lock import LockedError, held

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
