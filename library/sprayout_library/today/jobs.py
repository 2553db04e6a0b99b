"""Jobs: the pour list of every mix that is asked for and of every mix inside it, each as much as all of it takes."""

from __future__ import annotations

from collections.abc import Sequence

from sprayout_core.documents import Find, Formula, resolve
from sprayout_core.mix import Amount, Measure, MixNeed, Scale
from sprayout_core.sheet import Job
from sprayout_library.today.needs import day
from sprayout_library.today.portions import portion
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
        found.append((need, list_for(portion(formula, find, amount), formula, find, tool)))
    return found


def jobs_for(
    asked: Sequence[tuple[Formula, Amount, str]], find: Find, tool: Cup | Scale | None = None
) -> dict[str, Job]:
    """Return what a sheet prints to pour, by formula id."""
    return {need.mix: pouring.job() for need, pouring in lists_for(asked, find, tool)}
