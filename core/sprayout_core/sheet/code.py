"""The code on a label or sheet: which library, which document, which exact version."""

from __future__ import annotations

import re
from dataclasses import dataclass
from uuid import UUID

from sprayout_core.errors import SprayoutError

__all__ = ["Code", "CodeError", "DamagedCodeError", "ForeignCodeError", "code_for", "parse_code"]

SCHEME = "sprayout"
LIBRARY_DIGITS = 8
DIGEST_DIGITS = 16

_HEX = re.compile(r"[0-9a-f]+")


class CodeError(SprayoutError):
    """A code that cannot be used; `ForeignCodeError` or `DamagedCodeError` says why."""


class ForeignCodeError(CodeError):
    """The text is not one of our codes at all (a bar code of a tin, a web address)."""


class DamagedCodeError(CodeError):
    """The text begins like one of our codes, but a part is missing, cut or misspelt."""


@dataclass(frozen=True, slots=True, order=True)
class Code:
    """One exact version of one document of one library.

    library   last 8 hex digits of the library's id (the random end of a UUIDv7)
    document  the document's id, a UUID in lower case
    digest    first 16 hex digits of the document's digest
    """

    library: str
    document: str
    digest: str

    def __post_init__(self) -> None:
        _check_hex(self.library, LIBRARY_DIGITS, "library")
        _check_id(self.document)
        _check_hex(self.digest, DIGEST_DIGITS, "digest")

    @property
    def text(self) -> str:
        """The code as written and typed: `sprayout:<library>/<document>/<digest>`."""
        return f"{SCHEME}:{self.library}/{self.document}/{self.digest}"

    @property
    def qr_text(self) -> str:
        """The same in capitals: QR's alphanumeric mode (ISO/IEC 18004) needs fewer, so larger, squares."""
        return self.text.upper()

    @property
    def short(self) -> str:
        """The end of the document's id and the start of its digest, for a person to compare."""
        return f"{self.document[-6:]}-{self.digest[:6]}"


def code_for(library: str, document: str, digest: str) -> Code:
    """Return the code of a version from the full ids and the full digest.

    library   the library's id, a UUID
    document  the document's id, a UUID
    digest    hex digits, with or without a prefix ending in a colon (`sha256:...`)
    raises    DamagedCodeError where one of them is too short or not what it should be
    """
    _check_id(library)
    return Code(
        library=library.replace("-", "")[-LIBRARY_DIGITS:],
        document=document,
        digest=digest.rpartition(":")[2][:DIGEST_DIGITS],
    )


def parse_code(text: str) -> Code:
    """Return the code that was scanned or typed, in capitals or not, with space around it or not.

    raises  ForeignCodeError where the text is something else, DamagedCodeError where it is cut or misspelt
    """
    scheme, colon, rest = text.strip().lower().partition(":")
    if scheme != SCHEME or not colon:
        raise ForeignCodeError(
            f"{_quoted(text)} is not a code of a sheet, cup or panel",
            f"Scan the square beside the title; its text begins with {SCHEME}: .",
            place="code",
        )
    pieces = rest.split("/")
    if len(pieces) != 3:
        raise DamagedCodeError(
            f"{_quoted(text)} has {len(pieces)} of 3 parts",
            "A whole code is library, document and digest with / between. Scan it again.",
            place="code",
        )
    return Code(*pieces)


def _check_hex(text: str, digits: int, place: str) -> None:
    if len(text) != digits or not _HEX.fullmatch(text):
        raise DamagedCodeError(
            f"{_quoted(text)} is not {digits} digits of 0 to 9, a to f",
            "Scan the code again.",
            place=f"code/{place}",
        )


def _check_id(text: str) -> None:
    try:
        spelt = str(UUID(text))
    except ValueError:
        spelt = ""
    if spelt != text:
        raise DamagedCodeError(
            f"{_quoted(text)} is not an id in lower case with its hyphens",
            "Scan the code again.",
            place="code/document",
        )


def _quoted(text: str) -> str:
    shown = text if len(text) <= 60 else text[:57] + "..."
    return repr(shown)
