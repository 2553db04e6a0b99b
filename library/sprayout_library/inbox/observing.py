"""Observing: what the system tells of a folder, heard in a thread of its own and handed over in order."""

from __future__ import annotations

import queue
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, Any

from sprayout_core.errors import SprayoutError
from sprayout_library.inbox.watching import Refused, Told, Watch

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Observed", "keep_watching", "once"]

_RESCAN = 60.0


class Observed:
    """The words of the system about one folder, and what is made of them.

    closes  whether the system tells when a file that was written to is closed (inotify does)
    """

    def __init__(self, folder: Path) -> None:
        """Begin to listen. Raises OSError where the system cannot watch the folder (limits, network shares)."""
        from watchdog.events import FileSystemEventHandler
        from watchdog.observers import Observer

        heard: queue.SimpleQueue[Any] = queue.SimpleQueue()

        class Handler(FileSystemEventHandler):
            def on_any_event(self, event: Any) -> None:
                heard.put(event)

        self._heard = heard
        self._observer = Observer()
        self._observer.schedule(Handler(), str(folder), recursive=True)
        self._observer.start()
        self.closes = "inotify" in type(self._observer).__name__.lower()

    @property
    def alive(self) -> bool:
        """Whether the listening thread still runs."""
        return bool(self._observer.is_alive())

    def stop(self) -> None:
        """Stop listening, and wait until the thread ended."""
        self._observer.stop()
        self._observer.join(10)

    def hand_over(self, watch: Watch) -> bool:
        """Mark the files that something was heard of; say whether the folder must be looked through anew."""
        anew = False
        while True:
            try:
                event = self._heard.get_nowait()
            except queue.Empty:
                return anew
            anew |= self._one(event, watch)

    def _one(self, event: Any, watch: Watch) -> bool:
        what = event.event_type
        if event.is_directory:
            return what in ("created", "moved")
        here, there = _path(event.src_path), _path(getattr(event, "dest_path", ""))
        settling = watch.settling
        if what == "moved":
            settling.gone(here)
            if watch.ours(there):
                settling.touched(there)
                settling.closed(there)
        elif what == "deleted":
            settling.gone(here)
        elif what in ("created", "modified") and watch.ours(here):
            if self.closes and what == "modified":
                settling.written(here)
            else:
                settling.touched(here)
        elif what == "closed" and watch.ours(here):
            settling.closed(here)
        return False


def _path(text: str | bytes) -> Path:
    import os

    return Path(os.fsdecode(text))


def keep_watching(
    watch: Watch, observed: Observed | None, stop: Event, tell: Callable[[Told], None], clock: Callable[[], float]
) -> None:
    """Take files in until `stop` is set: what is heard of at once, everything else when the folder is looked through.

    Without an observer the folder is looked through again and again, which is all a network share allows; with one
    it is looked through every minute, since the system may have lost a word.
    """
    tick = max(watch.settling.quiet / 4, 0.02)
    every = max(watch.settling.quiet, 1.0) if observed is None else _RESCAN
    next_scan = clock()
    while not stop.is_set():
        try:
            anew = observed.hand_over(watch) if observed is not None else False
            if observed is not None and not observed.alive:
                tell(Refused("", "the system tells nothing any more: the folder is looked through", passing=True))
                observed, every, anew = None, max(watch.settling.quiet, 1.0), True
            if anew or clock() >= next_scan:
                watch.scan()
                next_scan = clock() + every
            for told in watch.step(clock()):
                tell(told)
        # The loop outlives whatever befalls one turn of it: it is told, and the next turn tries again.
        except Exception as error:  # noqa: BLE001
            reason = str(error) if isinstance(error, SprayoutError) else f"{type(error).__name__}: {error}"
            tell(Refused("", reason[:300], passing=True))
            next_scan = clock()
            stop.wait(max(tick, 1.0))
        stop.wait(tick)


def once(watch: Watch, stop: Event, tell: Callable[[Told], None], clock: Callable[[], float]) -> None:
    """Take in what is there, waiting only until each file is finished."""
    tick = max(watch.settling.quiet / 4, 0.02)
    watch.scan()
    end = clock() + watch.settling.patience
    while not stop.is_set():
        for told in watch.step(clock()):
            tell(told)
        if not watch.settling.expected(clock()) or clock() >= end:
            break
        stop.wait(tick)
