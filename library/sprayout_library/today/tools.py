"""The shop's own cups, scales, droppers and guns, kept as plain facts of this machine and read as records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, TypeVar

from sprayout_core.errors import SprayoutError
from sprayout_core.mix import CalibratedCup, Dropper, MarkedCup, PrintedColumn, PrintedCup, Scale
from sprayout_core.ratio import decimal_text, exact
from sprayout_library.machine import Facts, shop_facts

__all__ = ["Cup", "Gun", "Tools", "forget_tool", "keep_tool", "tools", "tree_of"]

Cup = PrintedCup | MarkedCup | CalibratedCup
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Gun:
    """A gun with the facts that were recorded of it; None for what nobody recorded.

    flow_ml_per_min  what it lets through, as measured
    fan_mm           width of its fan at the shop's distance
    """

    name: str
    tip_mm: Fraction | None = None
    flow_ml_per_min: Fraction | None = None
    fan_mm: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Tools:
    """Everything at the bench that an amount is poured with, by the shop's own names."""

    cups: Mapping[str, Cup] = field(default_factory=dict)
    scales: Mapping[str, Scale] = field(default_factory=dict)
    droppers: Mapping[str, Dropper] = field(default_factory=dict)
    guns: Mapping[str, Gun] = field(default_factory=dict)

    def pours_with(self, name: str) -> Cup | Scale:
        """Return the cup or scale of a name. Raises SprayoutError with the names there are."""
        wanted = " ".join(name.casefold().split())
        known: dict[str, Cup | Scale] = {**self.cups, **self.scales}
        for called, tool in known.items():
            if " ".join(called.casefold().split()) == wanted:
                return tool
        told = ", ".join(known) or "none yet: see sprayout cups --help and sprayout scale --help"
        raise SprayoutError(f"no cup and no scale is called {name!r}", f"There are: {told}.")

    def dropper(self, name: str) -> Dropper:
        """Return the dropper of a name. Raises SprayoutError with the names there are."""
        if name not in self.droppers:
            told = ", ".join(self.droppers) or "none yet: see sprayout dropper --help"
            raise SprayoutError(f"no dropper is called {name!r}", f"There are: {told}.")
        return self.droppers[name]


def tools(facts: Facts | None = None) -> Tools:
    """Return the shop's tools. Raises SprayoutError naming the one that was spoilt by hand."""
    kept = (facts or shop_facts()).all()
    return Tools(
        _all(kept, "cups", _cup),
        _all(kept, "scales", _scale),
        _all(kept, "droppers", _dropper),
        _all(kept, "guns", _gun),
    )


def keep_tool(kind: str, tool: Cup | Scale | Dropper | Gun, facts: Facts | None = None) -> None:
    """Keep a tool under its name; a tool of that name and kind is replaced."""
    if not tool.name.strip() or len(tool.name) > 60:
        raise SprayoutError("a tool needs a short name", "Give it up to 60 letters, such as bench or 600.")
    other = "scales" if kind == "cups" else "cups"
    if kind in ("cups", "scales") and tool.name in (facts or shop_facts()).get(other, {}):
        raise SprayoutError(f"{tool.name!r} is a name among the {other} already", "Give it another name.")

    def put(kept: dict[str, Any]) -> None:
        kept.setdefault(kind, {})[tool.name] = tree_of(tool)

    (facts or shop_facts()).change(put)


def forget_tool(kind: str, name: str, facts: Facts | None = None) -> None:
    """Forget a tool. Raises SprayoutError where there is none of that name."""
    place = facts or shop_facts()
    if name not in place.get(kind, {}):
        raise SprayoutError(
            f"nothing is called {name!r} there", f"There are: {', '.join(place.get(kind, {})) or 'none'}."
        )

    def take(kept: dict[str, Any]) -> None:
        kept.get(kind, {}).pop(name, None)

    place.change(take)


def tree_of(tool: Cup | Scale | Dropper | Gun) -> dict[str, Any]:
    """Return a tool as plain JSON, numbers as decimal text."""
    if isinstance(tool, PrintedCup):
        columns = [
            {"parts": list(one.parts), "marks_ml": {mark: decimal_text(ml) for mark, ml in one.marks.items()}}
            for one in tool.columns
        ]
        return {"columns": columns}
    if isinstance(tool, MarkedCup):
        return {"step_ml": decimal_text(tool.step_ml), "holds_ml": decimal_text(tool.capacity_ml)}
    if isinstance(tool, CalibratedCup):
        pairs = zip(tool.heights_mm, tool.volumes_ml, strict=True)
        return {"weighed": [[decimal_text(height), decimal_text(ml)] for height, ml in pairs]}
    if isinstance(tool, Scale):
        told = {"step_g": decimal_text(tool.resolution_g)}
        return told | ({"holds_g": decimal_text(tool.capacity_g)} if tool.capacity_g is not None else {})
    if isinstance(tool, Dropper):
        return {"drop_ml": decimal_text(tool.drop_ml)}
    known = {"tip_mm": tool.tip_mm, "flow_ml_per_min": tool.flow_ml_per_min, "fan_mm": tool.fan_mm}
    return {name: decimal_text(value) for name, value in known.items() if value is not None}


def _all(kept: Mapping[str, Any], kind: str, build: Callable[[str, Any], Made]) -> dict[str, Made]:
    found: dict[str, Made] = {}
    rows = kept.get(kind, {})
    if not isinstance(rows, dict):
        raise _spoilt(kind, "")
    for name, row in rows.items():
        try:
            found[name] = build(name, row)
        except (KeyError, TypeError, ValueError, AttributeError, SprayoutError) as error:
            raise _spoilt(kind, name) from error
    return found


def _spoilt(kind: str, name: str) -> SprayoutError:
    return SprayoutError(
        "is not as it was written", "Record it again, or take it out by hand.", place=f"shop.json/{kind}/{name}"
    )


def _cup(name: str, row: Mapping[str, Any]) -> Cup:
    if "columns" in row:
        columns = (
            PrintedColumn(
                tuple(int(part) for part in one["parts"]), {mark: exact(ml) for mark, ml in one["marks_ml"].items()}
            )
            for one in row["columns"]
        )
        return PrintedCup(name, tuple(columns))
    if "step_ml" in row:
        return MarkedCup(name, exact(row["step_ml"]), exact(row["holds_ml"]))
    heights, volumes = zip(*((exact(height), exact(ml)) for height, ml in row["weighed"]), strict=True)
    return CalibratedCup(name, heights, volumes)


def _scale(name: str, row: Mapping[str, Any]) -> Scale:
    return Scale(name, exact(row["step_g"]), exact(row["holds_g"]) if "holds_g" in row else None)


def _dropper(name: str, row: Mapping[str, Any]) -> Dropper:
    return Dropper(name, exact(row["drop_ml"]))


def _gun(name: str, row: Mapping[str, Any]) -> Gun:
    def of(member: str) -> Fraction | None:
        return exact(row[member]) if member in row else None

    return Gun(name, of("tip_mm"), of("flow_ml_per_min"), of("fan_mm"))
