"""A colour laid beside a step card: what both are known by, the count, and what one more coat would do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.film.gathering import GRID
from sprayout_library.film.reading_of import METERS, Seen, in_words
from sprayout_library.store import Store

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import CoatCount, NextCoats, StepCard
    from sprayout_core.light import View

    Array = npt.NDArray[np.float64]

__all__ = ["LEAST_STEPS", "Counted", "Laid", "Wishes", "beside_card", "beside_learned", "linear_light"]

#: A card with fewer measured steps says too little of how a colour runs with coats.
LEAST_STEPS = 3
_METER_NOISE = 2e-3
_FAINT = 1e-4
#: Misfit up to which a colour counts as one of the card's: beyond it no advice is given.
_FITS = 5.0
#: A ground a little lighter, or another hand, misses by 5 to 10 times the noise; another mix or ground by far more.
_UNLIKE = 15.0


@dataclass(frozen=True, slots=True)
class Counted:
    """How many coats of a card a piece comes to.

    piece       as it was asked for
    card        the step card's name; "" where it was predicted from what was learned
    grade       what the piece is known by
    geometries  that entered, as the readings name them
    count       the answer with its intervals
    laid        coats counted on the piece, where anybody knows
    wanted      coats of the standard, where anybody knows
    further     what more coats would do, where both are known
    notes       what a reader should know before believing it
    """

    piece: str
    card: str
    grade: str
    geometries: tuple[str, ...]
    count: CoatCount
    laid: float | None
    wanted: float | None
    further: NextCoats | None
    notes: tuple[str, ...]

    @property
    def alike(self) -> bool:
        """Whether the piece looks like a step of the card at all; where not, its count is of another colour."""
        return self.count.misfit <= _UNLIKE

    @property
    def fits(self) -> bool:
        """Whether it fits so well that its count may be reasoned from."""
        return self.count.misfit <= _FITS

    @property
    def lead(self) -> str:
        """Say how many coats: KF-7 is 2.6 coats of SC-1 (2.4 to 2.8); or that it is none of its steps."""
        low, high = f"{self.count.low:.1f}", f"{self.count.high:.1f}"
        if not self.alike:
            of = f"step of {self.card}" if self.card else "number of coats of its mix"
            return f"{self.piece} looks like no {of}; the nearest is {self.count.coats:.1f} coats"
        of = f"of {self.card}" if self.card else "of its mix"
        return f"{self.piece} is {self.count.coats:.1f} coats {of} ({low} to {high})"

    @property
    def words(self) -> str:
        """Say it in one sentence: KF-7 is 2.6 coats of SC-1 (2.4 to 2.8); your coats are about 15 % heavy; ..."""
        return f"{self.lead}; {self.further.words}" if self.further else self.lead

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        count, further = self.count, self.further
        return {
            "piece": self.piece,
            "card": self.card,
            "grade": self.grade,
            "geometries": list(self.geometries),
            "alike": self.alike,
            "coats": round(count.coats, 3),
            "low": round(count.low, 3),
            "high": round(count.high, 3),
            "film_low": round(count.film_low, 3),
            "film_high": round(count.film_high, 3),
            "laid": self.laid,
            "wanted": self.wanted,
            "heavy": round(further.heavy, 3) if further else None,
            "more": further.best if further else None,
            "remaining": [round(one, 3) for one in further.remaining] if further else [],
            "advice": further.words if further else "",
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class Laid:
    """A colour to be counted, as one grade of reading knows it: see `Seen`."""

    name: str
    grade: str
    stage: str
    spectra: Mapping[str, Array]
    colours: Mapping[str, Array]
    doubt: float


@dataclass(frozen=True, slots=True)
class Wishes:
    """Under which view, coats laid, coats of the standard, and the only geometry wanted; None where nobody said."""

    view: View
    laid: float | None
    wanted: float | None
    geometry: str | None


@dataclass(frozen=True, slots=True)
class _Way:
    """How colours become channels that are linear in light, and channels L*, a*, b*."""

    known: Callable[[Seen | Laid], Mapping[str, Array]]
    channels: Callable[[Array], Array]
    lab: Callable[[Array], Array]


def beside_card(
    asked: Sequence[Laid], card: Panel, steps: Sequence[Seen], wishes: Wishes, notes: Iterable[str] = ()
) -> Counted:
    """Return the count of the surest grade that piece and card were both measured in, within one stage.

    asked   the piece, the surest grade first
    steps   everything known of the card's steps in the piece's zone

    Raises SprayoutError where the card has too few measured steps, and where both were never measured alike.
    """
    steps = [one for one in steps if one.step in (card.steps or {})]
    if len({one.step for one in steps}) < LEAST_STEPS:
        raise SprayoutError(f"{card.name} has fewer than three measured steps", "Measure its steps first.")
    for one in asked:
        for grade in _goes_with(one.grade):
            chosen = _steps_of(card, steps, grade, one.stage)
            way = _bands(wishes.view) if one.grade == grade == "spectrum" else _colours(wishes.view)
            shared = _shared(one, chosen, way, wishes.geometry)
            if len(chosen) >= LEAST_STEPS and shared:
                told = [*notes]
                if grade != one.grade:
                    told.append(f"{one.name} is known by {in_words(one.grade)}, {card.name} by {in_words(grade)}")
                cards = {at: _step_card(chosen, at, way) for at in shared}
                return _answer(one, card.name, cards, way, wishes, told)
    if wishes.geometry is not None and not any(wishes.geometry in one.colours for one in asked):
        had = ", ".join(dict.fromkeys(at for one in asked for at in one.colours))
        raise SprayoutError(f"{asked[0].name} was not measured at {wishes.geometry}", f"It was measured at {had}.")
    raise SprayoutError(
        f"{asked[0].name} and {card.name} were not measured alike: {_how(asked)}, against {_how(steps)}",
        "Measure both in one geometry, bare or cleared alike; a card in a picture is never laid beside a meter.",
    )


def beside_learned(store: Store, panel: Panel, zone: str, asked: Sequence[Laid], wishes: Wishes) -> Counted:
    """Return the count by a step card predicted from what the library's panels teach, where no card was sprayed.

    Raises SprayoutError where nothing was learned of its mix or its ground, with the card to spray.
    """
    import numpy as np

    from sprayout_core.film import StepCard, Trial, predicted_card
    from sprayout_library.film.knowing import known

    remedy = "Name a step card (--card), or spray one: sprayout panel RECIPE --steps 0,1,2,4"
    try:
        knowledge = known(store)
    except SprayoutError:
        raise SprayoutError("there is no step card of this mix over this ground", remedy) from None
    called = knowledge.gathered.called.get(panel.id)
    own = [one for one in knowledge.gathered.steps if one.panel == called]
    one = next((one for one in asked if one.grade == "spectrum"), None)
    way = _bands(wishes.view)
    shared = [at for at in (one.spectra if one else {}) if any(step.geometry == at for step in own)]
    shared = [at for at in shared if wishes.geometry in (None, at)]
    if one is None or not shared:
        raise SprayoutError("there is no step card of this mix over this ground", remedy)
    step = own[0]
    trial = Trial(step.ground, step.shares, max(wishes.wanted or 0.0, wishes.laid or 0.0, 4.0))
    made = {at: predicted_card(knowledge.learned, trial, at) for at in sorted(shared)}
    cards = {
        at: StepCard(card.coats, np.maximum(card.channels, _FAINT), card.scatter, card.strength)
        for at, card in made.items()
    }
    note = "no step card of this mix over this ground: counted by what was learned from all panels"
    return _answer(one, "", cards, way, wishes, [note])


def linear_light(lab: Array, view: View) -> Array:
    """Return colours as three channels linear in light, 1 for white: (..., 3)."""
    import numpy as np

    from sprayout_core.light import white, xyz

    reference = np.asarray(white(view, np.array(GRID, dtype=float)))
    found: Array = np.asarray(xyz(np.asarray(lab), reference)) / reference
    return found


def _bands(view: View) -> _Way:
    import numpy as np

    from sprayout_core.light import colour

    nm = np.array(GRID, dtype=float)
    return _Way(lambda one: one.spectra, lambda values: values, lambda values: np.asarray(colour(values, nm, view).lab))


def _colours(view: View) -> _Way:
    import numpy as np

    from sprayout_core.light import lab

    return _Way(
        lambda one: one.colours,
        lambda values: linear_light(values, view),
        lambda values: np.asarray(lab(np.maximum(values, 0.0), np.ones(3))),
    )


def _goes_with(grade: str) -> tuple[str, ...]:
    """Return what a piece of a grade may be laid beside: a meter beside a meter, a picture by itself."""
    return (grade, *(one for one in METERS if one != grade)) if grade in METERS else (grade,)


def _how(seen: Sequence[Laid | Seen]) -> str:
    told = [f"{in_words(one.grade)} {one.stage} at {', '.join(sorted(one.colours))}" for one in seen]
    return " or ".join(dict.fromkeys(told))


def _steps_of(card: Panel, steps: Sequence[Seen], grade: str, stage: str) -> list[tuple[float, Seen]]:
    """Return the steps of a grade, fewest coats first; the bare ground may be of another stage where it has no own."""
    found: dict[float, Seen] = {}
    for one in steps:
        count = float((card.steps or {})[one.step])
        if one.grade == grade and (one.stage == stage or (count == 0 and count not in found)):
            found[count] = one
    return sorted(found.items())


def _shared(one: Laid, steps: Sequence[tuple[float, Seen]], way: _Way, geometry: str | None) -> list[str]:
    shared = [at for at in way.known(one) if all(at in way.known(step) for _, step in steps)]
    return [at for at in sorted(shared) if geometry in (None, at)]


def _step_card(steps: Sequence[tuple[float, Seen]], geometry: str, way: _Way) -> StepCard:
    import numpy as np

    from sprayout_core.film import StepCard

    rows = [way.channels(way.known(one)[geometry]) for _, one in steps]
    return StepCard(np.array([count for count, _ in steps]), np.maximum(np.array(rows), _FAINT))


def _answer(
    one: Laid, card: str, cards: Mapping[str, StepCard], way: _Way, wishes: Wishes, notes: Sequence[str]
) -> Counted:
    import numpy as np

    from sprayout_core.film import StepCard, coats_of, more_coats_seen

    any_card = next(iter(cards.values()))
    whole = StepCard(
        any_card.coats,
        np.concatenate([each.channels for each in cards.values()], axis=1),
        any_card.scatter,
        max(each.strength for each in cards.values()),
    )
    reading = np.concatenate([way.channels(way.known(one)[at]) for at in cards])
    reading = np.maximum(reading, _FAINT)
    count = coats_of(whole, reading, _noise(one, float(reading.mean())))
    further = None
    if wishes.laid and wishes.wanted and count.misfit <= _FITS:
        spoken = {_spoken(at, len(cards)): each for at, each in cards.items()}
        further = more_coats_seen(spoken, count, wishes.laid, wishes.wanted, way.lab)
    return Counted(
        one.name, card, one.grade, tuple(cards), count, wishes.laid, wishes.wanted, further, (*notes, *count.notes)
    )


def _spoken(geometry: str, of: int) -> str:
    """Return where a colour was looked at, as people say it; "" where there is one geometry without an angle."""
    from sprayout_library.record.between import place_words

    words = place_words(geometry)
    return "" if of == 1 and words == f"at {geometry}" else words


def _noise(one: Laid, light: float) -> float:
    """Return the standard uncertainty of a channel: the meter's, or what the reading says of its dE00, in L*."""
    # L* = 116 Y^(1/3) - 16, so dY = 3 Y^(2/3) / 116 dL*.
    return max(_METER_NOISE, float(3.0 * light ** (2.0 / 3.0) / 116.0 * one.doubt / 1.96))
