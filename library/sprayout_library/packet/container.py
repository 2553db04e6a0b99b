"""The file of a packet: one JSON text of our own with one spelling, bounded, and refused whole when it is wrong."""

from __future__ import annotations

import base64
import binascii
import hashlib
import re
import stat
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import msgspec

from sprayout_core.documents import Document, from_tree, parse, stored, tree
from sprayout_core.errors import Fault, FaultsError, SprayoutError

__all__ = [
    "LARGEST_PACKET", "MOST_DOCUMENTS", "Packet", "PacketError", "packet_bytes", "packet_content", "packet_from",
    "read_packet", "shown",
]  # fmt: skip

#: Bytes of a whole packet, sources included.
LARGEST_PACKET = 96_000_000
#: Documents in one packet.
MOST_DOCUMENTS = 20_000
#: Sources in one packet.
MOST_SOURCES = 500

_EDITION = re.compile(r"sprayout-packet/([1-9][0-9]{0,3})\.(0|[1-9][0-9]{0,3})", re.ASCII)
_WRITES = "sprayout-packet/1.0"
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)
_DIGEST = re.compile(r"sha256:[0-9a-f]{64}", re.ASCII)
#: The manifest of a library stays where it is: another library has its own.
_STAYS = "library"
_LONGEST_TEXT = 300
_UNSHOWN = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")


class PacketError(FaultsError):
    """A packet that is not what one should be; nothing of it was taken."""


@dataclass(frozen=True, slots=True)
class Packet:
    """What a packet holds.

    about      ids of the documents it was made for
    sent       from (library), shop, by, at, tool: what the sender said, as text
    gaps       what a stranger would have to guess, in the sender's words: (about, question)
    documents  by id
    sources    contents by digest ("sha256:...")
    sha256     of the file, hex; "" before it was written
    """

    about: tuple[str, ...]
    sent: Mapping[str, str]
    gaps: tuple[tuple[str, str], ...]
    documents: Mapping[str, Document]
    sources: Mapping[str, bytes] = field(default_factory=dict)
    sha256: str = ""


class _Gap(msgspec.Struct, forbid_unknown_fields=True):
    about: str
    question: str


class _Container(msgspec.Struct, forbid_unknown_fields=True):
    packet: str
    about: list[str]
    documents: list[msgspec.Raw]
    sent: dict[str, str] = {}
    gaps: list[_Gap] = []
    sources: dict[str, str] = {}


def shown(text: str) -> str:
    """Return a text without what a screen cannot show or what turns the direction of writing."""
    kept = "".join(" " if sign == "\n" else sign for sign in text)
    return "".join(sign for sign in kept if unicodedata.category(sign) not in _UNSHOWN)


def packet_bytes(packet: Packet) -> bytes:
    """Return the one text of a packet. Raises PacketError where it would be too large to be taken in."""
    content = stored(_tree(packet))
    if len(content) > LARGEST_PACKET:
        raise _wrong(
            f"{len(content) // 1_000_000} MB", f"At most {LARGEST_PACKET // 1_000_000}: leave the sources out."
        )
    if len(packet.documents) > MOST_DOCUMENTS:
        raise _wrong(f"{len(packet.documents)} documents", f"At most {MOST_DOCUMENTS}: sync instead.")
    return content


def _tree(packet: Packet) -> dict[str, Any]:
    plain: dict[str, Any] = {
        "packet": _WRITES,
        "about": list(packet.about),
        "sent": dict(packet.sent),
        "gaps": [{"about": about, "question": question} for about, question in packet.gaps],
        "documents": [tree(packet.documents[name]) for name in sorted(packet.documents)],
        "sources": {digest: base64.b64encode(held).decode("ascii") for digest, held in packet.sources.items()},
    }
    return {name: value for name, value in plain.items() if value}


def read_packet(path: Path) -> Packet:
    """Return the packet in a file, checked whole: every fault of every document is told at once.

    Raises PacketError for anything but a plain file of bearable size in the one spelling of a packet.
    """
    return packet_from(packet_content(path), shown(path.name))


def packet_from(content: bytes, name: str) -> Packet:
    """Return the packet that a file's content says; `name` is the file's, for what is told of it. See `read_packet`."""
    try:
        return _read(content)
    except PacketError as error:
        raise PacketError([_placed(name, fault) for fault in error.faults]) from None


def _placed(name: str, fault: Fault) -> Fault:
    return Fault(f"{name}, {fault.place}" if fault.place else name, fault.problem, fault.remedy)


def packet_content(path: Path) -> bytes:
    """Return the content of a packet's file, unread. Raises PacketError for no plain file of bearable size."""
    place = shown(str(path))
    try:
        seen = path.stat()
        if not stat.S_ISREG(seen.st_mode):
            raise _wrong("is no plain file", "Name the packet itself.", place)
        if seen.st_size > LARGEST_PACKET:
            raise _wrong(
                f"{seen.st_size // 1_000_000} MB", f"A packet has at most {LARGEST_PACKET // 1_000_000}.", place
            )
        with path.open("rb") as file:
            content = file.read(LARGEST_PACKET + 1)
    except OSError as error:
        raise _wrong(f"cannot be read: {error.strerror or 'no such file'}", "Check the name.", place) from None
    except ValueError:
        raise _wrong("is no file name", "Check the name.") from None
    if len(content) > LARGEST_PACKET:
        raise _wrong("grew while it was read", "Wait until it is copied.", place)
    return content


def _read(content: bytes) -> Packet:
    try:
        found = msgspec.json.decode(content, type=_Container)
    except msgspec.ValidationError as error:
        told = str(error).partition("(byte")[0].strip().rstrip(".")
        raise _wrong(f"no packet: {told[:120]}", "Ask for it again; `sprayout pack` writes one.") from None
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        if content.lstrip()[:1] == b"{":
            raise _wrong("is cut off or damaged", "It was not copied whole: ask for it again.") from None
        raise _wrong("is no packet", "Name the file that `sprayout pack` wrote, or ask for it again.") from None
    _check_edition(found.packet)
    if not found.documents or len(found.documents) > MOST_DOCUMENTS:
        raise _wrong(f"{len(found.documents)} documents", f"A packet holds 1 to {MOST_DOCUMENTS}.", "documents")
    documents = _documents(found.documents)
    _check_words(found, documents)
    sources = _sources(found.sources, documents)
    gaps = tuple((gap.about, gap.question) for gap in found.gaps)
    packet = Packet(tuple(found.about), found.sent, gaps, documents, sources, hashlib.sha256(content).hexdigest())
    # One spelling: doubled members, other orders and other blanks would be read differently by other readers.
    if found.packet == _WRITES and stored(_tree(packet)) != content:
        raise _wrong("is not in the one spelling of a packet", "It was changed by hand: ask for it again.")
    return packet


def _check_edition(text: str) -> None:
    hit = _EDITION.fullmatch(text)
    if hit is None:
        raise _wrong(f"{text[:40]!r} is no packet", f"One begins with {_WRITES}.", "packet")
    if hit[1] != "1":
        raise _wrong(f"written as {text}", f"This reads {_WRITES}: update sprayout.", "packet")


def _documents(raw: Sequence[msgspec.Raw]) -> dict[str, Document]:
    found: dict[str, Document] = {}
    faults: list[Fault] = []
    for number, one in enumerate(raw):
        place = f"documents/{number}"
        try:
            document = _document(bytes(one))
        except SprayoutError as error:
            faults += [_placed(place, fault) for fault in error.faults][:20]
            continue
        if document.id in found:
            faults.append(Fault(place, f"{document.id} stands twice", "A packet holds one state of each."))
        elif document.kind == _STAYS:
            faults.append(Fault(place, "the manifest of another library", "It stays in its own library."))
        found[document.id] = document
    if faults:
        raise PacketError(faults[:100])
    return found


def _document(content: bytes) -> Document:
    value = parse(content)
    document = from_tree(value)
    if tree(document) != value:
        raise SprayoutError("not as it is stored", "Empty members, or text that is not in its one spelling.")
    return document


def _check_words(found: _Container, documents: Mapping[str, Document]) -> None:
    faults = []
    for identity in found.about:
        if not _ID.fullmatch(identity) or identity not in documents:
            faults.append(Fault("about", f"{identity[:60]!r} is not in the packet", "Ask for a whole one."))
    words = [*found.sent, *found.sent.values(), *(text for gap in found.gaps for text in (gap.about, gap.question))]
    for text in words:
        if len(text) > _LONGEST_TEXT or shown(text) != text:
            faults.append(Fault("sent", "words that cannot be shown", "Ask for it again."))
    if not found.about or len(set(found.about)) != len(found.about):
        faults.append(Fault("about", "does not say what it is about, once", "Ask for a whole one."))
    if len(found.gaps) > MOST_DOCUMENTS:
        faults.append(Fault("gaps", f"{len(found.gaps)} of them", "Ask for it again."))
    if faults:
        raise PacketError(faults[:20])


def _sources(given: Mapping[str, str], documents: Mapping[str, Document]) -> dict[str, bytes]:
    from sprayout_library.sources import LARGEST_SOURCE, digests_named

    named = digests_named(documents.values())
    faults: list[Fault] = []
    found: dict[str, bytes] = {}
    if len(given) > MOST_SOURCES:
        raise _wrong(f"{len(given)} sources", f"At most {MOST_SOURCES}.", "sources")
    for digest, text in given.items():
        place = f"sources/{digest[:24]}"
        if not _DIGEST.fullmatch(digest) or digest not in named:
            faults.append(Fault(place, "no document of the packet names it", "Ask for it again."))
            continue
        try:
            content = base64.b64decode(text, validate=True)
        except (binascii.Error, ValueError):
            faults.append(Fault(place, "cannot be decoded", "Ask for it again."))
            continue
        if len(content) > LARGEST_SOURCE:
            faults.append(Fault(place, f"{len(content)} bytes", f"At most {LARGEST_SOURCE}."))
        elif f"sha256:{hashlib.sha256(content).hexdigest()}" != digest:
            faults.append(Fault(place, "is not what its digest says", "It was damaged or changed."))
        found[digest] = content
    if faults:
        raise PacketError(faults[:20])
    return found


def _wrong(problem: str, remedy: str, place: str = "") -> PacketError:
    return PacketError([Fault(place, problem, remedy)])
