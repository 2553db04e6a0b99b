"""Jobs: the pour list of every mix that is asked for and of every mix inside it, each as much as all of it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from sprayout_core.documents import Find, Formula, resolve
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import Amount, Measure, MixNeed, Scale
from sprayout_core.sheet import Job
from sprayout_library.today.needs import day
from sprayout_library.today.portions import Portion, portion
from sprayout_library.today.pouring import Pouring, list_for
from sprayout_library.today.tools import Cup

__all__ = ["jobs_for", "lists_for"]


def lists_for(
    asked: Sequence[tuple[Formula, Amount, str]], find: Find, tool: Cup | Scale | None
) -> list[tuple[MixNeed, Pouring]]:
    """Return each mix to make with its pour list, those inside others first.

    A range (a job) is poured at its upper end, so that it is enough.
    """
    needs, unit = day(asked, find)
    found = []
    for need in needs:
        formula = resolve(need.mix, find)
        assert isinstance(formula, Formula)
        amount = Amount(need.amount.high, Measure.ML if unit == "ml" else Measure.G)
        made = portion(formula, find, amount)
        found.append((need, _listed(made, formula, find, tool if len(needs) == 1 else _Perhaps(tool))))
    return found


@dataclass(frozen=True, slots=True)
class _Perhaps:
    """A tool for several mixes: one that it cannot pour is told without it, and why."""

    tool: Cup | Scale | None


def _listed(made: Portion, formula: Formula, find: Find, tool: Cup | Scale | _Perhaps | None) -> Pouring:
    if not isinstance(tool, _Perhaps):
        return list_for(made, formula, find, tool)
    try:
        return list_for(made, formula, find, tool.tool)
    except SprayoutError as error:
        return replace(list_for(made, formula, find), warnings=(_why(error),))


def jobs_for(
    asked: Sequence[tuple[Formula, Amount, str]], find: Find, tool: Cup | Scale | None = None
) -> dict[str, Job]:
    """Return what a sheet prints to pour, by formula id."""
    return {need.mix: pouring.job() for need, pouring in lists_for(asked, find, tool)}


def _why(error: SprayoutError) -> str:
    place = f"{error.fault.place}: " if error.fault.place else ""
    return f"{place}{error.fault.problem}; told without it"
