"""Everything sprayout raises on purpose, each with its place, problem and remedy."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Fault", "FaultsError", "SprayoutError"]

#: A place that is the id of a document, alone or before a member: nobody can look there.
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}(/|$)")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: where it stands, what it is, and what to do about it."""

    place: str
    problem: str
    remedy: str = ""

    @property
    def sentence(self) -> str:
        """The place and the problem as a person reads them; a place that is a document's id is left away."""
        end = "" if self.problem.endswith("?") else "."
        if self.place and not _ID.match(self.place):
            return f"{self.place}: {self.problem}{end}"
        first = self.problem.split(" ", 1)[0]
        return (first[:1].upper() + first[1:] if first.isalpha() else first) + self.problem[len(first) :] + end

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
