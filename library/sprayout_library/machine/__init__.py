"""This machine's own facts, outside every library: copy ids, remotes, trusted keys, the shop's cups and scale."""

from sprayout_library.machine.cloud import synced_by
from sprayout_library.machine.copies import LibraryFacts, fingerprint, library_facts, shop_facts, tokens
from sprayout_library.machine.facts import Facts, FactsError, write_whole
from sprayout_library.machine.home import HOME_VARIABLE, home
from sprayout_library.machine.keys import COMMITS, PublicKey, SigningError, SigningKey, key_of, make_key, ssh_keygen
from sprayout_library.machine.lock import LockedError, held

__all__ = [
    "COMMITS",
    "PublicKey",
    "SigningError",
    "SigningKey",
    "key_of",
    "make_key",
    "ssh_keygen",
    "HOME_VARIABLE",
    "Facts",
    "FactsError",
    "LibraryFacts",
    "LockedError",
    "fingerprint",
    "held",
    "home",
    "library_facts",
    "shop_facts",
    "synced_by",
    "tokens",
    "write_whole",
]
