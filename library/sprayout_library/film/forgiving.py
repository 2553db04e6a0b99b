"""How forgiving a mix is: what one coat more or less, or a heavier hand, moves; over one ground beside another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_library.film.knowing import known, trial_mix
from sprayout_library.film.looks import chosen_grounds
from sprayout_library.film.words import counted_coats, counts_from_words
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Forgiveness

__all__ = ["Forgiven", "Forgiving", "forgiving"]


@dataclass(frozen=True, slots=True)
class Forgiven:
    """What moves a mix at one count of coats over one ground, dE00 at the worst geometry.

    one_more, one_less   one whole coat; one_less is None at the first
    heavy, light         10 % more, 10 % less film over all coats
    words                how forgiving that is
    """

    ground: str
    coats: float
    one_more: float
    one_less: float | None
    heavy: float
    light: float
    words: str

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "ground": self.ground,
            "coats": self.coats,
            "one_more": round(self.one_more, 3),
            "one_less": None if self.one_less is None else round(self.one_less, 3),
            "heavy": round(self.heavy, 3),
            "light": round(self.light, 3),
            "words": self.words,
        }


@dataclass(frozen=True, slots=True)
class Forgiving:
    """A mix over one or several grounds: rows by ground, and how the grounds stand to each other in words."""

    name: str
    geometries: tuple[str, ...]
    rows: tuple[tuple[Forgiven, ...], ...]
    beside: tuple[str, ...]
    notes: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "mix": self.name,
            "geometries": list(self.geometries),
            "grounds": [one.data() for row in self.rows for one in row],
            "beside": list(self.beside),
            "notes": list(self.notes),
        }


def forgiving(
    store: Store,
    names: Names,
    mix: str,
    over: Sequence[str] = (),
    coats: str = "2,3,4,5,6",
    geometry: str | None = None,
) -> Forgiving:
    """Return how forgiving a mix (a name or a line) is over grounds, in this shop's own film.

    over      every ground that has a reading where none is named
    geometry  only this one; else all that panels and all these grounds were read in, the worst counting

    Raises SprayoutError with what is missing.
    """
    from sprayout_core.film import forgiveness, geometry_of
    from sprayout_library.record.between import views_of

    knowledge = known(store)
    trial = trial_mix(store, names, knowledge, mix)
    first = geometry_of(geometry or knowledge.geometries()[0]).name
    grounds = chosen_grounds(names, knowledge, over, first)
    shared = [at for at in knowledge.geometries() if all(at in one.readings for one in grounds)]
    chosen = [first] if geometry or not shared else shared
    counts = counts_from_words(coats)
    film = knowledge.learned.of_film(knowledge.shop).value
    (view,) = views_of(store, [])
    found: list[tuple[Forgiveness, ...]] = []
    for ground in grounds:
        found.append(
            forgiveness(knowledge.learned, ground, trial.shares, [count * film for count in counts], chosen, view)
        )
    rows = tuple(tuple(_told(one, count) for one, count in zip(row, counts, strict=True)) for row in found)
    notes = [*trial.notes, *(f"{one.name} was read bare and converted to cleared" for one in grounds if one.converted)]
    notes += [f"{one.name} was never read: computed from what was read of its parts" for one in grounds if one.computed]
    beside = _beside(found, counts) if len(found) > 1 else ()
    return Forgiving(trial.name, tuple(chosen), rows, beside, tuple(notes))


def _told(one: Forgiveness, coats: float) -> Forgiven:
    less = one.one_less if coats > 1 else None
    return Forgiven(one.ground, coats, one.one_more, less, one.heavy, one.light, one.words)


def _beside(found: Sequence[Sequence[Forgiveness]], counts: Sequence[float]) -> tuple[str, ...]:
    """Say how the most and the least forgiving ground stand to each other, at the middle count of coats."""
    from sprayout_core.film import compared

    place = len(counts) // 2
    row = sorted((one[place] for one in found), key=lambda one: one.one_more)
    said = compared(row[0], row[-1])
    return (said.replace(f"after coat {row[0].coats:g}", f"after {counted_coats(counts[place])}"),)
