"""Names of things: document ids, copy ids and dots, and ids derived from what a reading says."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from sprayout_core.documents.json_value import Json
from sprayout_core.documents.text import compact
from sprayout_core.errors import SprayoutError

__all__ = ["copy_of", "dot", "dot_order", "new_copy_id", "number_of", "reading_id", "uuid7", "uuid8"]

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"
#: What a reading's id stands on. Title, notes, tags, provenance and the edit record are outside it.
READING_IDENTITY = (
    "panel", "zone", "step", "stage", "instrument", "grade", "measured", "measured_at", "repeat",
    "temperature_degc", "supersedes",
)  # fmt: skip


#: What a reading's facts are hashed behind, so that nothing else hashes to the same.
READING_MARK = b"sprayout reading\n"


def uuid7(milliseconds: int, random: bytes) -> str:
    """Return a version 7 UUID (RFC 9562, section 5.7) from Unix milliseconds and 10 random bytes."""
    if not 0 <= milliseconds < 2**48 or len(random) != 10:
        raise SprayoutError("a UUID needs 48 bits of time and 10 random bytes")
    tail = int.from_bytes(random, "big")
    value = milliseconds << 80 | tail
    return _spelled(_marked(value, 7))


def uuid8(digest: bytes) -> str:
    """Return a version 8 UUID (RFC 9562, section 5.8) holding the first bits of a digest."""
    digits = digest[:16].hex()
    variant = "89ab"[digest[8] >> 4 & 3]
    return f"{digits[:8]}-{digits[8:12]}-8{digits[13:16]}-{variant}{digits[17:20]}-{digits[20:]}"


def _marked(value: int, version: int) -> int:
    value = value & ~(0xF << 76) | version << 76
    return value & ~(0x3 << 62) | 0x2 << 62


def _spelled(value: int) -> str:
    digits = f"{value:032x}"
    return f"{digits[:8]}-{digits[8:12]}-{digits[12:16]}-{digits[16:20]}-{digits[20:]}"


def reading_id(facts: Mapping[str, Json]) -> str:
    """Return the id of a reading, derived from its content: the same measurement has the same id anywhere."""
    said = {name: facts[name] for name in READING_IDENTITY if name in facts}
    return uuid8(hashlib.sha256(READING_MARK + compact(said)).digest())


def new_copy_id(random: bytes) -> str:
    """Return a short random name for one copy of a library, from at least 8 random bytes."""
    number = int.from_bytes(random[:8], "big")
    return "".join(_ALPHABET[number >> 5 * place & 31] for place in range(8))


def dot(copy: str, number: int) -> str:
    """Return the name of edit `number` made by `copy`."""
    return f"{copy}.{number}"


def copy_of(name: str) -> str:
    """Return the copy that made the edit of this dot."""
    return name.partition(".")[0]


def number_of(name: str) -> int:
    """Return the number of a dot within its copy."""
    return int(name.partition(".")[2])


def dot_order(name: str) -> tuple[str, int]:
    """Return the sort key of dots: by copy, then by number."""
    copy, _, number = name.partition(".")
    return copy, int(number)
