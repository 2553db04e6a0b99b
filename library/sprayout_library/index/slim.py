"""The members of stored documents that finding needs, read without understanding the rest."""

from __future__ import annotations

from typing import Any

import msgspec

__all__ = ["Evidence", "Head", "Panel", "Reading", "decoder"]


class Note(msgspec.Struct):
    """The text of a note."""

    text: str = ""


class Origin(msgspec.Struct):
    """When a document was made."""

    at: str = ""


class Head(msgspec.Struct):
    """What every kind may have."""

    id: str
    kind: str
    title: str = ""
    label: str = ""
    role: str = ""
    tags: dict[str, str] = {}
    aliases: dict[str, str] = {}
    notes: dict[str, Note] = {}
    withdrawn: dict[str, int] | None = None
    questions: dict[str, msgspec.Raw] = {}
    provenance: Origin = msgspec.field(default_factory=Origin)


class Thing(msgspec.Struct):
    """A material or a formula."""

    kind: str
    id: str


class Coat(msgspec.Struct):
    """A coat as it was sprayed."""

    formula: str
    count: str = ""
    spray_ready: str | None = None


class Stage(msgspec.Struct):
    """The state of a surface."""

    surface: str = ""


class Panel(Head):
    """A panel as far as the rules of status and the stock wall ask."""

    recipe: str | None = None
    recipe_proof: str | None = None
    ground: Thing | None = None
    coats: list[Coat] | None = None
    proofs: dict[str, str] | None = None
    supersedes: str | None = None
    sprayed_at: str = ""
    stage: Stage | None = None


class Spectrum(msgspec.Struct):
    """Reflectance factors and their grid."""

    values: list[float]
    start_nm: float | None = None
    step_nm: float | None = None
    wavelengths_nm: list[float] | None = None

    def grid(self) -> tuple[float, ...]:
        """Return the wavelengths in nm."""
        if self.wavelengths_nm is not None:
            return tuple(self.wavelengths_nm)
        start, step = self.start_nm or 0.0, self.step_nm or 0.0
        return tuple([float(start + step * place) for place in range(len(self.values))])


class Coordinates(msgspec.Struct):
    """L*a*b* as given."""

    lab: list[float]
    illuminant: str
    observer: int
    white: list[float] | None = None


class Measured(msgspec.Struct):
    """What was measured at one geometry."""

    geometry: str
    spectrum: Spectrum | None = None
    reduced: Spectrum | None = None
    coordinates: Coordinates | None = None


class Reading(msgspec.Struct):
    """A reading as far as its colours go."""

    id: str
    panel: str
    stage: Stage
    grade: str
    measured: list[Measured]
    zone: str = ""
    step: str = ""
    supersedes: str = ""
    measured_at: str = ""
    withdrawn: dict[str, int] | None = None
    title: str = ""
    tags: dict[str, str] = {}
    aliases: dict[str, str] = {}
    notes: dict[str, Note] = {}
    questions: dict[str, msgspec.Raw] = {}
    provenance: Origin = msgspec.field(default_factory=Origin)


class Piece(msgspec.Struct):
    """A piece looked at."""

    panel: str


class Evidence(Head):
    """A judgement or a picture: which panels it speaks of."""

    quality: str = ""
    light: str = ""
    pieces: list[list[Piece]] = []
    against: Piece | None = None
    shows: list[Piece] = []

    def panels(self) -> set[str]:
        """Return the panels it speaks of."""
        found = {piece.panel for tied in self.pieces for piece in tied} | {piece.panel for piece in self.shows}
        return found | ({self.against.panel} if self.against else set())


_KINDS: dict[str, Any] = {"panel": Panel, "reading": Reading, "judgement": Evidence, "picture": Evidence}


def decoder(kind: str) -> Any:
    """Return the decoder of a kind."""
    return msgspec.json.Decoder(_KINDS.get(kind, Head))
