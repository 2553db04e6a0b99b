"""Telling a change in the trade's terms: in the cup, the work, the evidence, the colour, the words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from sprayout_core.compare.changing import Difference, changes
from sprayout_core.compare.state import ABSENT
from sprayout_core.documents import Json, Layer, tree
from sprayout_core.documents.which import is_formula
from sprayout_core.ratio import decimal_text, exact, has_decimal_text

if TYPE_CHECKING:
    from sprayout_core.documents import Document, Formula

__all__ = ["Line", "Naming", "tell", "tell_differences", "tell_found", "with_coats", "written_ratio"]

#: Turns an id into the name people use for it.
Naming = Callable[[str], str]

_WORDS = {
    "density_g_per_ml": "density, g/ml",
    "volume_solids_percent": "solids by volume, %",
    "mass_solids_percent": "solids by mass, %",
    "voc_g_per_l": "VOC, g/l",
    "flake_um": "flake size, um",
    "safety_notes": "safety notes",
    "coats_order": "order of coats",
    "baseline_grounds": "baseline grounds",
    "spray_ready": "spray-ready",
    "mix/order": "pouring order",
    "mix/scale": "how the ratio is written",
    "mix/as_typed": "as typed",
}


#: Units at the end of members' names, longer ones first.
_UNITS = {
    "_g_per_ml": "g/ml",
    "_g_per_l": "g/l",
    "_percent": "%",
    "_kpa": "kPa",
    "_um": "um",
    "_mm": "mm",
    "_ml": "ml",
    "_s": "s",
    "_h": "h",
    "_g": "g",
}
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a telling: its layer and its words."""

    layer: Layer
    text: str


def tell(before: Document, after: Document, name: Naming) -> tuple[Line, ...]:
    """Return what changed between two states or versions, in layers, the cup first.

    A mix written differently but the same is told as such; a place in question as two answers.
    """
    return tell_found(with_coats(changes(before, after), tree(before), tree(after), name), before, after, name)


def tell_found(found: Iterable[Difference], before: Document, after: Document, name: Naming) -> tuple[Line, ...]:
    """Return differences that were found between two documents of a kind, in layers, the cup first."""
    found = list(found)
    places = {one.place for one in found}
    lines = list(tell_differences([one for one in found if one.place != "mix/scale"], name, _asked(before, after)))
    if "mix/scale" in places and "mix" not in places and is_formula(before):
        assert is_formula(after)
        written = f"{written_ratio(before, name)} is {written_ratio(after, name)}"
        lines.append(Line(Layer.CUP, f"same mix, written differently: {written}"))
    order = list(Layer)
    return tuple(sorted(lines, key=lambda line: order.index(line.layer)))


def with_coats(
    differences: Iterable[Difference], before: Mapping[str, Json], after: Mapping[str, Json], name: Naming
) -> list[Difference]:
    """Return the differences with coats named in their order, so that nobody reads an edit's name there."""

    def named(order: Json, plain: Mapping[str, Json]) -> Json:
        coats = plain.get("coats", {})
        known = [coats[key] for key in ([] if order is ABSENT else order) if key in coats]
        return ABSENT if order is ABSENT else [f"{name(coat['formula'])}, {coat['count']}" for coat in known]

    return [
        replace(one, before=named(one.before, before), after=named(one.after, after))
        if one.place == "coats_order"
        else one
        for one in differences
    ]


def _asked(before: Document, after: Document) -> dict[str, str]:
    """Return what is to be told of the atoms that came into question, or left it."""
    old, new = set(before.questions or {}), set(after.questions or {})
    told = dict.fromkeys(old - new, "settled")
    return {**told, **dict.fromkeys(new - old, "two answers")}


def written_ratio(formula: Formula, name: Naming) -> str:
    """Return the mix as it was written, names glued to numbers: "5 weak teal : 2 strong teal by volume"."""
    mix = formula.mix
    if mix is None or mix.items is None:
        return "two answers"
    scale = exact(mix.scale) if mix.scale else Fraction(1)
    liquid = {key: item.ratio * scale for key, item in mix.items.items() if item.ratio is not None}
    if not all(has_decimal_text(part) for part in liquid.values()):
        liquid = {key: part / scale for key, part in liquid.items()}
    told = []
    for key in mix.pouring_order():
        item = mix.items[key]
        label = key.replace(".", " ") if item.kind == "slot" else name(key)
        told.append(f"{decimal_text(liquid[key])} {label}" if key in liquid else f"{item.g_per_l} g/l {label}")
    return " : ".join(told) + f" by {mix.basis}"


def tell_differences(
    differences: Iterable[Difference], name: Naming, asked: Mapping[str, str] | None = None
) -> Iterable[Line]:
    """Yield a line for each difference that is to be told; the edit record is not.

    asked   what is said of places that came into question or left it, where that is known
    """
    for one in differences:
        if one.record:
            continue
        said = (asked or {}).get(one.place)
        if said == "two answers":
            yield Line(one.layer, f"{_label(one.place, name)}: two answers")
        elif one.place == "withdrawn":
            yield Line(one.layer, "brought back" if one.after is ABSENT else "withdrawn")
        elif one.place == "mix":
            yield from _tell_mix(one, name)
        elif said == "settled":
            now = "nothing" if one.after is ABSENT else _told(one.after, name)
            yield Line(one.layer, f"{_label(one.place, name)}: settled, {now}")
        else:
            yield Line(one.layer, _tell_place(one, name))


def _tell_mix(one: Difference, name: Naming) -> Iterable[Line]:
    if one.before is ABSENT or one.after is ABSENT:
        parts = {} if one.after is ABSENT else _shares(one.after)
        settled = "; ".join(f"{name(key)} {parts[key]}" for key in sorted(parts, key=name))
        yield Line(one.layer, f"the mix: settled, {settled}" if settled else "the mix: two answers")
        return
    if one.before["basis"] != one.after["basis"]:
        yield Line(one.layer, f"by {one.before['basis']} before, by {one.after['basis']} now")
    before, after = _shares(one.before), _shares(one.after)
    for key in sorted({**before, **after}, key=name):
        old, new = before.get(key), after.get(key)
        if old == new:
            continue
        yield Line(one.layer, f"{name(key)}: {_share(old)} before, {_share(new)} now")


def _shares(mix: Mapping[str, Json]) -> dict[str, str]:
    total = sum(item["ratio"] for item in mix["items"].values() if "ratio" in item)
    shares = {}
    for key, item in mix["items"].items():
        if "ratio" in item:
            shares[key] = f"{item['ratio']} of {total} parts ({_percent(Fraction(item['ratio'], total))})"
        else:
            shares[key] = f"{item['g_per_l']} g/l"
    return shares


def _share(share: str | None) -> str:
    return share or "none"


def _percent(share: Fraction) -> str:
    tenths = round(share * 1000)
    return f"{tenths // 10}.{tenths % 10} %"


def _tell_place(one: Difference, name: Naming) -> str:
    label = _label(one.place, name)
    member, keyed, _ = one.place.partition("/")
    words = _SAID_AS.get(member, _told) if keyed else _told
    before, after = (_told(value, name) if value is ABSENT else words(value, name) for value in (one.before, one.after))
    if one.place.startswith("notes/"):
        return _tell_note(one, before, after)
    if member == "standards" and keyed:
        return _tell_standard(one, name)
    if one.before is ABSENT:
        return f"{label}: {after} is new"
    if one.after is ABSENT:
        return f"{label}: {before} is no longer there"
    return f"{label}: {before} before, {after} now"


def _tell_note(one: Difference, before: str, after: str) -> str:
    if one.before is ABSENT:
        return f"new note: {after}"
    return f"note taken away: {before}" if one.after is ABSENT else f"note: {before} before, {after} now"


def _tell_standard(one: Difference, name: Naming) -> str:
    over = _label(one.place, name)
    before, after = (None if value is ABSENT else _piece(value, name) for value in (one.before, one.after))
    if before is None:
        return f"{after} is {over} now"
    return f"{before} is no longer {over}" if after is None else f"{over}: {before} before, {after} now"


def _piece(value: Json, name: Naming) -> str:
    """Return a panel, or the step or zone of it that is meant, as people name it: KF-2, SC-1/4."""
    places = [str(value[member]).replace("_", " ") for member in ("step", "zone") if value.get(member)]
    return "/".join([name(value["panel"]), *places])


def _label(place: str, name: Naming) -> str:
    member, _, key = place.partition("/")
    label = _WORDS.get(place, _WORDS.get(member, member.replace("_", " ")))
    if place == "mix":
        return "the mix"
    if member == "coats" and key:
        return "coat"
    if member == "standards" and key:
        return f"the standard over {name(key) if len(key) == 36 else key}"
    if member == "spray_ready" and key:
        return f"{label} for {key}"
    if key and place not in _WORDS and "." not in key:
        label = f"{label} {name(key) if len(key) == 36 else key!r}"
    return label


def _coat(value: Json, name: Naming) -> str:
    """Return a coat as people say it: how many of which mix, then how it is laid and dried."""
    rest = {key: item for key, item in value.items() if key not in ("formula", "count", "spray_ready")}
    if rest.get("role") == "colour":  # the usual one goes without saying
        del rest["role"]
    through = [f"through {value['spray_ready']}"] if "spray_ready" in value else []
    return ", ".join([f"{value['count']} {name(value['formula'])}", *through, *_members(rest, name)])


def _ready(value: Json, name: Naming) -> str:
    """Return what is done to a mix for the gun: how much is reduced, and the rest by its name."""
    rest = dict(value)
    told = []
    if reduce := rest.pop("reduce", None):
        percent = decimal_text(exact(reduce["parts"]) * 100)
        reducer = name(reduce["material"]) if "material" in reduce else "reducer"
        told = [f"{percent} % {reducer} {'on top of the mix' if reduce['of'] == 'mix' else 'within the whole'}"]
    return ", ".join([*told, *_members(rest, name)]) or "as mixed"


def _members(value: Mapping[str, Json], name: Naming) -> list[str]:
    return [_told_member(key, item, name) for key, item in value.items()]


_SAID_AS: dict[str, Callable[[Json, Naming], str]] = {"coats": _coat, "spray_ready": _ready}


def _told(value: Json, name: Naming) -> str:
    if value is ABSENT:
        return "nothing"
    if isinstance(value, dict):
        if "text" in value:
            return str(value["text"])
        if set(value) == {"kind", "id"}:
            return name(value["id"])
        return ", ".join(_told_member(key, item, name) for key, item in value.items())
    if isinstance(value, list):
        return ", then ".join(_told(item, name) for item in value)
    text = str(value)
    return name(text) if _ID.fullmatch(text) else text


def _told_member(key: str, item: Json, name: Naming) -> str:
    """Return a member with its unit behind the number, where its name ends in one."""
    for suffix, unit in _UNITS.items():
        if key.endswith(suffix):
            return f"{key.removesuffix(suffix).replace('_', ' ')} {item} {unit}"
    return f"{key.replace('_', ' ')} {_told(item, name)}"
