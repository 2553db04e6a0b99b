"""The parts of documents as a library keeps them, told to a fast decoder: members and their types, no rules.

The models say what a document is; a test keeps these equal to them.
"""

import msgspec

from sprayout_core.documents import ways

__all__ = [
    "Clear", "Coat", "Component", "Conditions", "Coordinates", "Derived", "DryRule", "Filling", "Instrument", "Kept",
    "Limit", "Measured", "Mix", "Note", "Piece", "Poured", "Provenance", "Reduce", "Reference", "Spectrum",
    "SprayReady", "SprayedCoat", "Stage", "Standard", "Strain", "Strainers", "TakenOut", "Thing", "Tolerance",
]  # fmt: skip


class Kept(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, gc=False):
    """What all of them have in common."""


class Note(Kept, frozen=True):
    """A remark, with who made it and when, where that was said."""

    text: str
    at: str | None = None
    by: str | None = None


class Reference(Kept, frozen=True):
    """A pointer to something outside: a data sheet, a page, a place on a shelf."""

    text: str
    url: str | None = None


class Derived(Kept, frozen=True):
    """The document that this one was derived from, in the version that stood then."""

    id: str
    digest: str
    library: str | None = None


class Thing(Kept, frozen=True):
    """A material or a formula, named by its id."""

    kind: str
    id: str


class Filling(Kept, frozen=True):
    """The house ratio that this formula fills: the pattern, its proof, and what stands in each slot."""

    pattern: str
    proof: str
    slots: dict[str, Thing]


class Provenance(Kept, frozen=True):
    """Where a document came from; written once, when it is made."""

    at: str
    tool: str
    by: str | None = None
    shop: str | None = None
    source: str | None = None
    source_place: str | None = None
    derived: Derived | None = None
    filling: Filling | None = None


class Component(Kept, frozen=True):
    """One component of a mix: a material, a formula or an open slot, with its part of the ratio."""

    kind: str
    ratio: int | None = None
    g_per_l: str | None = None


class Mix(Kept, frozen=True):
    """Components in smallest whole numbers, with how they were written (scale, order, as_typed)."""

    basis: str | None = None
    items: dict[str, Component] | None = None
    scale: str | None = None
    order: list[str] | None = None
    as_typed: str | None = None

    pouring_order = ways.pouring_order


class Reduce(Kept, frozen=True):
    """How much reducer: `parts` of it for one part of the mix on top, or as a share within the whole."""

    of: str
    parts: str
    material: str | None = None


class Strain(Kept, frozen=True):
    """One strainer, by its opening."""

    opening_um: str
    as_typed: str | None = None


class Strainers(Kept, frozen=True):
    """Where the mix is strained: when poured, and in the cup of the gun."""

    pour: Strain | None = None
    gun: Strain | None = None


class SprayReady(Kept, frozen=True):
    """What is done to a mix for one gun."""

    reduce: Reduce | None = None
    strain: Strainers | None = None
    tip_mm: str | None = None
    laid: str | None = None
    gun: str | None = None
    body: str | None = None
    pressure_kpa: str | None = None
    flow_s: str | None = None
    flow_cup: str | None = None


class DryRule(Kept, frozen=True):
    """When the next coat may go on."""

    until: str
    at_least_s: str | None = None
    at_most_s: str | None = None


class Coat(Kept, frozen=True):
    """One line of a coat schedule: which formula, how often, how laid, when the next may follow."""

    formula: str
    count: str
    role: str
    pinned: str | None = None
    spray_ready: str | None = None
    film_um: str | None = None
    laid: str | None = None
    dry: DryRule | None = None


class Clear(Kept, frozen=True):
    """The clear over it all."""

    of: Thing
    count: str | None = None
    film_um: str | None = None
    polished: str | None = None


class Standard(Kept, frozen=True):
    """The panel that others are compared with."""

    panel: str
    step: str | None = None
    zone: str | None = None


class Limit(Kept, frozen=True):
    """The limits at one geometry, in the units of the difference formula."""

    difference: int | float | None = None
    lightness: int | float | None = None
    chroma: int | float | None = None
    hue: int | float | None = None
    near: int | float | None = None


class Tolerance(Kept, frozen=True, kw_only=True):
    """How far a panel may be from its standard, per geometry; `any` stands for those not named."""

    formula: str
    illuminant: str | None = None
    observer: int | None = None
    limits: dict[str, Limit]


class SprayedCoat(Kept, frozen=True):
    """A coat schedule line as it was really sprayed on this panel."""

    formula: str
    count: str
    spray_ready: str | None = None
    batch: str | None = None
    laid: str | None = None
    film_um: str | None = None
    times: list[str] | None = None


class Conditions(Kept, frozen=True):
    """The air of the booth, as noted."""

    air_degc: int | float | None = None
    panel_degc: int | float | None = None
    humidity_percent: int | float | None = None


class Stage(Kept, frozen=True):
    """In what state a surface was: bare, under clear, polished; and how old."""

    surface: str
    age_h: str | None = None


class Spectrum(Kept, frozen=True, kw_only=True):
    """Reflectance factors, unit interval; on an even grid, or on the wavelengths given."""

    start_nm: int | float | None = None
    end_nm: int | float | None = None
    step_nm: int | float | None = None
    wavelengths_nm: list[int | float] | None = None
    values: list[int | float]
    bandpass: str | None = None

    grid = ways.grid


class Coordinates(Kept, frozen=True):
    """CIELAB under a named view, with the white it was computed against where that is known."""

    lab: list[int | float]
    illuminant: str
    observer: int
    white: list[int | float] | None = None


class Measured(Kept, frozen=True):
    """What was measured at one geometry."""

    geometry: str
    spectrum: Spectrum | None = None
    reduced: Spectrum | None = None
    coordinates: Coordinates | None = None
    uncertainty: int | float | None = None


class Instrument(Kept, frozen=True):
    """What measured, as far as it was said."""

    name: str | None = None
    serial: str | None = None
    aperture_mm: str | None = None


class Piece(Kept, frozen=True):
    """A piece that was looked at: a panel, or one zone or step of it."""

    panel: str
    zone: str | None = None
    step: str | None = None


class Poured(Kept, frozen=True):
    """What really went into the cup: a material with its lot, or another batch."""

    kind: str
    id: str
    lot: str | None = None
    amount_ml: str | None = None
    amount_g: str | None = None


class TakenOut(Kept, frozen=True):
    """What left the cup, and what for."""

    amount_ml: str | None = None
    amount_g: str | None = None
    into: str | None = None
    at: str | None = None
