"""What the plugins make of one source: their previews, and the one that reads it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_core.errors import FaultsError, SprayoutError
from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading
from sprayout_library.inbox.copying import NotReadable
from sprayout_library.record import tool_name

if TYPE_CHECKING:
    from sprayout_plugins.registry import Registry

__all__ = ["Asked", "NotReady", "Previews", "Readers", "options_from_words"]


class NotReady(SprayoutError):
    """A table that asks something, or in which something is wrong; `preview` says what."""

    def __init__(self, preview: Preview) -> None:
        self.preview = preview
        if preview.faults:
            first, more = preview.faults[0], len(preview.faults) - 1
            remedy = " ".join(filter(None, (first.remedy, f"And {more} more." if more else "")))
            super().__init__(first.problem, remedy, place=first.place)
        else:
            asked = " ".join(f"--set {question.option}=..." for question in preview.questions)
            why = "; ".join(question.why for question in preview.questions)
            super().__init__(f"it does not say everything ({why})", f"Answer what it asks: {asked}")


@dataclass(frozen=True, slots=True)
class Asked:
    """How the files of one place are read.

    options  name to text
    reader   the plugin that reads them, "" for whichever can
    names    the pattern of file names that tell the panel, "" for none
    """

    options: Mapping[str, str] = field(default_factory=dict)
    reader: str = ""
    names: str = ""

    def mark(self, readers: Readers) -> str:
        """Return what tells one way of asking from another: after a change, refused files are tried again."""
        said = [dict(self.options), self.reader, self.names, tool_name(), readers.told()]
        return _digest(said)

    @property
    def meaning(self) -> str:
        """Return what tells two ways of understanding a table apart, by which its rows are the readings they are."""
        return _digest([dict(self.options), self.reader])


def _digest(said: object) -> str:
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode("ascii")).hexdigest()[:16]


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
        if plugin:
            if plugin not in self.by_plugin:
                known = ", ".join(self.by_plugin) or "none"
                raise NotReadable(f"{plugin!r} does not read {self.source.name}", f"These do: {known}.")
            return plugin, self.by_plugin[plugin]
        if not self.by_plugin:
            if self.failures:
                raise FaultsError([fault for failure in self.failures for fault in failure.faults])
            raise NotReadable(
                f"{self.source.name} is no kind of file that is read here",
                "See docs/tables.md for the shapes that are read.",
            )
        ready = [name for name, preview in self.by_plugin.items() if preview.ready]
        choices = (
            ready or [name for name, preview in self.by_plugin.items() if not preview.faults] or list(self.by_plugin)
        )
        if len(choices) > 1 and ready:
            raise NotReadable(
                f"{' and '.join(choices)} could each read {self.source.name}", f"Say which: --reader {choices[0]}"
            )
        return choices[0], self.by_plugin[choices[0]]

    def ready(self, plugin: str | None = None) -> tuple[str, Preview]:
        """Return the same where it can be read as it stands. Raises NotReady where it asks, or where it is wrong."""
        name, preview = self.chosen(plugin)
        if not preview.ready:
            raise NotReady(preview)
        return name, preview


class Readers:
    """The installed plugins, found once, and what they say about sources."""

    def __init__(self, registry: Registry | None = None) -> None:
        from sprayout_plugins import registry as plugins

        self._registry = registry or plugins.find()

    def told(self) -> list[str]:
        """Return the name, contract and home of every plugin."""
        return [f"{listed.name} {listed.contract} {listed.origin}" for listed in self._registry.listed]

    def preview(self, source: Source, options: Mapping[str, str]) -> Previews:
        """Return what every plugin understands of a source, without writing anything."""
        from sprayout_plugins import guard

        answers: dict[str, Preview] = {}
        failures: list[SprayoutError] = []
        for answer in guard.ask(self._registry, "preview_table", source=source, options=dict(options)):
            if answer.failure is not None:
                failures.append(answer.failure)
            elif isinstance(answer.value, Preview):
                answers[answer.plugin] = answer.value
        return Previews(source, answers, failures)

    def rows(self, source: Source, plugin: str, options: Mapping[str, str]) -> Iterator[TableReading | RowLeftOut]:
        """Yield the rows of a source whose preview was ready. Raises PluginError where the plugin fails under way."""
        from sprayout_plugins import guard

        found = guard.ask_one(self._registry, plugin, "read_table", source=source, options=dict(options))
        if found is None:
            raise NotReadable(f"{plugin} does not read {source.name} after all", "Say which: --reader PLUGIN")
        yield from found


def options_from_words(pairs: Iterable[str]) -> dict[str, str]:
    """Return options from "name=value" words. Raises SprayoutError for a word without both."""
    options = {}
    for pair in pairs:
        name, sign, value = pair.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise SprayoutError(f"{pair!r} is no option", "Write OPTION=VALUE, such as scale=percent.")
        options[name.strip()] = value.strip()
    return options
