"""Work done before anybody asks: indexes are brought forward and names worked out while a server listens already."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, suppress
from typing import TYPE_CHECKING

from sprayout_core.errors import SprayoutError
from sprayout_library.index import asking

if TYPE_CHECKING:
    from sprayout_library.hub.pages.known import Known
    from sprayout_library.store import Store

__all__ = ["Opens", "warming"]

Opens = Callable[[], "AbstractContextManager[Store]"]
#: Libraries whose names and panels are worked out too; of the others only the index is brought forward.
_FIRST = 4
#: Of more panels none is read before somebody asks: whoever asks for a name meanwhile would wait for them.
_MANY = 20_000
#: Seconds that the end of a server waits for the library at hand.
_PATIENCE = 5.0


@contextmanager
def warming(known: Known, opens: Sequence[Opens]) -> Iterator[None]:
    """Warm libraries one after the other while inside; whoever asks for one meanwhile waits for that one at most.

    known  takes what is worked out
    opens  opens each library
    """
    ended = threading.Event()
    thread = threading.Thread(target=_warm, args=(known, opens, ended), name="warming", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join(_PATIENCE)


def _warm(known: Known, opens: Sequence[Opens], ended: threading.Event) -> None:
    for number, open_one in enumerate(opens):
        if ended.is_set():
            return
        with suppress(SprayoutError, OSError), open_one() as store:  # who asks for it is told what is the matter
            if store.head is None:
                continue
            if number < _FIRST:
                seen = known.of(store)
                if sum(1 for _ in seen.names.of_kind("panel")) <= _MANY:
                    seen.rack(store)
            else:
                asking(store, lambda index: None)
