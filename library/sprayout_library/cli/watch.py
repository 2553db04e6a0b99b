"""sprayout watch: take in each finished table of a folder."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, current_thread, main_thread
from typing import TYPE_CHECKING, Any

import click

from sprayout_library.cli.desk import Desk
from sprayout_library.cli.told import PartlyDone, counted, say, soft

if TYPE_CHECKING:
    from sprayout_library.inbox import Asked


@click.command("watch")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--set", "options", multiple=True, metavar="OPTION=VALUE", help="What its tables do not say; repeat it.")
@click.option("--names", metavar="PATTERN", help="Where file names tell the panel, such as {panel}.csv.")
@click.option("--reader", metavar="PLUGIN", help="Which reader, where several could read its files.")
@click.option("--once", "way", flag_value="once", help="One pass over what is there, then stop.")
@click.option("--poll", "way", flag_value="poll", help="Look again and again, as a network share needs it.")
@click.option("--quiet", type=click.FloatRange(0.05, 3600), default=2.0, show_default=True, metavar="SECONDS",
              help="How long a file must stay unchanged before it is taken.")  # fmt: skip
@click.pass_obj
def command(
    desk: Desk, /, folder: Path, options: tuple[str, ...], names: str | None, reader: str | None, way: str | None,
    quiet: float,
) -> None:  # fmt: skip
    """Take in each finished table of FOLDER, once; Ctrl-C stops it. Files are never changed.

    What is told with --set, --names and --reader is remembered for the folder on this machine.

    \b
    sprayout watch exports --set scale=percent --set geometry=45:0 --set stage=bare
    """
    from sprayout_library.inbox import Inbox, Watch

    asked = _asked(folder, options, names, reader)
    with desk.store() as store:
        writer = desk.writer(store)
        watch = Watch(writer, Inbox(store, writer.clock), folder, asked, quiet, max(60.0, 10 * quiet))
        counts = Counts(watch.label)
        with _stopped_by_hand() as stop:
            if way == "once":
                _once(watch, stop, counts)
            else:
                _on_and_on(watch, stop, counts, way)
        waiting, refused = watch.waiting(), watch.refused()
    if way == "once" and (waiting or refused):
        left = [counted(refused, "file") + " not taken"] if refused else []
        left += [counted(waiting, "reading") + " waiting for a panel"] if waiting else []
        raise PartlyDone(", ".join(left), "See them, and what to do: sprayout inbox")


def _asked(folder: Path, options: tuple[str, ...], names: str | None, reader: str | None) -> Asked:
    """Return how the folder's tables are read: as told now and remembered, or else as told last time and shown."""
    from sprayout_library.inbox import Asked, Mappings, NamePattern, options_from_words

    mappings = Mappings()
    if options or names or reader:
        if names:
            NamePattern(names)
        asked = Asked(options_from_words(options), reader or "", names or "")
        mappings.keep_for_folder(folder, asked)
        return asked
    last = mappings.of_folder(folder)
    if last is None:
        return Asked()
    told = [f"--set {name}={value}" for name, value in last.options.items()]
    told += [f"--names {last.names}"] if last.names else []
    told += [f"--reader {last.reader}"] if last.reader else []
    say(f"As told for this folder last time: {' '.join(told)}")
    return last


@contextmanager
def _stopped_by_hand() -> Iterator[Event]:
    """Yield what is set at the first Ctrl-C, after which the step under way is finished; the second one breaks off."""
    stop = Event()

    def asked(*_: object) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    before = {}
    if current_thread() is main_thread():  # elsewhere no signal arrives, and whoever runs it there stops it otherwise
        before = {name: signal.signal(name, asked) for name in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield stop
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def _once(watch: Any, stop: Event, counts: Counts) -> None:
    from sprayout_library.inbox.observing import once

    once(watch, stop, counts, time.monotonic)
    if not counts.told:
        say("Nothing new.")


def _on_and_on(watch: Any, stop: Event, counts: Counts, way: str | None) -> None:
    from sprayout_library.inbox.observing import Observed, keep_watching

    observed = None
    if way != "poll":
        try:
            observed = Observed(watch.folder)
        except OSError as error:
            say(f"The system cannot watch this folder ({error.strerror}): it is looked through again and again.")
    say(f"Watching {watch.folder}; Ctrl-C stops.", bold=True)
    try:
        keep_watching(watch, observed, stop, counts, time.monotonic)
    finally:
        if observed is not None:
            observed.stop()
    soft(f"Stopped: {counted(counts.fresh, 'reading')} taken in. What waits: sprayout inbox")


class Counts:
    """Tells what came of each file as it comes, and counts."""

    def __init__(self, label: Callable[[str], str]) -> None:
        self._label = label
        self.told = 0
        self.fresh = 0

    def __call__(self, came: Any) -> None:
        """Tell one thing that happened."""
        from sprayout_library.inbox import Outcome, Placed, Same

        self.told += 1
        if isinstance(came, Outcome):
            self._taken(came)
        elif isinstance(came, Placed):
            self.fresh += came.count
            panels = ", ".join(sorted(map(self._label, came.panels))[:5])
            say(f"{counted(came.count, 'reading')} that waited found {panels}.")
        elif isinstance(came, Same):
            say(f"{came.name}: the same as {came.other}, which was taken already.")
        else:
            again = " It is tried again." if came.passing else ""
            say(f"{came.name + ': not taken: ' if came.name else ''}{came.reason}{again}", fg="yellow")

    def _taken(self, came: Any) -> None:
        self.fresh += len(came.fresh)
        known = f", {len(came.known)} known already" if came.known else ""
        panels = ", ".join(sorted(map(self._label, came.panels))[:5])
        of = f" ({panels})" if panels else ""
        say(f"{came.name}: {counted(len(came.fresh), 'reading')} taken in{of}{known}.")
        for line, _, reason in came.waiting[:3]:
            say(f"  line {line} waits: {reason}", fg="yellow")
        if came.waiting_count > 3:
            say(f"  and {came.waiting_count - 3} more wait: sprayout inbox", fg="yellow")
        for line, reason in came.left_out[:3]:
            say(f"  line {line} gives no reading: {reason}")
        if came.left_out_count > 3:
            say(f"  and {came.left_out_count - 3} more lines like these")
