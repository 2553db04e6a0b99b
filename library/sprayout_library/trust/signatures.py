"""Signatures by Ed25519 keys as OpenSSH writes them (PROTOCOL.sshsig): whose key made one, and does it fit."""

from __future__ import annotations

import base64
import binascii
import re
import tempfile
from pathlib import Path

from sprayout_library.machine import COMMITS, PublicKey, SigningError, ssh_keygen
from sprayout_library.trust.errors import TrustError

__all__ = ["PACKETS", "fits", "signer"]

PACKETS = "sprayout-packet"
"""The namespace of packets' signatures: a signature over a commit is none over a packet, and the other way round."""

_ARMOUR = re.compile(
    r"-----BEGIN SSH SIGNATURE-----\n([A-Za-z0-9+/=\n]{100,2000})\n-----END SSH SIGNATURE-----\n?", re.ASCII
)


def signer(signature: str) -> PublicKey:
    """Return the public key that a signature says it was made with; whether it was, `fits` tells.

    Raises TrustError for anything but an Ed25519 signature in armour.
    """
    hit = _ARMOUR.fullmatch(signature.strip() + "\n")
    if hit is None:
        raise TrustError("no signature in the form of OpenSSH", "It was cut off, or made by another program.")
    try:
        blob = base64.b64decode(hit[1].replace("\n", ""), validate=True)
        if blob[:10] != b"SSHSIG\x00\x00\x00\x01":
            raise TrustError("a signature of an unknown edition", "Only SSHSIG edition 1 is read.")
        size = int.from_bytes(blob[10:14], "big")
        key = blob[14 : 14 + size]
        if len(key) != size:
            raise TrustError("a signature that is cut off", "Ask for it again.")
        return PublicKey.read(f"ssh-ed25519 {base64.b64encode(key).decode('ascii')}")
    except (binascii.Error, SigningError):
        raise TrustError("a signature by another kind of key", "Only Ed25519 keys are used.") from None


def fits(payload: bytes, signature: str, namespace: str = COMMITS) -> bool:
    """Say whether a signature was made over exactly these bytes, in this namespace, by the key it names."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "signature"
        path.write_text(signature.strip() + "\n", encoding="ascii", newline="\n")
        said = ssh_keygen("-Y", "check-novalidate", "-n", namespace, "-s", str(path), given=payload)
    return said.returncode == 0
