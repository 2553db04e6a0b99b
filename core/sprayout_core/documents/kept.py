"""Documents to look at: what a library keeps was checked when it came in, so a fast decoder reads it, not the models.

A command that only shows starts in half the time: loading and building the models is what takes longest. What was
looked at cannot be edited. A document in question, of another edition, or that holds anything unknown is left to the
models, and so are kinds that are not here.
"""

import re
from functools import cache
from typing import TYPE_CHECKING, Any, cast

import msgspec

from sprayout_core.documents import ways
from sprayout_core.documents.editions import CURRENT
from sprayout_core.documents.kept_parts import (
    Clear,
    Coat,
    Conditions,
    Instrument,
    Kept,
    Measured,
    Mix,
    Note,
    Piece,
    Poured,
    Provenance,
    Reference,
    SprayedCoat,
    SprayReady,
    Stage,
    Standard,
    TakenOut,
    Thing,
    Tolerance,
)

if TYPE_CHECKING:
    from sprayout_core.documents.head import Document as Model

__all__ = ["look"]

_KIND = re.compile(rb'\n  "kind": "([a-z]{1,20})",\n')


class Document(Kept, frozen=True, kw_only=True):
    """The common head of every document."""

    format: str
    kind: str
    id: str
    made: str
    seen: dict[str, int]
    edits: dict[str, dict[str, str]] | None = None
    title: str | None = None
    tags: dict[str, str] | None = None
    aliases: dict[str, str] | None = None
    rights: str | None = None
    notes: dict[str, Note] | None = None
    references: dict[str, Reference] | None = None
    provenance: Provenance
    withdrawn: dict[str, int] | None = None

    #: A document in question is left to the models.
    questions = None

    is_open = ways.is_open
    name = property(ways.name)


class Material(Document, frozen=True, kw_only=True):
    """A stock product: what it is for and the facts of it that are known."""

    role: str | None = None
    density_g_per_ml: str | None = None
    volume_solids_percent: str | None = None
    mass_solids_percent: str | None = None
    voc_g_per_l: str | None = None
    flake_um: str | None = None
    lots: dict[str, str] | None = None
    cautions: dict[str, str] | None = None
    safety_notes: str | None = None


class Formula(Document, frozen=True, kw_only=True):
    """A named, versioned mix with its spray-ready variants; with open slots it is a house ratio."""

    mix: Mix | None = None
    spray_ready: dict[str, SprayReady] | None = None

    slots = property(ways.slots)


class Recipe(Document, frozen=True, kw_only=True):
    """A coat schedule: grounds, coats in order, clear, a standard for each ground, and the limits."""

    grounds: dict[str, Thing] | None = None
    coats: dict[str, Coat] | None = None
    coats_order: list[str] | None = None
    clear: Clear | None = None
    standards: dict[str, Standard] | None = None
    tolerance: Tolerance | None = None

    coats_in_order = ways.coats_in_order


class Batch(Document, frozen=True, kw_only=True):
    """A cup really poured from a formula. What remains is derived, never stored."""

    formula: str
    spray_ready: str | None = None
    proofs: dict[str, str]
    poured: list[Poured]
    takes_whole: str | None = None
    label: str | None = None
    poured_at: str | None = None
    catalysed: str | None = None
    taken_out: dict[str, TakenOut] | None = None


class Panel(Document, frozen=True, kw_only=True):
    """A sprayed sample: what it proves is pinned when it is made."""

    recipe: str | None = None
    recipe_proof: str | None = None
    ground: Thing | None = None
    shape: str | None = None
    zones: list[str] | None = None
    steps: dict[str, int] | None = None
    coats: list[SprayedCoat] | None = None
    clear: Thing | None = None
    conditions: Conditions | None = None
    session: str | None = None
    sprayed_at: str | None = None
    proofs: dict[str, str] | None = None
    poured: dict[str, dict[str, int]] | None = None
    supersedes: str | None = None
    label: str | None = None
    stage: Stage | None = None
    kept: str | None = None


class Reading(Document, frozen=True, kw_only=True):
    """One measurement act on a zone or a step of a panel. Its id is derived from what it says."""

    panel: str
    zone: str | None = None
    step: str | None = None
    stage: Stage
    grade: str
    measured: list[Measured]
    instrument: Instrument | None = None
    measured_at: str | None = None
    repeat: int | None = None
    temperature_degc: int | float | None = None
    supersedes: str | None = None


class Judgement(Document, frozen=True, kw_only=True):
    """What someone saw: pieces in order of a quality, the closest pair, or one against another."""

    way: str
    quality: str
    pieces: list[list[Piece]]
    against: Piece | None = None
    light: str
    where: str | None = None
    by: str
    at: str | None = None
    supersedes: str | None = None


class Picture(Document, frozen=True, kw_only=True):
    """An image, named by its digest; the image itself is kept beside the library."""

    image: str
    media: str
    bytes: int
    shows: list[Piece] = msgspec.field(default_factory=list)
    cup: str | None = None
    light: str | None = None
    tilt_deg: int | float | None = None
    taken_at: str | None = None
    thumbnail: str | None = None
    supersedes: str | None = None


class Library(Document, frozen=True, kw_only=True):
    """The manifest: default light, observer and difference formula, chosen once here."""

    illuminant: str | None = None
    observer: int | None = None
    difference: str | None = None


KINDS: dict[str, Any] = {
    "material": Material,
    "formula": Formula,
    "recipe": Recipe,
    "batch": Batch,
    "panel": Panel,
    "reading": Reading,
    "judgement": Judgement,
    "picture": Picture,
    "library": Library,
}


@cache
def _decoder(kind: str) -> msgspec.json.Decoder[Any]:
    return msgspec.json.Decoder(KINDS[kind])


def look(text: bytes) -> "Model":
    """Return the document that a text from a library says, to look at and not to edit; raises as `read` does.

    It has the members and ways of its model. Its rules are not asked again: text from anywhere else is for `read`.
    """
    said = _KIND.search(text)
    kind = said[1].decode("ascii") if said else ""
    if kind in KINDS:
        try:
            found = _decoder(kind).decode(text)
        except (msgspec.DecodeError, UnicodeError):
            found = None
        if found is not None and found.format == str(CURRENT):
            return cast("Model", found)
    from sprayout_core.documents.edge import read

    return read(text)
