"""Pouring: a portion as the list for one cup or scale, in order, with readings, strainers and warnings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from sprayout_core.documents import Find, Formula
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import (
    CalibratedCup,
    Dropper,
    MarkedCup,
    PourList,
    PrintedCup,
    Scale,
    drops_for,
    pour_by_column,
    pour_by_marks,
    pour_by_scale,
    pour_list,
)
from sprayout_core.mix.bounds import told
from sprayout_core.ratio import decimal_text
from sprayout_core.sheet import Job, PourLine, Strain
from sprayout_library.today.portions import Line, Portion
from sprayout_library.today.straining import held_back, pour_strainer
from sprayout_library.today.tools import Cup

__all__ = ["Poured", "Pouring", "list_for"]

#: Without a cup or scale the amounts are told to a tenth.
_TENTH = Fraction(1, 10)
#: A cup calibrated by weighing may leave each part this far off, as a share of itself.
_MARK_OFF = Fraction(2, 100)

Unit = Literal["ml", "g"]


@dataclass(frozen=True, slots=True)
class Poured:
    """One line to pour: what belongs in exactly and what the list makes of it, in one unit."""

    key: str
    name: str
    exact: Fraction
    amount: Fraction
    unit: Unit
    reading: Fraction | None = None
    said: str = ""
    warning: str = ""
    strain_um: str = ""


@dataclass(frozen=True, slots=True)
class Pouring:
    """A pour list for one tool.

    how      how the tool is filled, in one sentence; empty where the lines say it all
    total    all of it, with its unit
    """

    tool: str
    lines: tuple[Poured, ...]
    total: str
    how: str = ""
    warnings: tuple[str, ...] = ()

    def job(self, body: str = "") -> Job:
        """Return the list as a sheet prints it."""
        return Job(self.tool, tuple(_printed(line) for line in self.lines), self.total, body)


def list_for(
    found: Portion,
    formula: Formula,
    find: Find,
    tool: Cup | Scale | None = None,
    variant: str | None = None,
    droppers: Mapping[str, Dropper] | None = None,
) -> Pouring:
    """Return how a portion is poured into a cup, on a scale, or told to a tenth where no tool is named.

    droppers  by component id: that one is counted in drops

    Raises SprayoutError where the tool cannot do it: too small, no such column, a density not known.
    """
    names = {line.key: _name(line.key, find) for line in found.lines}
    counted = [line for line in found.lines if line.key in (droppers or {})]
    whole, found = found, Portion(tuple(line for line in found.lines if line not in counted), found.basis)
    if not found.lines:
        raise SprayoutError("everything would be dropped", "Leave something to pour into the cup.")
    if isinstance(tool, Scale):
        pouring = _by_scale(found, names, tool)
    elif isinstance(tool, PrintedCup):
        pouring = _by_column(found, names, tool)
    elif isinstance(tool, MarkedCup):
        pouring = _by_marks(found, names, tool)
    elif isinstance(tool, CalibratedCup):
        pouring = _by_heights(found, names, tool)
    else:
        pouring = _untooled(found, names)
    # Drops go in last, so that they change no reading before them.
    grown = _grown(pouring, found)
    drops = [_dropped(line, names[line.key], (droppers or {})[line.key], grown) for line in counted]
    lines = (*pouring.lines, *drops)
    strain = pour_strainer(formula, variant)
    held = [*pouring.warnings, *held_back(formula, whole, find, variant)]
    return replace(pouring, lines=tuple(replace(one, strain_um=strain) for one in lines), warnings=tuple(held))


def _by_scale(found: Portion, names: Mapping[str, str], scale: Scale) -> Pouring:
    grams = {line.key: _known(line.g, "g", names[line.key]) for line in found.lines}
    made = pour_by_scale(scale, grams)
    return _from_list(made, names, "g", scale.name, grams)


def _by_marks(found: Portion, names: Mapping[str, str], cup: MarkedCup) -> Pouring:
    volumes = _volumes(found, names)
    total = sum(volumes.values(), Fraction(0))
    made = pour_by_marks(cup, volumes, total)
    grown = made.total / total
    return _with_dry(_from_list(made, names, "ml", cup.name, volumes), found, names, grown)


def _by_column(found: Portion, names: Mapping[str, str], cup: PrintedCup) -> Pouring:
    """Fill by the printed column; a reducer is not on it and is measured after."""
    volumes = _volumes(found, names)
    mixed = {line.key: volumes[line.key] for line in found.lines if not line.dry and not line.added}
    at_least = sum(mixed.values(), Fraction(0))
    column = pour_by_column(cup, mixed, at_least)
    grown = column.total_ml / at_least
    lines = []
    running = Fraction(0)
    for key in [*column.order, *(line.key for line in found.lines if line.added)]:
        amount = volumes[key] * grown
        running += amount
        mark = f"to its mark {column.mark}" if key == column.order[0] else f"to the next {column.mark}"
        said = mark if key in mixed else "measured apart"
        lines.append(Poured(key, names[key], amount, amount, "ml", running, said))
    how = f"The {column.column} column: " + ", then ".join(
        f"{names[key]} to {'its mark' if key == column.order[0] else 'the next'} {column.mark}" for key in column.order
    )
    made = Pouring(f"{cup.name}, {column.column} column", tuple(lines), f"{_short(running)} ml", f"{how}.")
    return _with_dry(made, found, names, grown)


def _by_heights(found: Portion, names: Mapping[str, str], cup: CalibratedCup) -> Pouring:
    volumes = _volumes(found, names)
    total = sum(volumes.values(), Fraction(0))
    for height in cup.mark_totals(volumes, _MARK_OFF):
        whole = cup.volume_at(height).low
        if whole < total:
            continue
        marks = cup.fill(volumes, height, _MARK_OFF)
        lines, before = [], Fraction(0)
        for key, mark in marks.items():
            reading = cup.volume_at(mark).low
            wanted = volumes[key] * whole / total
            lines.append(
                Poured(key, names[key], wanted, reading - before, "ml", reading, f"to the {told(mark)} mm mark")
            )
            before = reading
        made = Pouring(cup.name, tuple(lines), f"{_short(whole)} ml", f"Fill to the marks, {told(height)} mm in all.")
        return _with_dry(made, found, names, whole / total)
    raise SprayoutError(
        f"no filling of {cup.name} with {_short(total)} ml or more ends every part at a weighed mark",
        "Weigh more marks (sprayout cups weigh), take a cup with columns, or use the scale.",
    )


def _untooled(found: Portion, names: Mapping[str, str]) -> Pouring:
    unit: Unit = "ml" if found.basis == "volume" else "g"
    amounts = {
        line.key: _known(line.ml if unit == "ml" else line.g, unit, names[line.key])
        for line in found.lines
        if not line.dry or unit == "g"
    }
    made = pour_list(amounts, _TENTH)
    quiet = replace(_from_list(made, names, unit, "", amounts), warnings=())
    quiet = replace(quiet, lines=tuple(replace(line, warning="") for line in quiet.lines))
    return _with_dry(quiet, found, names, Fraction(1)) if unit == "ml" else quiet


def _from_list(
    made: PourList, names: Mapping[str, str], unit: Unit, tool: str, amounts: Mapping[str, Fraction]
) -> Pouring:
    for one in made.pours:
        if not one.pour:
            raise SprayoutError(
                f"{names[one.name]}: {_short(one.exact)} {unit} does not show in steps of {_short(made.step)} {unit}",
                f"Make {_short(made.smallest_fine)} {unit} or more, or thin it first.",
            )
    fine = f"make {_short(made.smallest_fine)} {unit} or more, or thin it first"
    lines = tuple(
        Poured(
            one.name, names[one.name], one.exact, one.pour, unit, one.reading,
            warning=f"too little for steps of {_short(made.step)} {unit}: {fine}" if one.too_small else "",
        )
        for one in made.pours
    )  # fmt: skip
    warnings = tuple(f"{line.name}: {line.warning}" for line in lines if line.warning)
    return Pouring(tool, lines, f"{_short(made.total)} {unit}", warnings=warnings)


def _with_dry(made: Pouring, found: Portion, names: Mapping[str, str], grown: Fraction) -> Pouring:
    """Add what is weighed dry: it stands beside the cup's own readings."""
    dry = []
    for line in found.lines:
        if line.dry:
            grams = _known(line.g, "g", names[line.key]) * grown
            dry.append(
                Poured(line.key, names[line.key], grams, _to(grams, Fraction(1, 100)), "g", None, "weighed apart")
            )
    return replace(made, lines=(*made.lines, *dry))


def _grown(pouring: Pouring, found: Portion) -> Fraction:
    """Return how much more a list makes than was asked for: a cup is filled to its next mark."""
    first = next(line for line in pouring.lines if line.reading is not None)
    asked = next(line for line in found.lines if line.key == first.key)
    return first.exact / _known(asked.ml if first.unit == "ml" else asked.g, first.unit, first.name)


def _dropped(line: Line, name: str, dropper: Dropper, grown: Fraction) -> Poured:
    ml = _known(line.ml, "ml", name) * grown
    drops = drops_for(dropper, ml)
    off = f", {told(100 * drops.off, 1)} % off" if drops.off else ""
    return Poured(line.key, name, ml, drops.ml, "ml", None, f"{drops.count} drops of {dropper.name}{off}")


def _volumes(found: Portion, names: Mapping[str, str]) -> dict[str, Fraction]:
    return {line.key: _known(line.ml, "ml", names[line.key]) for line in found.lines if not line.dry}


def _known(amount: Fraction | None, unit: str, name: str) -> Fraction:
    if amount is None:
        raise SprayoutError(
            f"{name} cannot be told in {unit}: its density is not known",
            f'Record it: sprayout material "{name}" --density G/ML.',
        )
    return amount


def _name(key: str, find: Find) -> str:
    document = find(key)
    return document.name if document else f"…{key[-6:]}"


def _to(value: Fraction, step: Fraction) -> Fraction:
    return round(value / step) * step or value


def _short(value: Fraction) -> str:
    """Return an amount for reading: exact where three digits say it, else rounded to them."""
    return told(value, 3)


def _printed(line: Poured) -> PourLine:
    drops = line.said if " drops of " in line.said else ""
    notes = "; ".join(text for text in (line.said, line.warning) if text)
    return PourLine(
        line.name,
        decimal_text(_tidy(line.amount)),
        line.unit,
        decimal_text(_tidy(line.reading)) if line.reading is not None and not drops else "",
        Strain("pour", line.strain_um) if line.strain_um else None,
        "",
        notes,
    )


def _tidy(value: Fraction) -> Fraction:
    """Return what can be printed: a thousandth is finer than any cup or scale here, and the batch keeps its own."""
    return round(value * 1000) * Fraction(1, 1000)
