"""What every document has in common: identity, words about it, where it came from, and its edit record."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field

from sprayout_core.documents import ways
from sprayout_core.documents.json_value import Json
from sprayout_core.documents.spelling import CopyId, Digest, Dot, EditionName, Id, Member, Proof, Url
from sprayout_core.documents.values import LongText, Text, Time

__all__ = ["Answer", "Derived", "Document", "Filling", "Note", "Part", "Provenance", "Reference", "Thing"]


class Part(BaseModel):
    """A piece of a document. Members it does not know are kept here and judged by the edge."""

    model_config = ConfigDict(frozen=True, extra="allow", strict=True, allow_inf_nan=False, defer_build=True)


class Note(Part):
    """A remark, with who made it and when, where that was said."""

    text: LongText
    at: Time | None = None
    by: Text | None = None


class Reference(Part):
    """A pointer to something outside: a data sheet, a page, a place on a shelf."""

    text: Text
    url: Url | None = None


class Thing(Part):
    """A material or a formula, named by its id."""

    kind: Literal["material", "formula"]
    id: Id


class Derived(Part):
    """The document that this one was derived from, in the version that stood then."""

    id: Id
    digest: Digest
    library: Id | None = None


class Filling(Part):
    """The house ratio that this formula fills: the pattern, its proof, and what stands in each slot."""

    pattern: Id
    proof: Proof
    slots: dict[Member, Thing]


class Provenance(Part):
    """Where a document came from; written once, when it is made."""

    at: Time
    tool: Text
    by: Text | None = None
    shop: Id | None = None
    source: Digest | None = None
    source_place: Text | None = None
    derived: Derived | None = None
    filling: Filling | None = None


class Answer(Part):
    """One live value of an atom on which copies disagree; without a value it was taken away."""

    value: Json = None


class Document(Part):
    """The common head of every document."""

    #: Members that every document of this kind has, or else a question about them.
    asked: ClassVar[tuple[str, ...]] = ()

    format: EditionName
    kind: str
    id: Id
    made: Dot
    seen: dict[CopyId, Annotated[int, Field(ge=1, le=2**53 - 1)]]
    edits: dict[Member, dict[Dot, Time]] | None = None
    questions: dict[Member, dict[Dot, Answer]] | None = None
    title: Text | None = None
    tags: dict[Dot, Text] | None = None
    aliases: dict[Dot, Text] | None = None
    rights: Text | None = None
    notes: dict[Dot, Note] | None = None
    references: dict[Dot, Reference] | None = None
    provenance: Provenance
    withdrawn: dict[CopyId, Annotated[int, Field(ge=1, le=2**53 - 1)]] | None = None

    def is_open(self, atom: str) -> bool:
        """Return whether copies disagree on this atom."""
        return ways.is_open(self, atom)

    @property
    def name(self) -> str:
        """The title, or the kind and the end of the id where there is none or two."""
        return ways.name(self)
