"""Everything sprayout raises on purpose, each with its place, problem and remedy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Fault", "FaultsError", "SprayoutError"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: where it stands, what it is, and what to do about it."""

    place: str
    problem: str
    remedy: str = ""

    def __str__(self) -> str:
        place = f"{self.place}: " if self.place else ""
        remedy = f" {self.remedy}" if self.remedy else ""
        return f"{place}{self.problem}.{remedy}" if remedy else f"{place}{self.problem}"


class SprayoutError(Exception):
    """The root of every error raised on purpose; carries one fault."""

    def __init__(self, problem: str, remedy: str = "", *, place: str = "") -> None:
        self.fault = Fault(place, problem, remedy)
        super().__init__(str(self.fault))

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault this error carries."""
        return (self.fault,)


class FaultsError(SprayoutError):
    """Several faults found together, raised once."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self._faults = tuple(faults)
        first = self._faults[0] if self._faults else Fault("", "nothing was said to be wrong")
        super().__init__(first.problem, first.remedy, place=first.place)
        self.args = ("\n".join(str(fault) for fault in self._faults),)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault found, in document order."""
        return self._faults
