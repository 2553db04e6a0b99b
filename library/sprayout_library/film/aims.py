"""The colour to reach, in painters' words: a panel, a typed colour, a card; "but lighter, not redder"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sprayout_core.documents import Piece
from sprayout_core.errors import SprayoutError
from sprayout_library.film.reading_of import Seen, in_words, seen_of
from sprayout_library.film.words import lab_from_words
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words
from sprayout_library.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import Target
    from sprayout_core.light import View

    Array = npt.NDArray[np.float64]

__all__ = ["Aim", "Wish", "aim", "aim_at_piece", "wish_from_words"]

#: What each word moves, for one CIELAB unit of it.
_MOVES: Mapping[str, tuple[str, float]] = {
    "lighter": ("lighter", 1.0), "darker": ("lighter", -1.0), "deeper": ("lighter", -1.0),
    "redder": ("redder", 1.0), "greener": ("redder", -1.0),
    "yellower": ("yellower", 1.0), "bluer": ("yellower", -1.0),
    "warmer": ("yellower", 1.0), "cooler": ("yellower", -1.0),
    "cleaner": ("cleaner", 1.0), "duller": ("cleaner", -1.0), "greyer": ("cleaner", -1.0),
}  # fmt: skip
_STEPS = {"": 3.0, "a little": 1.5, "slightly": 1.5, "a bit": 1.5, "much": 6.0, "a lot": 6.0}
_WISH = re.compile(
    r"(?:(not|no)\s+)?(?:([0-9]+(?:[.,][0-9]+)?)\s+)?((?:a little|a bit|a lot|slightly|much)\s+)?([a-z]+)"
)


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a colour: CIELAB steps by what they move, and ways it must not go.

    moves   "lighter", "redder", "yellower", "cleaner" and by how much
    never   words such as "redder": a proposal that goes there is told and stands last
    """

    moves: Mapping[str, float] = field(default_factory=dict)
    never: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """Say what was understood: 3 lighter, not redder."""
        told = [f"{abs(step):g} {_word(name, step)}" for name, step in self.moves.items()]
        return ", ".join([*told, *(f"not {word}" for word in self.never)])

    def broken_by(self, wanted: Array, made: Array) -> list[str]:
        """Return the words of `never` that a colour breaks so far that it shows: by more than 1 dE00 that way alone."""
        from sprayout_core.difference import ciede2000
        from sprayout_core.film import target_from_lab, wished

        said = []
        for word in self.never:
            name, sign = _MOVES[word]
            step = sign * max(sign * _steps(wanted, made)[name], 0.0)
            moved = wished(target_from_lab({"45:0": wanted}), **{name: step}).colours["45:0"]
            if float(ciede2000(wanted, moved)) > 1.0:
                said.append(word)
        return said


@dataclass(frozen=True, slots=True)
class Aim:
    """A colour to reach.

    name     as it was asked for
    target   its colours by geometry, in the library's view, with its grade
    start    the colours before any wish moved them, by geometry
    known    what it is known by, in words, with its doubt where the reading says
    wish     what was asked of it beside
    """

    name: str
    target: Target
    start: Mapping[str, Array]
    known: str
    wish: Wish

    @property
    def words(self) -> str:
        """Say what is aimed at: KF-4 but 3 lighter, known by a spectrum."""
        return f"{self.name}{f' but {self.wish.words}' if self.wish.words else ''}, known by {self.known}"


def wish_from_words(text: str) -> Wish:
    """Return a wish from "lighter, not redder", "a little cleaner and 2 darker". Raises SprayoutError."""
    moves: dict[str, float] = {}
    never: list[str] = []
    for part in re.split(r"\s*(?:,(?!\d)|;|\band\b|\bbut\b)\s*", text.strip().lower()):
        if not part:
            continue
        match = _WISH.fullmatch(part)
        if match is None or match[4] not in _MOVES or (match[1] and (match[2] or match[3])):
            known = ", ".join(_MOVES)
            raise SprayoutError(
                f"{part!r} says no direction", f'Write "lighter, not redder", or "2 cleaner". The words: {known}.'
            )
        if match[1]:
            never.append(match[4])
            continue
        name, sign = _MOVES[match[4]]
        amount = float(match[2].replace(",", ".")) if match[2] else _STEPS[(match[3] or "").strip()]
        if name in moves:
            raise SprayoutError(f"{part!r} moves the colour twice in one direction", "Say each direction once.")
        moves[name] = sign * amount
    for word in never:
        name, sign = _MOVES[word]
        if moves.get(name, 0.0) * sign > 0:
            raise SprayoutError(f"{word} and not {word} at once", "Say one of them.")
    return Wish(moves, tuple(dict.fromkeys(never)))


def aim(
    store: Store, names: Names, words: str, geometries: Sequence[str], wish: Wish | None = None, only: str | None = None
) -> Aim:
    """Return what to aim at: a piece ("KF-4", "KF-2/5") or a typed "L* a* b*" in the library's view.

    geometries   those that can be predicted, the commonest first: a typed colour is taken at the first of them
    only         aim at this geometry alone

    Raises SprayoutError for a piece that was not measured, or in none of these geometries.
    """
    lab = lab_from_words(words)
    if lab is None:
        piece = piece_from_words(words, names, store)
        return aim_at_piece(store, names, piece, words, geometries, wish, only)
    from sprayout_core.film import target_from_lab

    if not 0 <= lab[0] <= 130 or max(abs(lab[1]), abs(lab[2])) > 200:
        raise SprayoutError(f"{words!r} is no colour", "Give L* from 0 to 130, a* and b* from -200 to 200.")
    at = only or geometries[0]
    return _moved(words, target_from_lab({at: lab}, _view(store)), f"L*a*b* as typed, taken at {at}", wish)


def aim_at_piece(
    store: Store,
    names: Names,
    piece: Piece,
    words: str,
    geometries: Sequence[str],
    wish: Wish | None = None,
    only: str | None = None,
) -> Aim:
    """Return a measured piece as what to aim at, by the surest grade it is known by in geometries to be predicted."""
    from sprayout_core.film import Grade, target_from_lab

    view = _view(store)
    readings = evidence_of_panels(store, [piece.panel], "reading").readings.get(piece.panel, [])
    here = [one for one in seen_of(readings, view) if (one.zone, one.step) == (piece.zone or "", piece.step or "")]
    if not here:
        raise SprayoutError(f"{words} was not measured", "Take its readings in: sprayout import FILE.csv, or a card.")
    for one in _last_stage_first(here):
        shared = [at for at in one.colours if at in geometries and only in (None, at)]
        if shared:
            grade = Grade.SPECTRUM if one.grade == "spectrum" else Grade.COLOUR
            doubt = ""
            if one.grade == "image-derived":
                grade, doubt = Grade.CARD, f", give or take {one.doubt:.1f}"
            target = target_from_lab({at: one.colours[at] for at in shared}, view, grade)
            known = f"{in_words(one.grade)}{doubt}, {one.stage}, at {', '.join(shared)}"
            return _moved(words, target, known, wish)
    measured = ", ".join(dict.fromkeys(at for one in here for at in one.colours))
    if only is not None and not any(only in one.colours for one in here):
        raise SprayoutError(f"{words} was not measured at {only}", f"It was measured at {measured}.")
    wanted = ", ".join(geometries)
    raise SprayoutError(
        f"{words} was measured at {measured}, the panels to learn from at {wanted}", "Measure both in one geometry."
    )


def _last_stage_first(seen: list[Seen]) -> list[Seen]:
    """Return the surest grade first, and within it cleared before bare: what was learned is of cleared panels."""
    order = {"polished": 0, "cleared": 0, "bare": 1}
    grades = list(dict.fromkeys(one.grade for one in seen))
    return sorted(seen, key=lambda one: (grades.index(one.grade), order[one.stage]))


def _moved(words: str, target: Target, known: str, wish: Wish | None) -> Aim:
    from sprayout_core.film import wished

    asked = wish or Wish()
    moved = wished(target, **dict(asked.moves))
    if any(not 0 <= colour[0] <= 130 for colour in moved.colours.values()):
        raise SprayoutError(f"{words} cannot be moved that far", "Ask for less.")
    return Aim(words, moved, target.colours, known, asked)


def _steps(wanted: Array, made: Array) -> dict[str, float]:
    """Return how far one colour lies from another by what each word moves."""
    import numpy as np

    lighter, redder, yellower = (float(step) for step in np.asarray(made) - np.asarray(wanted))
    cleaner = float(np.hypot(made[1], made[2]) - np.hypot(wanted[1], wanted[2]))
    return {"lighter": lighter, "redder": redder, "yellower": yellower, "cleaner": cleaner}


def _word(name: str, step: float) -> str:
    return next(word for word, (moved, sign) in _MOVES.items() if moved == name and sign * step > 0)


def _view(store: Store) -> View:
    from sprayout_library.record.between import views_of

    return views_of(store, [])[0]
