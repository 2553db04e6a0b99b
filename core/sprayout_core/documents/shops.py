"""Shops with their copies, and the manifest of a library."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import model_validator

from sprayout_core.documents.head import Document, Part
from sprayout_core.documents.kinds import needed
from sprayout_core.documents.spelling import CopyId, Id, PublicKey, refuse
from sprayout_core.documents.values import Text, Time

__all__ = ["Copy", "Library", "Shop"]


class Copy(Part):
    """One copy of the library in this shop: what it is called there, and the key it claims."""

    name: Text
    key: PublicKey | None = None
    since: Time | None = None


class Shop(Document):
    """A shop that shares the library, with its copies."""

    asked: ClassVar[tuple[str, ...]] = ("title",)

    kind: Literal["shop"]
    copies: dict[CopyId, Copy] | None = None
    baseline_grounds: list[Id] | None = None

    @model_validator(mode="after")
    def _whole(self) -> Shop:
        refuse(needed(self))
        return self


class Library(Document):
    """The manifest: default light, observer and difference formula, chosen once here."""

    asked: ClassVar[tuple[str, ...]] = ("title", "illuminant", "observer", "difference")

    kind: Literal["library"]
    illuminant: Text | None = None
    observer: Literal[2, 10] | None = None
    difference: Literal["ciede2000", "cie76", "cie94-graphic-arts", "cie94-textiles", "cmc", "din99"] | None = None

    @model_validator(mode="after")
    def _whole(self) -> Library:
        refuse(needed(self))
        return self
