"""Panels that two shops have both measured, and how their readings agree."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.compare import Naming
from sprayout_core.documents import Reading
from sprayout_core.errors import SprayoutError
from sprayout_library.record.between import manifest_of
from sprayout_library.record.measured import colours_of, default_view
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.reading import Agreement

__all__ = ["SharedPanels", "agreements"]


@dataclass(frozen=True, slots=True)
class SharedPanels:
    """The agreement at one stage, grade and geometry, and the panels it rests on, in order."""

    said: str
    agreement: Agreement
    panels: tuple[str, ...]

    def data(self, name: Naming) -> dict[str, Any]:
        """Return it as plain members for JSON."""
        one = self.agreement
        return {
            "of": self.said,
            "panels": [name(panel) for panel in self.panels],
            "bias": [round(float(value), 4) for value in one.bias],
            "bias_size": round(one.bias_size, 4),
            "bias_chance": None if one.bias_chance is None else round(one.bias_chance, 4),
            "spread": round(one.spread, 4),
            "mean": round(one.mean, 4),
            "largest": round(one.largest, 4),
        }


def agreements(store: Store, ours: str, theirs: str) -> list[SharedPanels]:
    """Return the agreement of two shops at every stage, grade and geometry that both measured the same spots at.

    Raises SprayoutError where fewer than two spots are shared.
    """
    import numpy as np

    from sprayout_core.reading import agreement

    by_shop: dict[str, list[Reading]] = defaultdict(list)
    for reading in store.documents("reading"):
        if isinstance(reading, Reading) and reading.provenance.shop in (ours, theirs):
            by_shop[reading.provenance.shop].append(reading)
    view = default_view(manifest_of(store))
    first, second = (
        {
            (one.spot, geometry): seen.lab
            for one in colours_of(by_shop[shop], view)
            for geometry, seen in one.seen.items()
        }
        for shop in (ours, theirs)
    )
    groups: dict[str, list[tuple[str, Any, Any]]] = defaultdict(list)
    for (spot, geometry), lab in sorted(first.items()):
        if (spot, geometry) in second:
            groups[f"{spot.stage}, {spot.grade}, {geometry}, {view}"].append((spot.panel, lab, second[spot, geometry]))
    found = []
    for said, pairs in sorted(groups.items()):
        if len(pairs) > 1:
            panels, one, other = zip(*pairs, strict=True)
            found.append(SharedPanels(said, agreement(np.array(one), np.array(other)), panels))
    if not found:
        raise SprayoutError(
            "fewer than two panels were measured alike by both shops",
            "Send panels round, measure them at the same stage and geometry, and sync.",
        )
    return found
