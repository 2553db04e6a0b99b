"""A reading typed from an instrument's display: L*, a*, b* at one or several geometries, with its conditions."""

from __future__ import annotations

import re
from collections.abc import Callable

from sprayout_core.errors import Fault, FaultsError, SprayoutError
from sprayout_core.tables.conditions import STAGES, Conditions, geometry, illuminant, observer
from sprayout_core.tables.reading import TableReading

__all__ = ["TYPED", "typed"]

TYPED = {"entry": "typed"}
"""What a typed reading says of itself among its keys: no file stands behind it."""

_NUMBER = re.compile(r"[-+−]?(?:\d+(?:[.,]\d+)?|[.,]\d+)\Z", re.ASCII)
_NAMED = re.compile(r"(?P<name>[Lab])\*?\s*[=:]?\s*(?=[-+−.,\d])")
_LIGHT = re.compile(r"(?P<light>[A-Za-z][\w.-]*)\s*/\s*(?P<seen>2|10)\s*°?\Z")
_ORDER = ("L*", "a*", "b*")
_LIMITS = {"L*": (0.0, 200.0), "a*": (-200.0, 200.0), "b*": (-200.0, 200.0)}


def typed(text: str, label: str) -> tuple[TableReading, ...]:
    """Return the readings of one typed line; parts of several geometries are parted by semicolons.

    text   `41.2 -20.5 3.4 D65/10 45:0 bare`, or `45as15 110.2 -30 5.1; 45as45 52 -24 3.9; D65/10 cleared`:
           three numbers in the order L*, a*, b* (or each with its name), illuminant and observer, geometry, stage.
           A condition that stands once holds for all parts.
    label  the panel, zone or step that was measured

    Raises FaultsError naming everything that is missing, twice, unknown or out of range; nothing is assumed.
    """
    faults: list[Fault] = []
    parts = [_part(part, number, faults) for number, part in enumerate(text.split(";"), 1) if part.strip()]
    shared = _shared(parts, faults)
    readings = [_reading(part, shared, label, faults) for part in parts if part.numbers]
    if not readings:
        faults.append(Fault("typed", "no L*, a*, b* is there", "Type three numbers: 41.2 -20.5 3.4"))
    if len({reading.conditions.geometry for reading in readings}) < len(readings) and not faults:
        faults.append(Fault("typed", "two parts have one geometry", "Type each geometry once."))
    if faults:
        raise FaultsError(dict.fromkeys(faults))
    return tuple(readings)


class _Part:
    """The words of one part, sorted by what they are."""

    def __init__(self, number: int) -> None:
        self.place = f"typed, part {number}"
        self.numbers: list[float] = []
        self.names: list[str] = []
        self.conditions: dict[str, str] = {}


def _part(text: str, number: int, faults: list[Fault]) -> _Part:
    part = _Part(number)
    for word in _NAMED.sub(r" \g<name>* ", text).split():
        if word in _ORDER:
            part.names.append(word)
        elif _NUMBER.match(word):
            part.numbers.append(float(word.replace(",", ".").replace("−", "-")))
        else:
            _condition(word, part, faults)
    if part.numbers and len(part.numbers) != 3:
        problem = f"{len(part.numbers)} numbers are there, three are wanted"
        faults.append(Fault(part.place, problem, "Type L*, a*, b*; part several geometries by semicolons."))
    if part.names and sorted(part.names) != sorted(_ORDER):
        faults.append(Fault(part.place, "not each of L*, a*, b* has one number", "Name all three, or none."))
    return part


def _condition(word: str, part: _Part, faults: list[Fault]) -> None:
    if light := _LIGHT.match(word):
        _keep("illuminant", lambda: illuminant(light["light"]), part, faults)
        _keep("observer", lambda: str(observer(light["seen"])), part, faults)
    elif word.lower() in STAGES:
        _keep("stage", word.lower, part, faults)
    else:
        try:
            where = geometry(word)
        except SprayoutError as wrong:
            remedy = "Type light and observer as D65/10, a geometry such as 45:0, and bare, cleared or polished."
            hint = wrong.fault.remedy if "specular" in wrong.fault.problem else remedy
            faults.append(Fault(part.place, f"{word!r} is not understood", hint))
        else:
            _keep("geometry", lambda: where, part, faults)


def _keep(what: str, spell: Callable[[], str], part: _Part, faults: list[Fault]) -> None:
    try:
        value = spell()
    except SprayoutError as wrong:
        faults.append(Fault(part.place, wrong.fault.problem, wrong.fault.remedy))
        return
    if part.conditions.setdefault(what, value) != value:
        faults.append(Fault(part.place, f"two answers for the {what}: {part.conditions[what]} and {value}"))


def _shared(parts: list[_Part], faults: list[Fault]) -> dict[str, str]:
    """Return the conditions that stand once in the line and so hold for all parts."""
    shared: dict[str, str] = {}
    for what in ("illuminant", "observer", "geometry", "stage"):
        values = {part.conditions[what] for part in parts if what in part.conditions}
        if len(values) == 1:
            shared[what] = values.pop()
        elif len(values) > 1 and what != "geometry":
            faults.append(Fault("typed", f"two answers for the {what}: {' and '.join(sorted(values))}"))
    return shared


def _reading(part: _Part, shared: dict[str, str], label: str, faults: list[Fault]) -> TableReading:
    told = shared | part.conditions
    asked = {
        "illuminant": "Type light and observer, such as D65/10.",
        "geometry": "Type it, such as 45:0, di:8 or 45as15.",
        "stage": "Type bare, cleared or polished.",
    }
    faults += [
        Fault(part.place, f"the {what} is missing", remedy) for what, remedy in asked.items() if what not in told
    ]
    named = dict(zip(part.names or _ORDER, part.numbers, strict=False))
    coordinates = {name: named[name] for name in _ORDER if name in named}
    for name, value in coordinates.items():
        low, high = _LIMITS[name]
        if not low <= value <= high:
            faults.append(Fault(part.place, f"{name} of {value:g} cannot be", "Type L*, a*, b* in this order."))
    about = Conditions(
        geometry=told.get("geometry", ""),
        illuminant=told.get("illuminant", ""),
        observer=int(told.get("observer", "0")),
        stage=told.get("stage", ""),
    )
    return TableReading(label, 0, about, coordinates=coordinates, keys=dict(TYPED))
