"""What is worked out of libraries, kept for as long as each stands at the same commit."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import TYPE_CHECKING

from sprayout_library.hub.pages.fetched import evidence_about
from sprayout_library.hub.pages.naming import names_of
from sprayout_library.hub.pages.seen import Seen
from sprayout_library.hub.pages.states import State, state_of
from sprayout_library.hub.pages.views import Views

if TYPE_CHECKING:
    from sprayout_library.store import Store

__all__ = ["Known", "Seen", "evidence_about"]

#: States of libraries that are known at once, and of one library: a page may still show the one before.
_STATES, _EACH = 8, 2


class Known:
    """What was worked out of libraries last, and what pages showed of it."""

    def __init__(self) -> None:
        self.views = Views()
        self._seen: OrderedDict[State, Seen] = OrderedDict()
        self._turns: dict[str, threading.Lock] = {}
        self._lock = threading.Lock()

    def of(self, store: Store) -> Seen:
        """Return the library as the store reads it; who asks while it is worked out waits for that."""
        state = state_of(store)
        if (held := self._held(state)) is not None:
            return held
        with self._lock:
            turn = self._turns.setdefault(state[0], threading.Lock())
        with turn:
            if (held := self._held(state)) is None:
                held = self._worked_out(store, state)
                self._keep(state, held)
            return held

    def close(self) -> None:
        """Close every index that is open, and forget everything."""
        with self._lock:
            gone = list(self._seen.values())
            self._seen.clear()
        for one in gone:
            one.end()
        self.views.clear()

    def _held(self, state: State) -> Seen | None:
        with self._lock:
            if (found := self._seen.get(state)) is not None:
                self._seen.move_to_end(state)
            return found

    def _worked_out(self, store: Store, state: State) -> Seen:
        with self._lock:
            before = next((one for held, one in reversed(self._seen.items()) if held[0] == state[0]), None)
        found = Seen(state, earlier=before.last if before else (None, None))
        names, moved = (before.names, found.moved(store, before.head)) if before else (None, None)
        if before is not None and moved is not None:
            found.takes_over(before, moved)
        found.names = found.asking(store, lambda index: names_of(index, store, names, moved))
        return found

    def _keep(self, state: State, seen: Seen) -> None:
        with self._lock:
            self._seen[state] = seen
            same = [held for held in self._seen if held[0] == state[0]]
            over = [*same[:-_EACH], *list(self._seen)[: max(0, len(self._seen) - _STATES)]]
            gone = [one for held in dict.fromkeys(over) if (one := self._seen.pop(held, None)) is not None]
        for one in gone:
            one.end()
