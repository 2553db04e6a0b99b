"""The stock wall: each dye neat over the shop's baseline grounds, and which of those panels do not exist yet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from sprayout_core.errors import SprayoutError
from sprayout_library.index.opened import Index, Known
from sprayout_library.index.rows import key, text_of
from sprayout_library.index.slim import Panel, decoder

__all__ = ["TAGS", "Place", "baseline_grounds", "stock_wall"]

TAGS = ("baseline ground", "ground")
"""The tags that make a ground one of the wall: the first where anything bears it, else the second."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place on the wall: a dye over a ground, its panels, and which of those were measured.

    mixes   the formulas that are this dye neat: what would be sprayed
    """

    dye: Known
    ground: Known
    panels: tuple[Known, ...]
    mixes: tuple[Known, ...]

    @property
    def measured(self) -> tuple[Known, ...]:
        """The panels that have a reading."""
        return tuple(panel for panel in self.panels if panel.readings)


def baseline_grounds(index: Index, named: Sequence[str] = ()) -> list[Known]:
    """Return the grounds of the wall: those named, else what is tagged as a baseline ground.

    Raises SprayoutError where there is none.
    """
    if named:
        return [index.named(name, "material", "formula") for name in named]
    for tag in TAGS:
        query = "SELECT id, tags FROM doc WHERE kind IN ('material', 'formula') AND withdrawn = 0 AND tags LIKE ?"
        raw = [raw for raw, tags in index.rows(query, (f"%{tag}%",)) if tag in tags.casefold().split("\n")]
        if found := [one for name in raw if (one := index.get(text_of(name)))]:
            return sorted(found, key=lambda one: (one.name.casefold(), one.id))
    raise SprayoutError(
        "no ground is tagged as one of the wall",
        f'Tag your usual grounds: sprayout material NAME --tag "{TAGS[0]}", or name them with --over.',
    )


def stock_wall(index: Index, content: Callable[[str], bytes | None], grounds: Iterable[Known]) -> list[Place]:
    """Return every place of the wall, dye by dye.

    content   gives the stored form of a panel by its id
    """
    over = list(grounds)
    wall = []
    for dye in index.all_of("material"):
        if dye.role != "dye" or dye.withdrawn:
            continue
        neat = _neat(index, dye)
        panels = _panels(index, content, neat)
        mixes = tuple(one for name in sorted(neat) if (one := index.get(name)) and not one.withdrawn)
        wall += [Place(dye, ground, tuple(panels.get(ground.id, ())), mixes) for ground in over]
    return wall


def _neat(index: Index, dye: Known) -> set[str]:
    """Return the formulas that hold this dye and nothing else."""
    rows = index.rows("SELECT formula, exact FROM share WHERE material = ? AND value > 0.999999", (key(dye.id),))
    return {text_of(formula) for formula, exact in rows if exact == "1"}


def _panels(index: Index, content: Callable[[str], bytes | None], neat: set[str]) -> dict[str, list[Known]]:
    """Return, by ground, the panels whose coats are all one of these formulas."""
    found: dict[str, list[Known]] = {}
    for name in sorted({panel for formula in neat for panel in index.panels_of(formula)}):
        raw, one = content(name), index.get(name)
        if raw is None or one is None or one.withdrawn:
            continue
        panel: Panel = decoder("panel").decode(raw)
        if panel.ground and panel.coats and all(coat.formula in neat for coat in panel.coats):
            found.setdefault(panel.ground.id, []).append(one)
    return found
