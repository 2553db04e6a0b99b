"""The nearest panels of a library: the arrays of all layers as one, narrowed to what may be compared."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sprayout_core.errors import SprayoutError
from sprayout_library.index.bounded import nearest
from sprayout_library.index.kept import STAGES
from sprayout_library.index.opened import Index, Level
from sprayout_library.index.question import Near
from sprayout_library.index.rows import key, text_of

__all__ = ["nearest_panels", "table_of"]

Array = npt.NDArray[np.float64]
Conditions = tuple[tuple[str, int], ...]


@dataclass(frozen=True, eq=False, slots=True)
class Table:
    """Every spot that has a colour under all conditions.

    colours  L*, a*, b*, one array for each condition      m arrays (n, 3)
    level    in which layer each spot stands               (n,)
    spot     its number there                              (n,)
    owner    a number for its panel                        (n,)
    """

    colours: list[Array]
    level: npt.NDArray[np.intp]
    spot: npt.NDArray[np.intp]
    owner: npt.NDArray[np.intp]


def table_of(index: Index, conditions: Conditions, stage: str = "") -> Table:
    """Return the spots with a colour under every condition (geometry, place of the view), of one stage or of all."""
    known = index.kept.get((conditions, stage))
    if isinstance(known, Table):
        return known
    parts = [_of_level(index, number, level, conditions, stage) for number, level in enumerate(index.levels)]
    colours = [np.concatenate([part[2][place] for part in parts]) for place in range(len(conditions))]
    numbers = np.concatenate([np.full(part[0].size, number) for number, part in enumerate(parts)])
    spots = np.concatenate([part[0] for part in parts]).astype(np.intp)
    start, owners = 0, []
    for level, part in zip(index.levels, parts, strict=True):
        owners.append(part[1].astype(np.intp) + start)
        start += level.colours.owner().size
    table = Table(colours, numbers, spots, np.concatenate(owners))
    index.kept.clear()  # the last one asked for is enough: a page asks for it again and again
    index.kept[conditions, stage] = table
    return table


def _of_level(
    index: Index, number: int, level: Level, conditions: Conditions, stage: str
) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32], list[Array]]:
    """Return spots, panel numbers and colours of a layer, without what newer layers speak of."""
    kept = level.colours
    found = [kept.lab(geometry, place) for geometry, place in conditions]
    owner = kept.owner()
    usable = np.ones(owner.size, dtype=bool)
    for rows, lab in found:
        here = np.zeros(owner.size, dtype=bool)
        here[rows[np.isfinite(lab).all(axis=1)]] = True
        usable &= here
    if stage:
        usable &= kept.coded("stage") == STAGES.index(stage)
    newer = {raw for above in index.levels[:number] for raw in above.touched()}
    for raw in newer:
        for (spot,) in level.db.execute("SELECT n FROM spot WHERE panel = ?", (raw,)):
            usable[spot] = False
    spots = np.flatnonzero(usable).astype(np.int32)
    colours = [lab if spots.size == rows.size else lab[np.searchsorted(rows, spots)] for rows, lab in found]
    return spots, owner[spots], colours


def nearest_panels(
    index: Index, near: Near, count: int, inside: Collection[str] | None = None
) -> list[tuple[str, str, float]]:
    """Return the nearest panels: id, which spot of it in words, largest CIEDE2000 over the target's conditions.

    inside   only these panels; all where None
    """
    target = near.target
    conditions = tuple(sorted(target.labs))
    stage = near.stage or target.stage
    if stage and stage not in STAGES:
        raise SprayoutError(f"{stage!r} is no stage", f"Use one of: {', '.join(STAGES)}.", place="stage")
    table = table_of(index, conditions, stage)
    wanted = np.array([target.labs[condition] for condition in conditions])
    colours, rows = table.colours, np.arange(table.owner.size)
    if inside is not None:
        rows = _inside(index, table, inside)
        colours = [one[rows] for one in colours]
    found, differences = nearest(wanted, colours, count + bool(target.itself), table.owner[rows])
    told = []
    for row, difference in zip(rows[found].tolist(), differences.tolist(), strict=True):
        panel, spot = _spot(index, table, row)
        if panel != target.itself and (near.within is None or difference <= near.within):
            told.append((panel, spot, difference))
    return told[:count]


def _inside(index: Index, table: Table, panels: Collection[str]) -> npt.NDArray[np.intp]:
    allowed = np.zeros(table.owner.size, dtype=bool)
    for number, level in enumerate(index.levels):
        here = np.zeros(level.colours.owner().size, dtype=bool)
        for panel in panels:
            for (spot,) in level.db.execute("SELECT n FROM spot WHERE panel = ?", (key(panel),)):
                here[spot] = True
        mine = table.level == number
        allowed[mine] = here[table.spot[mine]]
    return np.flatnonzero(allowed)


def _spot(index: Index, table: Table, row: int) -> tuple[str, str]:
    level = index.levels[int(table.level[row])]
    query = "SELECT panel, zone, step, stage, grade FROM spot WHERE n = ?"
    raw, zone, step, stage, grade = level.db.execute(query, (int(table.spot[row]),)).fetchone()
    said = (zone.replace("_", " "), f"step {step}" if step else "", stage, grade)
    return text_of(raw), ", ".join(part for part in said if part)
