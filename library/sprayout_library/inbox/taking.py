"""Taking one file in: a bounded source, a preview from the plugins, the readings saved in one version."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_core.tables import Preview, Source
from sprayout_library.record import Intake, Names, TakenIn, Writer

__all__ = [
    "LARGEST_FILE",
    "NotReadable",
    "Previews",
    "options_from_words",
    "preview_of",
    "source_of",
    "take_in",
]

#: Larger files are refused before they are read.
LARGEST_FILE = 2_000_000_000


class NotReadable(SprayoutError):
    """A file that cannot be opened, or that no plugin reads."""


@dataclass(frozen=True, slots=True)
class Previews:
    """What each plugin made of one source."""

    source: Source
    by_plugin: Mapping[str, Preview]
    failures: Sequence[SprayoutError]

    def chosen(self, plugin: str | None = None) -> tuple[str, Preview]:
        """Return the plugin to read with and its preview; the named one, else the one that is ready.

        Raises NotReadable where none reads the file, and where two could and none is named.
        """
        if plugin is not None:
            if plugin not in self.by_plugin:
                known = ", ".join(self.by_plugin) or "none"
                raise NotReadable(f"{plugin!r} does not read {self.source.name}", f"These do: {known}.")
            return plugin, self.by_plugin[plugin]
        if not self.by_plugin:
            if self.failures:
                raise FaultsError([fault for failure in self.failures for fault in failure.faults])
            raise NotReadable(f"no plugin reads {self.source.name}", "See docs/tables.md for the shapes that are read.")
        ready = [name for name, preview in self.by_plugin.items() if preview.ready]
        choices = (
            ready or [name for name, preview in self.by_plugin.items() if not preview.faults] or list(self.by_plugin)
        )
        if len(choices) > 1 and ready:
            raise NotReadable(
                f"{' and '.join(choices)} could each read {self.source.name}",
                f"Say which: --reader {choices[0]}",
            )
        return choices[0], self.by_plugin[choices[0]]


def source_of(path: Path) -> Source:
    """Return a file as a source: its name, size and digest, read through once and never changed.

    Raises NotReadable for anything but a plain file of bearable size.
    """
    try:
        if not path.is_file():
            raise NotReadable(
                "is no plain file" if path.exists() else "is not there", "Check the name.", place=str(path)
            )
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise NotReadable(f"has {size} bytes", f"Files up to {LARGEST_FILE} bytes are read.", place=str(path))
        digest = hashlib.sha256()
        with path.open("rb") as file:
            while block := file.read(1 << 20):
                digest.update(block)
    except OSError as error:
        raise NotReadable(f"cannot be read: {error.strerror}", "Check its permissions.", place=str(path)) from None
    return Source(path.name, size, f"sha256:{digest.hexdigest()}", lambda: path.open("rb"))


def options_from_words(pairs: Iterable[str]) -> dict[str, str]:
    """Return options from "name=value" words. Raises SprayoutError for a word without both."""
    options = {}
    for pair in pairs:
        name, sign, value = pair.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise SprayoutError(f"{pair!r} is no option", "Write OPTION=VALUE, such as scale=percent.")
        options[name.strip()] = value.strip()
    return options


def preview_of(path: Path, options: Mapping[str, str]) -> Previews:
    """Return what every plugin understands of a file, without writing anything."""
    from sprayout_plugins import guard, registry

    source = source_of(path)
    plugins = registry.find()
    answers: dict[str, Preview] = {}
    failures: list[SprayoutError] = []
    for answer in guard.ask(plugins, "preview_table", source=source, options=dict(options)):
        if answer.failure is not None:
            failures.append(answer.failure)
        elif isinstance(answer.value, Preview):
            answers[answer.plugin] = answer.value
    return Previews(source, answers, failures)


def take_in(
    writer: Writer,
    names: Names,
    source: Source,
    plugin: str,
    options: Mapping[str, str],
    panel: str | None,
    message: str,
) -> TakenIn:
    """Save the readings of a source in one version, and return what came of each row."""
    from sprayout_plugins import guard, registry

    intake = Intake(writer, names, source.digest, panel)
    rows = guard.ask_one(registry.find(), plugin, "read_table", source=source, options=dict(options))
    outcome = intake.take(rows)
    if outcome.fresh:
        writer.save(outcome.fresh, message)
    return outcome
