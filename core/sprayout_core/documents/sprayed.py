"""Batches, panels, and what is seen of them: readings, judgements, pictures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator

from sprayout_core.documents.head import Document, Part, Thing
from sprayout_core.documents.spectra import Measured
from sprayout_core.documents.spelling import Digest, Dot, Id, Image, Member, Proof, Rule, fault, refuse
from sprayout_core.documents.values import Amount, Count, Number, Positive, Text, Time

__all__ = [
    "Batch",
    "Conditions",
    "Instrument",
    "Judgement",
    "Panel",
    "Picture",
    "Piece",
    "Poured",
    "Reading",
    "SprayedCoat",
    "Stage",
    "TakenOut",
]


class Stage(Part):
    """In what state a surface was: bare, under clear, polished; and how old."""

    surface: Literal["bare", "cleared", "polished"]
    age_h: Amount | None = None


class Poured(Part):
    """What really went into the cup: a material with its lot, or another batch."""

    kind: Literal["material", "batch"]
    id: Id
    lot: Text | None = None
    amount_ml: Positive | None = None
    amount_g: Positive | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> Poured:
        if (self.amount_ml is None) == (self.amount_g is None):
            raise fault("needs either amount_ml or amount_g", "Give one of them.")
        return self


class TakenOut(Part):
    """What left the cup, and what for."""

    amount_ml: Positive | None = None
    amount_g: Positive | None = None
    into: Text | None = None
    at: Time | None = None


class Batch(Document):
    """A cup really poured from a formula. What remains is derived, never stored."""

    kind: Literal["batch"]
    formula: Id
    spray_ready: Member | None = None
    proofs: dict[Id, Proof]
    poured: list[Poured] = Field(min_length=1)
    takes_whole: Id | None = None
    label: Text | None = None
    poured_at: Time | None = None
    catalysed: Literal["yes", "no"] | None = None
    taken_out: dict[Dot, TakenOut] | None = None


class SprayedCoat(Part):
    """A coat schedule line as it was really sprayed on this panel."""

    formula: Id
    count: Count
    spray_ready: Member | None = None
    batch: Id | None = None
    laid: Literal["mist", "medium", "wet"] | None = None
    film_um: Positive | None = None
    times: list[Time] | None = None


class Conditions(Part):
    """The air of the booth, as noted."""

    air_degc: Number | None = None
    panel_degc: Number | None = None
    humidity_percent: Annotated[Number, Field(ge=0, le=100)] | None = None


class Panel(Document):
    """A sprayed sample: what it proves is pinned when it is made."""

    kind: Literal["panel"]
    recipe: Id | None = None
    recipe_proof: Proof | None = None
    ground: Thing | None = None
    shape: Literal["flat", "curved"] | None = None
    zones: list[Member] | None = None
    steps: dict[Member, Annotated[int, Field(ge=0, le=99)]] | None = None
    coats: list[SprayedCoat] | None = None
    clear: Thing | None = None
    conditions: Conditions | None = None
    session: Id | None = None
    sprayed_at: Time | None = None
    proofs: dict[Id, Proof] | None = None
    poured: dict[Id, dict[Id, Annotated[int, Field(ge=1)]]] | None = None
    supersedes: Id | None = None
    label: Text | None = None
    stage: Stage | None = None
    kept: Text | None = None

    @model_validator(mode="after")
    def _proves(self) -> Panel:
        sprayed = {coat.formula for coat in self.coats or []}
        refuse(
            Rule("a coat of it was sprayed, but it is not pinned", "Pin its proof.", f"proofs/{formula}")
            for formula in sorted(sprayed - set(self.proofs or {}))
        )
        return self


class Instrument(Part):
    """What measured, as far as it was said."""

    name: Text | None = None
    serial: Text | None = None
    aperture_mm: Positive | None = None


class Reading(Document):
    """One measurement act on a zone or a step of a panel. Its id is derived from what it says."""

    kind: Literal["reading"]
    panel: Id
    zone: Member | None = None
    step: Member | None = None
    stage: Stage
    grade: Literal["spectrum", "coordinates", "image-derived", "typed"]
    measured: list[Measured] = Field(min_length=1, max_length=64)
    instrument: Instrument | None = None
    measured_at: Time | None = None
    repeat: Annotated[int, Field(ge=2)] | None = None
    temperature_degc: Number | None = None
    supersedes: Id | None = None

    @model_validator(mode="after")
    def _whole(self) -> Reading:
        refuse(self._broken())
        return self

    def _broken(self) -> Iterator[Rule]:
        geometries = [one.geometry for one in self.measured]
        if geometries != sorted(set(geometries)):
            yield Rule("geometries are doubled or not sorted", "Give each once, sorted by name.", "measured")
        for place, one in enumerate(self.measured):
            if self.grade == "spectrum" and one.spectrum is None:
                remedy = "Give it, or grade it coordinates."
                yield Rule("the grade is spectrum but none is given", remedy, f"measured/{place}")
            if self.grade == "image-derived" and (one.spectrum or one.uncertainty is None):
                yield Rule("a card gives coordinates with an uncertainty", "Give both.", f"measured/{place}")


class Piece(Part):
    """A piece that was looked at: a panel, or one zone or step of it."""

    panel: Id
    zone: Member | None = None
    step: Member | None = None


class Judgement(Document):
    """What someone saw: pieces in order of a quality, the closest pair, or one against another."""

    kind: Literal["judgement"]
    way: Literal["order", "pair", "compare"]
    quality: Literal["lighter", "warmer", "cleaner", "deeper", "redder", "greener", "yellower", "bluer", "closest"]
    pieces: list[list[Piece]] = Field(min_length=1, max_length=60)
    against: Piece | None = None
    light: Text
    where: Literal["face", "middle", "flop"] | None = None
    by: Text
    at: Time | None = None
    supersedes: Id | None = None

    @model_validator(mode="after")
    def _whole(self) -> Judgement:
        refuse(self._broken())
        return self

    def _broken(self) -> Iterator[Rule]:
        flat = [(p.panel, p.zone, p.step) for tied in self.pieces for p in tied]
        if any(not tied for tied in self.pieces) or len(set(flat)) != len(flat):
            yield Rule("a place is empty or a piece stands twice", "Name each piece once.", "pieces")
        if self.way == "compare" and self.against is None:
            yield Rule("compared with nothing", "Name the piece it was held against.", "against")
        elif len(flat) < 2 and self.against is None:
            yield Rule("only one piece", "Name at least two, or what it was held against.", "pieces")
        if self.way == "pair" and len(flat) != 2:
            yield Rule(f"{len(flat)} pieces in a pair", "Name two.", "pieces")


class Picture(Document):
    """An image, named by its digest; the image itself is kept beside the library."""

    kind: Literal["picture"]
    image: Digest
    media: Literal["image/png", "image/jpeg", "image/tiff"]
    bytes: Annotated[int, Field(ge=1, le=200_000_000)]
    shows: list[Piece] = Field(default_factory=list, max_length=60)
    cup: Id | None = None
    light: Text | None = None
    tilt_deg: Annotated[Number, Field(ge=-180, le=180)] | None = None
    taken_at: Time | None = None
    thumbnail: Image | None = None
    supersedes: Id | None = None

    @model_validator(mode="after")
    def _of_something(self) -> Picture:
        if not self.shows and self.cup is None:
            raise fault("shows nothing", "Name the pieces, or the cup whose flow is seen.", "shows")
        return self
