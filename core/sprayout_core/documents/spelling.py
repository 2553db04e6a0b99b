"""How names and marks are spelled in a document, and what is said where they are not."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, NamedTuple

from pydantic import Field
from pydantic_core import PydanticCustomError

__all__ = [
    "DOT_PATTERN",
    "ID_PATTERN",
    "SPELLINGS",
    "ComponentKey",
    "CopyId",
    "Digest",
    "Dot",
    "EditionName",
    "Geometry",
    "Id",
    "Image",
    "LimitKey",
    "Member",
    "Proof",
    "PublicKey",
    "Rule",
    "Url",
    "fault",
    "refuse",
]

ID_PATTERN = r"[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
DOT_PATTERN = r"[0-9a-z]{6,12}\.[1-9][0-9]{0,14}"


class Rule(NamedTuple):
    """A rule that does not hold: the problem, the remedy, and the place within the part that was judged."""

    problem: str
    remedy: str
    place: str = ""


def refuse(found: Iterable[Rule]) -> None:
    """Raise one error with every rule found broken, or return quietly."""
    if rules := tuple(found):
        raise PydanticCustomError("sprayout", "{problem}", {"problem": rules[0].problem, "rules": rules})


def fault(problem: str, remedy: str, place: str = "") -> PydanticCustomError:
    """Return an error that a model may raise and the edge turns into a fault with its place and remedy."""
    return PydanticCustomError("sprayout", "{problem}", {"problem": problem, "rules": (Rule(problem, remedy, place),)})


#: What is said where text does not have its pattern: the problem, and the remedy.
SPELLINGS = {
    f"^{ID_PATTERN}$": ("no document id", "A document id is a UUID of version 7 or 8 in lower case."),
    r"^[0-9a-z]{6,12}$": ("no copy id", "A copy id has 6 to 12 of 0 to 9 and a to z."),
    f"^{DOT_PATTERN}$": ("no edit", "An edit is named by its copy and number, such as k7f3q2.4."),
    r"^[a-z0-9_./-]+$": ("no name for a member", "Use a to z, 0 to 9 and _ . / - in it."),
    r"^sha256:[0-9a-f]{64}$": ("no digest", "A digest is sha256: and 64 hexadecimal digits in lower case."),
    r"^p1:[0-9a-f]{64}$": ("no proof", "A proof is p1: and 64 hexadecimal digits in lower case."),
    rf"^({ID_PATTERN}|slot\.[a-z]{{1,20}})$": (
        "no component",
        "Name a component by the id of a material or formula, or an open slot such as slot.dye.",
    ),
    r"^ssh-ed25519 [A-Za-z0-9+/]{40,100}={0,2}$": ("no public key", "Give an Ed25519 key: ssh-ed25519 AAAA..."),
    r"^[a-z0-9:-]{2,16}$": ("no geometry", "Name a geometry such as 45:0 or 45as15, or any for the others."),
    r"^(45:0|0:45|d[ie]:8|[0-9]{1,2}as-?[0-9]{1,3})$": (
        "no geometry",
        "Use 45:0, 0:45, di:8, de:8, or illumination and aspecular angle such as 45as15.",
    ),
    r"^https?://[!-~]{1,500}$": ("no address of a page", "Begin it with https:// and leave no blanks in it."),
    r"^sprayout/[1-9][0-9]{0,3}\.(0|[1-9][0-9]{0,3})$": ("no edition", "Write it as sprayout/1.0."),
    r"^[A-Za-z0-9+/]+={0,2}$": ("no picture in base64", "Write the bytes of the picture in base64 (RFC 4648)."),
}

(
    _ID, _COPY, _DOT, _MEMBER, _DIGEST, _PROOF, _COMPONENT, _KEY, _LIMIT, _GEOMETRY, _URL, _EDITION, _IMAGE,
) = SPELLINGS  # fmt: skip

Id = Annotated[str, Field(pattern=_ID)]
CopyId = Annotated[str, Field(pattern=_COPY)]
Dot = Annotated[str, Field(pattern=_DOT)]
Member = Annotated[str, Field(pattern=_MEMBER, max_length=80)]
Digest = Annotated[str, Field(pattern=_DIGEST)]
Proof = Annotated[str, Field(pattern=_PROOF)]
#: A component is a document id, or an open slot of a house ratio such as slot.dye.
ComponentKey = Annotated[str, Field(pattern=_COMPONENT)]
PublicKey = Annotated[str, Field(pattern=_KEY)]
LimitKey = Annotated[str, Field(pattern=_LIMIT)]
#: 45:0, 0:45, diffuse with specular included or excluded (di:8, de:8; CIE 15), or illumination
#: and aspecular angle in degrees, positive toward the normal (45as15; ASTM E2539).
Geometry = Annotated[str, Field(pattern=_GEOMETRY)]
Url = Annotated[str, Field(pattern=_URL)]
EditionName = Annotated[str, Field(pattern=_EDITION)]
Image = Annotated[str, Field(pattern=_IMAGE, max_length=270_000)]
