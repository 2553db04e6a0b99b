"""The members of stored documents that finding needs, read without understanding the rest."""

from __future__ import annotations

from functools import cache
from typing import Any

import msgspec

__all__ = ["Evidence", "Formula", "GridSaid", "Head", "Panel", "Reading", "decoder", "wavelengths"]


class Note(msgspec.Struct, gc=False):
    """The text of a note."""

    text: str = ""


class Origin(msgspec.Struct, gc=False):
    """When a document was made."""

    at: str = ""


class Head(msgspec.Struct, gc=False):
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


class Thing(msgspec.Struct, gc=False):
    """A material or a formula."""

    kind: str
    id: str


class Item(msgspec.Struct, gc=False):
    """One component of a mix; `ratio` is a whole number as it is stored."""

    kind: str
    ratio: int | str | None = None


class Mix(msgspec.Struct, gc=False):
    """What is in a formula."""

    basis: str | None = None
    items: dict[str, Item] | None = None


class Coat(msgspec.Struct, gc=False):
    """A coat as it was sprayed."""

    formula: str
    count: str = ""
    spray_ready: str | None = None


class Stage(msgspec.Struct, gc=False):
    """The state of a surface."""

    surface: str = ""


class Formula(Head):
    """A formula as far as its own mix goes."""

    mix: Mix | None = None


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


GridSaid = tuple[float | None, float | None, tuple[float, ...] | None, int]


class Spectrum(msgspec.Struct, gc=False):
    """Reflectance factors and their grid."""

    values: list[float]
    start_nm: float | None = None
    step_nm: float | None = None
    wavelengths_nm: list[float] | None = None

    def grid(self) -> GridSaid:
        """Return the grid as it is said: start, step, every wavelength where they are listed, how many."""
        listed = self.wavelengths_nm
        return self.start_nm, self.step_nm, None if listed is None else tuple(listed), len(self.values)


def wavelengths(grid: GridSaid) -> tuple[float, ...]:
    """Return the wavelengths of a grid in nm."""
    start, step, listed, count = grid
    if listed is not None:
        return listed
    return tuple((start or 0.0) + (step or 0.0) * place for place in range(count))


class Coordinates(msgspec.Struct, gc=False):
    """L*a*b* as given."""

    lab: list[float]
    illuminant: str
    observer: int
    white: list[float] | None = None


class Measured(msgspec.Struct, gc=False):
    """What was measured at one geometry."""

    geometry: str
    spectrum: Spectrum | None = None
    reduced: Spectrum | None = None
    coordinates: Coordinates | None = None


class Reading(msgspec.Struct, gc=False):
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


class Piece(msgspec.Struct, gc=False):
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


_KINDS: dict[str, Any] = {
    "formula": Formula,
    "panel": Panel,
    "reading": Reading,
    "judgement": Evidence,
    "picture": Evidence,
}


@cache
def decoder(kind: str) -> Any:
    """Return the decoder of a kind."""
    return msgspec.json.Decoder(_KINDS.get(kind, Head))
