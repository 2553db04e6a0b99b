"""A test kit for plugin writers: call it from your own tests; it says everything that does not keep the contract."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from types import ModuleType

from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_core.tables import Preview, RowLeftOut, Source, TableReading, from_tree, in_memory, tree
from sprayout_plugins import guard, registry
from sprayout_plugins.registry import Registry

__all__ = ["check_reader"]

_FOREIGN = in_memory("foreign.bin", bytes(range(256)) * 8)
_UNKNOWN = {"an_option_nobody_has": "1"}


def check_reader(module: ModuleType, source: Source, options: Mapping[str, str]) -> tuple[TableReading, ...]:
    """Check that a plugin reads a table as the contract says, and return the readings.

    module   the plugin's module
    source   a file of its kind
    options  answers under which its preview has no questions and no faults

    Raises FaultsError listing all that is wrong: an answer of another kind, a preview that does not agree with
    what is read, a second look that gives something else, an unknown option passed over, a foreign file
    claimed, what cannot cross to another process.
    """
    plugins = registry.of_modules([module])
    (listed,) = plugins.listed
    preview = guard.ask_one(plugins, listed.name, "preview_table", source=source, options=options)
    if not isinstance(preview, Preview):
        raise SprayoutError("preview_table says that this is not its kind of file", place=listed.name)
    faults = [*_preview_faults(plugins, listed.name, source, options, preview)]
    readings: tuple[TableReading, ...] = ()
    if preview.ready:
        found = _read(plugins, listed.name, source, options)
        readings = tuple(one for one in found if isinstance(one, TableReading))
        faults += _reading_faults(preview, found, readings)
        if found != _read(plugins, listed.name, source, options):
            faults.append(Fault("read_table", "a second reading of the same source gives something else"))
    if faults:
        raise FaultsError(faults)
    return readings


def _read(
    plugins: Registry, name: str, source: Source, options: Mapping[str, str]
) -> tuple[TableReading | RowLeftOut, ...]:
    found = guard.ask_one(plugins, name, "read_table", source=source, options=options)
    return tuple(found) if found is not None else ()


def _preview_faults(
    plugins: Registry, name: str, source: Source, options: Mapping[str, str], preview: Preview
) -> list[Fault]:
    def look(at: Source, told: Mapping[str, str]) -> Preview | None:
        seen = guard.ask_one(plugins, name, "preview_table", source=at, options=told)
        return seen if isinstance(seen, Preview) else None

    faults = []
    if not preview.ready:
        asked = ", ".join(question.option for question in preview.questions) or "nothing"
        wrong = "; ".join(map(str, preview.faults)) or "nothing"
        faults.append(Fault("preview_table", f"under these options it still asks {asked}; wrong: {wrong}"))
    if from_tree(tree(preview)) != preview:
        faults.append(Fault("preview_table", "the preview does not survive the way to another process"))
    if look(source, options) != preview:
        faults.append(Fault("preview_table", "a second look at the same source gives something else"))
    if (unknown := look(source, {**options, **_UNKNOWN})) is not None and not unknown.faults:
        faults.append(Fault("preview_table", "an unknown option is passed over", "Make it a fault that names it."))
    if look(_FOREIGN, {}) is not None:
        faults.append(Fault("preview_table", "a foreign file is claimed", "Answer None for what is not yours."))
    if look(source, preview.mapping) != preview:
        faults.append(Fault("preview_table", "its mapping, told again, gives another preview"))
    return faults


def _reading_faults(
    preview: Preview, found: tuple[TableReading | RowLeftOut, ...], readings: tuple[TableReading, ...]
) -> list[Fault]:
    faults = []
    left_out = len(found) - len(readings)
    if (len(readings), left_out) != (preview.readings, preview.left_out_count):
        told = f"{preview.readings} readings and {preview.left_out_count} lines left out"
        faults.append(Fault("read_table", f"{told} in the preview, {len(readings)} and {left_out} when read"))
    if readings[: len(preview.first)] != preview.first:
        faults.append(Fault("read_table", "the first readings are not those of the preview"))
    for reading in readings:
        if len(reading.wavelengths) != len(reading.values):
            faults.append(Fault(f"line {reading.line}", "as many values as wavelengths are wanted"))
        if any(before >= after for before, after in itertools.pairwise(reading.wavelengths)):
            faults.append(Fault(f"line {reading.line}", "wavelengths are wanted ascending"))
        if not reading.values and not reading.coordinates:
            faults.append(Fault(f"line {reading.line}", "a reading has values or coordinates"))
    faults += [
        Fault(f"line {one.line}", "does not survive the way to another process")
        for one in found
        if from_tree(tree(one)) != one
    ]
    return faults[:20]
