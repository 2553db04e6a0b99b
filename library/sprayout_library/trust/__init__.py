"""Trust says who stored what: keys, signed edits, folds made again, and what this machine believes of it."""

from sprayout_library.store.journal import note_received, received_times
from sprayout_library.trust.errors import TrustError
from sprayout_library.trust.signing import (
    Signed,
    accept_rotations,
    begin_signing,
    check_packet,
    rotate,
    sign_packet,
)
from sprayout_library.trust.trusted import Claim, Ended, TrustedKey, claims, trust_key, trusted_keys, withdraw_key
from sprayout_library.trust.verifying import Checked, State, Verification, verified_lines, verify

__all__ = [
    "Checked",
    "Claim",
    "Ended",
    "Signed",
    "State",
    "TrustError",
    "TrustedKey",
    "Verification",
    "accept_rotations",
    "begin_signing",
    "check_packet",
    "claims",
    "note_received",
    "received_times",
    "rotate",
    "sign_packet",
    "trust_key",
    "trusted_keys",
    "verified_lines",
    "verify",
    "withdraw_key",
]
