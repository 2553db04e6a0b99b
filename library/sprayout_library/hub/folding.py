"""Folding at the hub: after a push, its own copy takes in what others sent; pushes that come together share a fold."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sprayout_library.hub.house import Hub

__all__ = ["Folding"]


@dataclass(slots=True)
class Folding:
    """The folds of one hub.

    told   hears what happened to a library, for the log: its name, and the faults of what could not be joined
    """

    hub: Hub
    told: Callable[[str, list[str]], None]
    _wanted: dict[str, int] = field(default_factory=dict)
    _done: dict[str, int] = field(default_factory=dict)
    _turns: dict[str, asyncio.Lock] = field(default_factory=dict)

    async def __call__(self, library: str) -> None:
        """Return when everything pushed to a library by now is folded into the hub's own copy."""
        from starlette.concurrency import run_in_threadpool

        mine = self._wanted[library] = self._wanted.get(library, 0) + 1
        async with self._turns.setdefault(library, asyncio.Lock()):
            if self._done.get(library, 0) >= mine:
                return
            upto = self._wanted[library]
            await run_in_threadpool(self._fold, library)
            self._done[library] = upto

    def _fold(self, library: str) -> None:
        from sprayout_core.errors import SprayoutError
        from sprayout_library.sync import fold_here

        try:
            with self.hub.store(library) as store:
                report = fold_here(store, datetime.now(UTC))
        except SprayoutError as error:  # what was pushed stands; the next push, or the next start, folds again
            self.told(library, [str(fault.problem) for fault in error.faults])
            return
        self.told(library, [f"{fault.place}: {fault.problem}" for fault in report.refused])
