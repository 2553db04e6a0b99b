"""Commits of a library: an edit, a packet taken in, or a fold; each says which in its last line."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sprayout_core import compare
from sprayout_library.store.errors import DamagedError, StoreError

__all__ = [
    "FOLD_RULES",
    "Commit",
    "Person",
    "commit_bytes",
    "edit_message",
    "fold_message",
    "packet_message",
    "read_commit",
]

FOLD_RULES = compare.RULES
"""The version of the joining rules; copies with another version make no folds of ours."""

_LONGEST_NAME = 80
_LONGEST_MESSAGE = 2000
_PERSON = re.compile(r"(?P<name>[^<>\n\0]*) <(?P<email>[^<>\n\0]*)> (?P<at>\d{1,11}) (?P<zone>[+-]\d{4})")
_LAST = re.compile(
    r"Sprayout: (?P<what>edit|packet) rules=(?P<rules>[1-9]\d{0,3}) copy=(?P<copy>[0-9a-z]{6,12})"
    r"(?: sha256=(?P<sha256>[0-9a-f]{64}))?"
)
_FOLD = re.compile(r"fold rules=(?P<rules>[1-9]\d{0,3})")


@dataclass(frozen=True, slots=True)
class Person:
    """Who wrote or stored a commit, and when (whole seconds, always UTC)."""

    name: str
    email: str
    at: int

    def __str__(self) -> str:
        return f"{self.name} <{self.email}> {self.at} +0000"


@dataclass(frozen=True, slots=True)
class Commit:
    """One commit, read.

    what    "edit", "packet" or "fold"; "" for a commit that is none of ours
    rules   version of the joining rules it was made under
    copy    the copy that made it ("" for a fold)
    sha256  of the packet that was taken in
    signature  the armoured signature, "" when unsigned; `payload` is what it signs
    """

    id: str
    tree: str
    parents: tuple[str, ...]
    author: Person
    committer: Person
    message: str
    what: str
    rules: int
    copy: str
    sha256: str
    signature: str = ""
    payload: bytes = field(default=b"", repr=False)

    @property
    def at(self) -> datetime:
        """When its author made it, in UTC."""
        return datetime.fromtimestamp(self.author.at, UTC)

    @property
    def subject(self) -> str:
        """The first line of its message."""
        return self.message.split("\n", 1)[0]


def clean_name(text: str) -> str:
    """Return a name or handle that can stand in a commit."""
    kept = "".join(character for character in text if character.isprintable() and character not in "<>").strip(" .,;:")
    return kept[:_LONGEST_NAME].strip() or "someone"


def _clean_message(text: str) -> str:
    lines = ("".join(sign for sign in line if sign.isprintable()).rstrip() for line in text.strip().splitlines())
    message = "\n".join(lines)[:_LONGEST_MESSAGE].strip()
    if not message:
        raise StoreError("a save needs a message", "Say in a few words what was done.")
    return message


def edit_message(text: str, copy: str) -> str:
    """Return the message of an edit; the last line is ours, whatever the text says."""
    return f"{_clean_message(text)}\n\nSprayout: edit rules={FOLD_RULES} copy={copy}\n"


def packet_message(text: str, copy: str, sha256: str) -> str:
    """Return the message of a packet taken in, naming the packet's digest."""
    return f"{_clean_message(text)}\n\nSprayout: packet rules={FOLD_RULES} copy={copy} sha256={sha256}\n"


def fold_message() -> str:
    """Return the message every fold of these rules has."""
    return f"{compare.fold_message()}\n"


def commit_bytes(
    tree: str, parents: tuple[str, ...], author: Person, committer: Person, message: str, signature: str = ""
) -> bytes:
    """Return the bytes of a commit object; a signature goes between the head and the message."""
    head = [
        f"tree {tree}",
        *(f"parent {parent}" for parent in parents),
        f"author {author}",
        f"committer {committer}",
    ]
    if signature:
        head.append("gpgsig " + signature.strip().replace("\n", "\n "))
    return ("\n".join(head) + "\n\n" + message).encode("utf-8")


def read_commit(name: str, content: bytes) -> Commit:
    """Return a commit from its bytes. Raises DamagedError for anything git would not write for us."""
    try:
        text = content.decode("utf-8")
        head, message = text.split("\n\n", 1)
        lines = head.split("\n")
        signature, kept = _without_signature(lines)
        payload = content if not signature else ("\n".join(kept) + "\n\n" + message).encode("utf-8")
        tree = kept[0].removeprefix("tree ")
        parents = tuple(line.removeprefix("parent ") for line in kept[1:-2])
        author, committer = _person(kept[-2], "author "), _person(kept[-1], "committer ")
    except (UnicodeDecodeError, ValueError, IndexError):
        raise DamagedError(
            f"commit {name[:12]} is not written as ours are", "It was made by another program."
        ) from None
    rebuilt = commit_bytes(tree, parents, author, committer, message, signature)
    if rebuilt != content:
        raise DamagedError(f"commit {name[:12]} is not written as ours are", "It was made by another program.")
    what, rules, copy, sha256 = _meaning(message)
    return Commit(name, tree, parents, author, committer, message, what, rules, copy, sha256, signature, payload)


def _without_signature(lines: list[str]) -> tuple[str, list[str]]:
    start = next((place for place, line in enumerate(lines) if line.startswith("gpgsig ")), None)
    if start is None:
        return "", lines
    end = start + 1
    while end < len(lines) and lines[end].startswith(" "):
        end += 1
    signature = [lines[start].removeprefix("gpgsig "), *(line[1:] for line in lines[start + 1 : end])]
    return "\n".join(signature), lines[:start] + lines[end:]


def _person(line: str, label: str) -> Person:
    hit = _PERSON.fullmatch(line.removeprefix(label))
    if not line.startswith(label) or hit is None or hit["zone"] != "+0000":
        raise ValueError(line)
    return Person(hit["name"], hit["email"], int(hit["at"]))


def _meaning(message: str) -> tuple[str, int, str, str]:
    if (fold := _FOLD.fullmatch(message.rstrip("\n"))) and message.endswith("\n"):
        return "fold", int(fold["rules"]), "", ""
    last = _LAST.fullmatch(message.rstrip("\n").rsplit("\n", 1)[-1])
    if last is None:
        return "", 0, "", ""
    return last["what"], int(last["rules"]), last["copy"], last["sha256"] or ""
