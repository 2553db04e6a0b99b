"""A question and what is found: the conditions that can be asked together, and results that say why."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_library.index.opened import Known

if TYPE_CHECKING:
    from sprayout_library.index.targets import Target

__all__ = ["Found", "Near", "Question", "Shown", "Uses"]


@dataclass(frozen=True, slots=True)
class Uses:
    """What has to be in it: a material (or a formula), between two percentages of the mix."""

    thing: Known
    low: Fraction | None = None
    high: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Near:
    """What colour it has to be near; `stage` narrows it to bare, cleared or polished panels."""

    target: Target
    stage: str = ""
    within: float | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """What is looked for; every condition that is given has to be met.

    same_as       a formula whose exact composition is looked for
    never, no_reading, two_answers   conditions on the evidence, asked where they are named in `evidence`
    old_before    standards last measured before this time (RFC 3339); empty where it does not matter
    judged        the quality that a panel was judged by eye on
    """

    words: str = ""
    kinds: tuple[str, ...] = ()
    uses: tuple[Uses, ...] = ()
    same_as: Known | None = None
    evidence: frozenset[str] = frozenset()
    old_before: str = ""
    judged: str = ""
    near: Near | None = None
    limit: int = 20


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found: what it is, why, and for a colour search how far it is (CIEDE2000)."""

    what: Known
    because: tuple[str, ...]
    difference: float | None = None
    spot: str = ""

    def data(self) -> dict[str, Any]:
        """Return it as plain members for JSON."""
        one = self.what
        said: dict[str, Any] = {"kind": one.kind, "id": one.id, "title": one.title, "label": one.label,
                                "status": one.status, "because": list(self.because)}  # fmt: skip
        return said | ({} if self.difference is None else {"ciede2000": round(self.difference, 4), "spot": self.spot})


@dataclass(frozen=True, slots=True)
class Shown:
    """What was found, up to the limit, and whether there is more."""

    found: tuple[Found, ...]
    more: int = field(default=0)
