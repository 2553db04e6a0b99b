"""Spots: where on which panel a reading was made, found by the name a row has."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

import msgspec

from sprayout_core.documents.which import is_panel
from sprayout_core.errors import SprayoutError
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.documents import Panel

__all__ = ["SpotFound", "SpotNotFound", "Spots", "spot_of"]

_HEX = frozenset("0123456789abcdef-")
_WHOLE_ID = 36
_REMEMBERED = 10_000
"""Names remembered with their spots: the readings of a panel stand in a table many times."""


class SpotNotFound(SprayoutError):
    """A name that finds no panel, several, or no step or zone of one: it can be told later."""


@dataclass(frozen=True, slots=True)
class SpotFound:
    """A panel by its id, and where it was said a step or a zone of it, or a zone of a step."""

    panel: str
    step: str | None = None
    zone: str | None = None

    @property
    def place(self) -> str:
        """The step or zone, "" for the panel as a whole."""
        return "/".join(one for one in (self.step, self.zone) if one)


class _Named(msgspec.Struct):
    """The members of a stored panel that finding it by name needs."""

    id: str
    title: str = ""
    label: str = ""
    aliases: dict[str, str] = {}
    withdrawn: dict[str, int] = {}
    steps: dict[str, msgspec.Raw] = {}


def spot_of(label: str) -> tuple[str, str | None]:
    """Return (panel's name, step or zone) of a row's label: "KF-2/3" is step 3 of KF-2."""
    name, slash, place = label.rpartition("/")
    return (name.strip(), place.strip()) if slash and name.strip() and place.strip() else (label.strip(), None)


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())


class Spots:
    """The panels of a library by every name they have, at the moment it was read: one look-up for each row.

    The names are title, label code, other names and the whole id; panels not withdrawn win over withdrawn ones.
    The end of an id finds a panel only where it is marked as one ("…4f7e"): a bare "4711" is a sample's number.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._named: dict[str, list[_Named]] = {}
        self._all: list[_Named] = []
        self._panels: dict[str, Panel] = {}
        self._steps: dict[str, list[str]] = {}
        self._found: dict[str, SpotFound] = {}
        decoder = msgspec.json.Decoder(_Named)
        for _, content in store.raw("panel"):
            panel = decoder.decode(content)
            self._all.append(panel)
            if panel.steps:
                self._steps[panel.id] = list(panel.steps)
            for name in {_folded(name) for name in (panel.title, panel.label, *panel.aliases.values()) if name}:
                self._named.setdefault(name, []).append(panel)

    def find(self, label: str) -> SpotFound:
        """Return the spot a label names: a panel, or after a stroke one step or zone of it, or both: KF-2/3/over black.

        Raises SpotNotFound where it names none, or several.
        """
        if label not in self._found:
            if len(self._found) >= _REMEMBERED:
                self._found.clear()
            self._found[label] = self._looked_up(label)
        return self._found[label]

    def _looked_up(self, label: str) -> SpotFound:
        if not label.strip():
            raise SpotNotFound("the row names no panel", "Tell which one it is.")
        if found := self._panel(label):
            return SpotFound(found)
        name, place = spot_of(label)
        if place is not None and (found := self._panel(name)):
            return self.on(found, place)
        shorter, step = spot_of(name)
        if place is not None and step is not None and (found := self._panel(shorter)):
            return self.on(found, f"{step}/{place}")
        raise SpotNotFound(
            f"no panel is called {(label if place is None else name)!r}",
            "Record the panel, or tell which one it is.",
        )

    def agreed(self, label: str, named: str | None) -> SpotFound:
        """Return the spot of a row, where the name of its file names a panel too.

        label  the row's name
        named  what the file's name says, `KF-2` or `KF-2/3`; None where it says nothing

        Raises SpotNotFound where neither names a panel, where they name two, and for a step card as a whole.
        """
        return self.certain(self._agreed(label, named))

    def certain(self, found: SpotFound) -> SpotFound:
        """Return a spot that says which step of a step card it is. Raises SpotNotFound for a step card as a whole."""
        steps = self._steps.get(found.panel)
        if steps and not found.place:
            called = self.label(found.panel)
            raise SpotNotFound(
                f"{called} is a step card, and no step is named", f"Tell which one, such as {called}/{steps[-1]}."
            )
        return found

    def _agreed(self, label: str, named: str | None) -> SpotFound:
        if named is None:
            return self.find(label)
        by_file = self.find(named)
        by_row = None
        if label.strip():
            with suppress(SpotNotFound):
                by_row = self.find(label)
        if by_row is None:
            return by_file
        if by_row.panel != by_file.panel or (by_row.place and by_file.place and by_row.place != by_file.place):
            raise SpotNotFound(f"the row says {label!r}, the file's name {named!r}", "Tell which one it is.")
        return by_row if by_row.place else by_file

    def label(self, panel: str) -> str:
        """Return what a panel is called; the end of its id where it has no name."""
        for one in self._all:
            if one.id == panel:
                return one.label or one.title or f"…{panel[-6:]}"
        return f"…{panel[-6:]}"

    def _panel(self, text: str) -> str | None:
        wanted = _folded(text)
        found = list(self._named.get(wanted, ()))
        end = wanted.removeprefix("…").removeprefix("...")
        if (end != wanted or len(end) == _WHOLE_ID) and len(end) >= 4 and set(end) <= _HEX:
            found += [one for one in self._all if one.id.endswith(end) and one not in found]
        standing = [one for one in found if not one.withdrawn] or found
        if len(standing) > 1:
            told = "; ".join(f"{one.label or one.title} (…{one.id[-6:]})" for one in standing[:8])
            raise SpotNotFound(f"{text!r} could be {told}", "Tell which one it is.")
        return standing[0].id if standing else None

    def on(self, panel: str, place: str | None) -> SpotFound:
        """Return a step or zone of a panel by its name. Raises SpotNotFound where the panel has no such place."""
        if place is None:
            return SpotFound(panel)
        if panel not in self._panels:
            document = self._store.get(panel)
            if not is_panel(document):
                raise SpotNotFound(f"panel …{panel[-6:]} is not here", "Sync, or record it.")
            self._panels[panel] = document
        steps, zones = self._panels[panel].steps or {}, self._panels[panel].zones or []
        zone = place.casefold().replace(" ", "_")
        step, stroke, of_step = zone.partition("/")
        if stroke and (step in steps or step == "0") and of_step in zones:
            return SpotFound(panel, step=step, zone=of_step)
        if place in steps or place == "0":
            return SpotFound(panel, step=place)
        if zone in zones:
            return SpotFound(panel, zone=zone)
        known = ", ".join([*steps, *zones]) or "none"
        raise SpotNotFound(f"the panel has no step or zone {place!r}", f"It has: {known}.")
