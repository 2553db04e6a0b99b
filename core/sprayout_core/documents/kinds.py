"""Materials, formulas and recipes: what is written before anything is sprayed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from sprayout_core.documents import ways
from sprayout_core.documents.head import Document, Part, Thing
from sprayout_core.documents.mixes import Mix, SprayReady
from sprayout_core.documents.spelling import Dot, Id, LimitKey, Member, Proof, Rule, fault, refuse
from sprayout_core.documents.values import Amount, Count, LongText, Number, Percent, Positive, Text

__all__ = [
    "Clear",
    "Coat",
    "DryRule",
    "Formula",
    "Limit",
    "Material",
    "Recipe",
    "Role",
    "Standard",
    "Tolerance",
]

Role = Literal["dye", "pearl", "flake", "metallic", "solid", "sealer", "carrier", "reducer", "hardener", "clear"]
Caution = Literal["isocyanate", "solvent", "waterborne", "spray-mist", "dust", "skin", "see-sheet"]


class Material(Document):
    """A stock product: what it is for and the facts of it that are known."""

    asked: ClassVar[tuple[str, ...]] = ("title", "role")

    kind: Literal["material"]
    role: Role | None = None
    density_g_per_ml: Positive | None = None
    volume_solids_percent: Percent | None = None
    mass_solids_percent: Percent | None = None
    voc_g_per_l: Amount | None = None
    flake_um: Positive | None = None
    lots: dict[Dot, Text] | None = None
    cautions: dict[Dot, Caution] | None = None
    safety_notes: LongText | None = None

    @model_validator(mode="after")
    def _whole(self) -> Material:
        refuse(needed(self))
        return self


class Formula(Document):
    """A named, versioned mix with its spray-ready variants; with open slots it is a house ratio."""

    asked: ClassVar[tuple[str, ...]] = ("title", "mix")

    kind: Literal["formula"]
    mix: Mix | None = None
    spray_ready: dict[Member, SprayReady] | None = None

    @model_validator(mode="after")
    def _whole(self) -> Formula:
        refuse(needed(self))
        if self.mix is not None and self.mix.items is None and not self.is_open("mix"):
            raise fault("missing", "Give the mix: basis and items.", "mix")
        return self

    @property
    def slots(self) -> list[str]:
        """The open slots of a house ratio, by name."""
        return ways.slots(self)


class DryRule(Part):
    """When the next coat may go on."""

    until: Literal["touch", "matt", "tack-free", "time", "overnight"]
    at_least_s: Amount | None = None
    at_most_s: Amount | None = None


class Coat(Part):
    """One line of a coat schedule: which formula, how often, how laid, when the next may follow."""

    formula: Id
    count: Count
    role: Literal["ground", "colour", "pearl", "tint", "clear"] = "colour"
    pinned: Proof | None = None
    spray_ready: Member | None = None
    film_um: Positive | None = None
    laid: Literal["mist", "medium", "wet"] | None = None
    dry: DryRule | None = None


class Clear(Part):
    """The clear over it all."""

    of: Thing
    count: Count | None = None
    film_um: Positive | None = None
    polished: Literal["yes", "no"] | None = None


class Standard(Part):
    """The panel that others are compared with."""

    panel: Id
    step: Member | None = None
    zone: Member | None = None


class Limit(Part):
    """The limits at one geometry, in the units of the difference formula."""

    difference: Annotated[Number, Field(gt=0)] | None = None
    lightness: Annotated[Number, Field(gt=0)] | None = None
    chroma: Annotated[Number, Field(gt=0)] | None = None
    hue: Annotated[Number, Field(gt=0)] | None = None
    near: Annotated[Number, Field(gt=0)] | None = None


class Tolerance(Part):
    """How far a panel may be from its standard, per geometry; `any` stands for those not named."""

    formula: Text
    illuminant: Text | None = None
    observer: Literal[2, 10] | None = None
    limits: dict[LimitKey, Limit]


class Recipe(Document):
    """A coat schedule: grounds, coats in order, clear, a standard for each ground, and the limits."""

    asked: ClassVar[tuple[str, ...]] = ("title",)

    kind: Literal["recipe"]
    grounds: dict[Dot, Thing] | None = None
    coats: dict[Dot, Coat] | None = None
    coats_order: list[Dot] | None = None
    clear: Clear | None = None
    standards: dict[Id, Standard] | None = None
    tolerance: Tolerance | None = None

    @model_validator(mode="after")
    def _whole(self) -> Recipe:
        refuse(self._broken())
        return self

    def _broken(self) -> Iterator[Rule]:
        yield from needed(self)
        if self.coats_order is not None and len(set(self.coats_order)) != len(self.coats_order):
            yield Rule("a coat stands twice", "Name each once.", "coats_order")

    def coats_in_order(self) -> list[tuple[str, Coat]]:
        """Return the coats as they are sprayed: in written order, forgotten ones after them by dot."""
        return ways.coats_in_order(self)


def needed(document: Document) -> Iterator[Rule]:
    """Yield a broken rule for each member that a kind always has and that is neither given nor in question."""
    for member in document.asked:
        if getattr(document, member) is None and not document.is_open(member):
            more = ": basis and items" if member == "mix" else ""
            yield Rule("missing", f"Give the {member}{more}.", member)
