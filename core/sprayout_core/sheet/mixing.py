"""A mix on paper: its ratio with names, what to pour, and how it is made ready for each gun."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sprayout_core.errors import Fault
from sprayout_core.mix.strainers import mesh_beside
from sprayout_core.ratio import exact
from sprayout_core.sheet.checked import blank, not_amount, refuse

__all__ = [
    "Answer",
    "MixPart",
    "Part",
    "PourLine",
    "Ratio",
    "Reduction",
    "SprayReady",
    "Strain",
    "TwoAnswers",
]

NO_BREAK = "\u00a0"

Basis = Literal["volume", "mass"]
Unit = Literal["ml", "l", "g", "fl oz", "drops"]
Where = Literal["pour", "gun"]


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a ratio: the number as decimal text, glued to its name ("5", "weak teal")."""

    parts: str
    name: str
    unit: str = ""

    def __post_init__(self) -> None:
        refuse(blank(self.name, "part/name"), not_amount(self.parts, f"part/{self.name}"))

    def __str__(self) -> str:
        return " ".join(piece for piece in (self.parts, self.unit, self.name) if piece)


@dataclass(frozen=True, slots=True)
class Ratio:
    """Parts in order, by volume or by mass; `besides` are dry grams per litre, outside the parts."""

    basis: Basis
    parts: tuple[Part, ...]
    besides: tuple[Part, ...] = ()

    def __post_init__(self) -> None:
        if not self.parts:
            refuse([Fault("ratio", "no parts", "Give at least one part with its name.")])

    def __str__(self) -> str:
        said = " : ".join(str(part) for part in self.parts)
        if self.besides:
            said += ", with " + " and ".join(str(part) for part in self.besides)
        return f"{said} (by {self.basis})"

    def glued(self) -> str:
        """The same for a page, with no-break spaces, so that no line ends between a number and its name."""
        said = str(self)
        for part in (*self.parts, *self.besides):
            first = str(part).removesuffix(part.name) + part.name.split()[0]
            said = said.replace(first, first.replace(" ", NO_BREAK))
        return said


@dataclass(frozen=True, slots=True)
class Strain:
    """A strainer: at the pour or in the gun, its opening in micrometres; told with mesh beside."""

    where: Where
    opening_um: str

    def __post_init__(self) -> None:
        refuse(not_amount(self.opening_um, "strain/opening_um"))

    def __str__(self) -> str:
        place = "at the pour" if self.where == "pour" else "in the gun"
        return f"{place} {mesh_beside(exact(self.opening_um)).replace(' um', ' µm')}"


@dataclass(frozen=True, slots=True)
class Reduction:
    """What is added for the gun: percent of a named reducer, on top of the mix or within the total."""

    percent: str
    reducer: str
    how: Literal["on top", "within"]

    def __post_init__(self) -> None:
        refuse(blank(self.reducer, "reduce/reducer"), not_amount(self.percent, "reduce/percent"))

    def __str__(self) -> str:
        return f"{self.percent} % {self.reducer}, {self.how}"


@dataclass(frozen=True, slots=True)
class SprayReady:
    """How a mix is made ready for one gun; an empty text means: not recorded."""

    gun: str
    reduce: Reduction | None = None
    strains: tuple[Strain, ...] = ()
    tip_mm: str = ""
    laid: str = ""

    def __post_init__(self) -> None:
        refuse(blank(self.gun, "spray_ready/gun"), not_amount(self.tip_mm or "1", "spray_ready/tip_mm"))

    def facts(self) -> tuple[str, ...]:
        """The recorded facts as short texts: reduction, strainers, tip, how laid."""
        said = [f"reduce {self.reduce}" if self.reduce else "unreduced"]
        said += [f"strain {strain}" for strain in self.strains]
        said += [f"{self.tip_mm} mm tip"] if self.tip_mm else []
        said += [f"laid {self.laid}"] if self.laid else []
        return tuple(said)


@dataclass(frozen=True, slots=True)
class Answer:
    """One of the live answers: whose, and what it says."""

    by: str
    says: str


@dataclass(frozen=True, slots=True)
class TwoAnswers:
    """An open question: what it is about, and every live answer, none of them preferred."""

    about: str
    answers: tuple[Answer, ...]

    def __post_init__(self) -> None:
        if len(self.answers) < 2:
            problem = f"{len(self.answers)} answers about {self.about!r}"
            refuse([Fault("two_answers", problem, "Give at least two.")])

    def __str__(self) -> str:
        return f"{self.about}: " + "; or ".join(f"{answer.says} ({answer.by})" for answer in self.answers)


@dataclass(frozen=True, slots=True)
class PourLine:
    """One thing to pour: the amount, what cup or scale then reads, where it is strained, its lot if known.

    amount  decimal text in `unit`
    total   the running total to pour to, in `unit`; empty where each is measured alone
    """

    name: str
    amount: str
    unit: Unit
    total: str = ""
    strain: Strain | None = None
    lot: str = ""
    warning: str = ""

    def __post_init__(self) -> None:
        place = f"pour/{self.name}"
        refuse(blank(self.name, place), not_amount(self.amount, place), not_amount(self.total or "1", place))


@dataclass(frozen=True, slots=True)
class MixPart:
    """One mix of the sheet: its ratio, what to pour for this job, and how it is made ready for each gun.

    ratio   None only while two answers about it are open; then nothing may be poured from this record
    cup     the cup or scale the pour list was made for ("600 ml cup, 5:2 column")
    total   what the pours come to, in words with its unit
    warning what must be known before anything is poured; printed bold
    body    the flow off the stick, in words, or a viscosity cup's figure with its standard
    """

    title: str
    ratio: Ratio | None
    version: str = ""
    status: str = ""
    cup: str = ""
    pours: tuple[PourLine, ...] = ()
    total: str = ""
    body: str = ""
    spray_ready: tuple[SprayReady, ...] = ()
    two_answers: tuple[TwoAnswers, ...] = ()
    warning: str = ""

    def __post_init__(self) -> None:
        faults, place = blank(self.title, "mix/title"), f"mix/{self.title}"
        if self.ratio is None and not self.two_answers:
            faults.append(Fault(place, "no ratio and no open answers", "Give the ratio with its names."))
        if self.ratio is None and self.pours:
            faults.append(Fault(place, "amounts to pour while its ratio has two answers", "Choose one first."))
        refuse(faults)
