"""The signing keys of this machine: one for each copy that wants one, made and used through ssh-keygen."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sprayout_core.errors import SprayoutError
from sprayout_library.machine.home import home

__all__ = ["COMMITS", "PublicKey", "SigningError", "SigningKey", "key_of", "make_key", "ssh_keygen", "use_key"]

COMMITS = "git"
"""The namespace of commit signatures (git's own); other things are signed in namespaces of their own."""

_PUBLIC = re.compile(r"(ssh-ed25519) ([A-Za-z0-9+/]{68}={0,2})(?: .*)?")


class SigningError(SprayoutError):
    """A signing key cannot be made, found or used."""


@dataclass(frozen=True, slots=True)
class PublicKey:
    """A public key: its one line of text without a comment, and its fingerprint as OpenSSH writes it."""

    line: str
    fingerprint: str

    @classmethod
    def read(cls, text: str) -> PublicKey:
        """Return the key on a line; refuses all kinds but Ed25519 (RFC 8709)."""
        import base64
        import hashlib

        hit = _PUBLIC.fullmatch(text.strip())
        if hit is None:
            raise SigningError("no Ed25519 public key", "It is one line that begins with ssh-ed25519.")
        try:
            blob = base64.b64decode(hit[2], validate=True)
        except ValueError:
            raise SigningError("a public key that is cut off", "Copy the whole line.") from None
        digest = base64.b64encode(hashlib.sha256(blob).digest()).decode("ascii").rstrip("=")
        return cls(f"{hit[1]} {hit[2]}", f"SHA256:{digest}")


@dataclass(frozen=True, slots=True)
class SigningKey:
    """A private key of this machine and its public half."""

    path: Path
    public: PublicKey

    def sign(self, payload: bytes, namespace: str = COMMITS) -> str:
        """Return an armoured signature over `payload` (OpenSSH's PROTOCOL.sshsig), deterministic for Ed25519."""
        said = ssh_keygen("-Y", "sign", "-q", "-f", str(self.path), "-n", namespace, given=payload)
        if said.returncode or b"BEGIN SSH SIGNATURE" not in said.stdout:
            raise SigningError(
                "the key could not sign",
                "Check that its file is there and has no passphrase.",
                place=self.path.name,
            )
        return said.stdout.decode("ascii").strip()


@cache
def _program() -> str:
    found = shutil.which("ssh-keygen")
    if found is None:
        raise SigningError(
            "ssh-keygen was not found", "Install OpenSSH 8.9 or newer; without keys everything else works."
        )
    return found


def ssh_keygen(*words: str, given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run ssh-keygen with fixed words, without a terminal, bounded in time."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("SSH_ASKPASS", "GIT_"))}
    kept |= {"LC_ALL": "C", "SSH_ASKPASS_REQUIRE": "never"}
    try:
        return subprocess.run([_program(), *words], input=given, capture_output=True, timeout=30, check=False, env=kept)
    except subprocess.TimeoutExpired:
        raise SigningError("ssh-keygen did not answer", "Try again.") from None


def _folder() -> Path:
    return home() / "keys"


def make_key(copy: str) -> SigningKey:
    """Return the next key of a copy: made now, or the one that an interrupted call left. It is not in use yet."""
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    name = f"{copy}.next"
    if _key_at(name) is None:
        with tempfile.TemporaryDirectory(dir=folder) as fresh:
            made = Path(fresh) / "key"
            said = ssh_keygen("-q", "-t", "ed25519", "-N", "", "-C", copy, "-f", str(made))
            if said.returncode:
                raise SigningError("no key could be made", "Check the permissions of this machine's facts.")
            made.replace(folder / name)
            made.with_name("key.pub").replace(folder / f"{name}.pub")
    found = _key_at(name)
    if found is None:
        raise SigningError("the new key vanished", "Check the permissions of this machine's facts.")
    return found


def use_key(copy: str) -> SigningKey:
    """Sign with the next key from now on and return it; the former one is kept beside it."""
    folder, former, following = _folder(), key_of(copy), _key_at(f"{copy}.next")
    if following is None:
        raise SigningError("there is no next key", "Make one first.")
    if former is not None:
        name = former.public.fingerprint.removeprefix("SHA256:").replace("/", "_").replace("+", "-")[:16]
        former.path.replace(folder / f"{copy}.{name}")
        (folder / f"{copy}.pub").replace(folder / f"{copy}.{name}.pub")
    (folder / f"{copy}.next.pub").replace(folder / f"{copy}.pub")
    following.path.replace(folder / copy)
    return SigningKey(folder / copy, following.public)


def key_of(copy: str) -> SigningKey | None:
    """Return this machine's key for a copy, or None where it has none."""
    return _key_at(copy)


def _key_at(name: str) -> SigningKey | None:
    path = _folder() / name
    try:
        public = path.with_name(f"{name}.pub").read_text(encoding="ascii")
    except FileNotFoundError:
        return None
    return SigningKey(path, PublicKey.read(public)) if path.exists() else None
