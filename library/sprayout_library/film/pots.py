"""A cup corrected by adding only: exact amounts that a scale or a cup can show, ranked and explained."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Batch, Material, Panel
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import decimal_text, exact
from sprayout_library.film.aims import Aim, aim
from sprayout_library.film.correcting import sprayed_panel
from sprayout_library.film.gathering import COLOURING
from sprayout_library.film.knowing import Known, known
from sprayout_library.film.looks import chosen_grounds
from sprayout_library.film.reaching import FAR, on_hand
from sprayout_library.film.reading_of import coats_counted
from sprayout_library.film.words import counted_coats
from sprayout_library.record.cups import Shelf, catalysed
from sprayout_library.record.evidence import evidence_for
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, PotCorrection

__all__ = ["AddedTo", "CorrectedPot", "PotAims", "correct_cup"]

_STEPS = {"g": Fraction(1, 10), "ml": Fraction(1, 2)}


@dataclass(frozen=True, slots=True)
class AddedTo:
    """One way to correct a cup.

    additions    what to add: name and exact amount in the cup's unit; empty where nothing helps
    coats        to spray it in
    difference   predicted dE00 to the target at the worst angle
    """

    additions: tuple[tuple[str, Fraction], ...]
    coats: int
    difference: float

    def words(self, unit: str) -> str:
        """Say what to do: add 2.1 g strong teal, 6 g clear carrier; 4 coats."""
        added = ", ".join(f"{decimal_text(amount)} {unit} {name}" for name, amount in self.additions)
        return f"{f'add {added}' if added else 'add nothing'}; {counted_coats(self.coats)}"


@dataclass(frozen=True, slots=True)
class CorrectedPot:
    """A cup, what is in it, what it is to be brought to, and the additions that bring it nearer, best first.

    held     what is in it by name, in its unit
    before   predicted dE00 to the target as it is, in the best count of coats
    """

    cup: str
    unit: str
    held: tuple[tuple[str, Fraction], ...]
    ground: str
    aim: str
    view: str
    before: float
    ways: tuple[AddedTo, ...]
    notes: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON; amounts as exact text."""
        return {
            "cup": self.cup,
            "unit": self.unit,
            "held": {name: _text(amount) for name, amount in self.held},
            "ground": self.ground,
            "aim": self.aim,
            "view": self.view,
            "before": round(self.before, 3),
            "ways": [
                {
                    "additions": {name: decimal_text(amount) for name, amount in one.additions},
                    "coats": one.coats,
                    "difference": round(one.difference, 3),
                    "words": one.words(self.unit),
                }
                for one in self.ways
            ],
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class PotAims:
    """What a cup is to be brought to, as far as anybody said.

    panel    a panel sprayed from it: its recipe's standard, ground and coats count; by default the last one there is
    toward   a piece or "L* a* b*", instead of the standard
    over     the ground, where there is no panel
    coats    to spray, neither more nor fewer; where nobody said, those of the panel, one fewer and one more
    """

    panel: str | None = None
    toward: str | None = None
    over: str | None = None
    coats: int | None = None


def correct_cup(
    store: Store,
    names: Names,
    batch: Batch,
    aims: PotAims,
    dyes: Sequence[str] = (),
    step: Fraction | None = None,
    holds: Fraction | None = None,
) -> CorrectedPot:
    """Return what to add to a cup, and nothing to take out, so that it comes nearer to its standard.

    dyes    others on hand, beside those in the cup
    step    of the scale or the cup's marks, in the cup's unit: additions are whole steps of it
    holds   what the cup holds, in its unit

    Raises SprayoutError where hardener is in it, where it is empty, where grams have no density, and with what is
    missing of standard, ground or coats.
    """
    from sprayout_core.film import Means, correct_pot

    shelf = Shelf(store)
    unit = shelf.unit(batch.id)
    held = shelf.left_in(batch.id)
    if catalysed(batch, shelf):
        raise SprayoutError(f"hardener is in {batch.label}", "Nothing is added to it any more: mix a new cup.")
    if not held:
        raise SprayoutError(f"{batch.label} is empty", "Pour the mix anew.")
    knowledge = known(store)
    aimed, ground, coats, notes = _aimed(store, names, knowledge, batch, aims)
    inside = _Inside.of(store, shelf, knowledge, held, unit)
    extra = [text for text in dyes if names.find(text, "material").id not in inside.dyes]
    hand = on_hand(store, names, knowledge, [*inside.dyes, *extra], inside.carrier)
    step = step or _STEPS[unit]
    counts = (coats,) if aims.coats else tuple(range(max(coats - 1, 1), coats + 2))
    means = Means(hand.dyes, (ground,), counts, solids=hand.solids, shop=store.facts.get("shop") or "")
    density = {name: _density(names, shelf, _real(name, hand.carrier), unit) for name in (*hand.dyes, "carrier")}
    steps = {name: float(step / density[name]) for name in density}
    room = (holds - sum(held.values(), Fraction(0))) if holds is not None else None
    if room is not None and room <= 0:
        raise SprayoutError(f"{batch.label} is full", "Pour some out, or into a larger cup, first.")
    found = correct_pot(
        knowledge.learned, inside.pot(hand.solids), aimed.target, means, steps,
        None if room is None else float(room / max(density.values())),
    )  # fmt: skip
    far = all(one.difference > FAR for one in found)
    told = ["nothing that is added brings it near: pour another mix"] if far else []
    told += [*notes, *inside.notes, *hand.notes]
    if batch.spray_ready:
        told.append(f"the cup is ready for {batch.spray_ready}: reduce what you add in the same way")
    return CorrectedPot(
        batch.label or f"…{batch.id[-6:]}", unit, tuple((names.label(key), amount) for key, amount in held.items()),
        ground.name, aimed.words, str(aimed.target.view), found[0].before,
        tuple(_way(one, steps, step, hand.carrier) for one in found), tuple(told),
    )  # fmt: skip


def _aimed(
    store: Store, names: Names, knowledge: Known, batch: Batch, aims: PotAims
) -> tuple[Aim, Ground, int, tuple[str, ...]]:
    """Return target, ground, coats and notes: from the panel sprayed from the cup, or as they were said."""
    panel = aims.panel or (None if aims.over else _last_panel(store, names, batch))
    if panel is not None:
        sprayed = sprayed_panel(store, names, knowledge, panel, aims.toward)
        assert sprayed.panel.ground is not None
        ground = knowledge.ground(sprayed.panel.ground.id, names.label(sprayed.panel.ground.id))
        counted = aims.coats or coats_counted(sprayed.panel, sprayed.piece)
        if not counted:
            raise SprayoutError(f"nobody is sure how many coats {panel} has", "Say how many are wanted: --coats 4")
        return sprayed.aim, ground, int(counted), (f"learned from {panel} too", *sprayed.notes)
    if not (aims.toward and aims.over and aims.coats):
        raise SprayoutError(
            f"no panel was sprayed from {batch.label}",
            "Name one with --panel, or say all three: --toward PANEL --over GROUND --coats 4",
        )
    aimed = aim(store, names, aims.toward, knowledge.geometries())
    (ground,) = chosen_grounds(names, knowledge, [aims.over], next(iter(aimed.target.colours)))
    return aimed, ground, aims.coats, ()


def _last_panel(store: Store, names: Names, batch: Batch) -> str | None:
    panels = [
        one
        for one in evidence_for(store, "panel").panels.values()
        if one.withdrawn is None and any(coat.batch == batch.id for coat in one.coats or [])
    ]
    return names.label(max(panels, key=_sprayed).id) if panels else None


def _sprayed(panel: Panel) -> tuple[str, str]:
    return panel.sprayed_at or panel.provenance.at, panel.id


@dataclass(frozen=True, slots=True)
class _Inside:
    """What colours in a cup and what gives it body, by volume; a reducer leaves no film.

    dyes       millilitres of each colouring material by id, `called` its name in what was learned
    bodied     millilitres of each other material by its name, with its volume solids where known
    """

    dyes: Mapping[str, Fraction]
    called: Mapping[str, str]
    bodied: Mapping[str, tuple[Fraction, Fraction | None]]
    notes: tuple[str, ...]

    @classmethod
    def of(cls, store: Store, shelf: Shelf, knowledge: Known, held: Mapping[str, Fraction], unit: str) -> _Inside:
        dyes, called, bodied = {}, {}, {}
        notes: list[str] = []
        for key, amount in held.items():
            material = store.find(key)
            assert isinstance(material, Material)
            if material.role == "reducer":
                notes.append(f"{material.name} leaves no film and does not count")
                continue
            ml = amount / shelf.density(key) if unit == "g" else amount
            if material.role in COLOURING:
                dyes[key], called[key] = ml, knowledge.gathered.name(material)
            else:
                known = material.volume_solids_percent
                bodied[material.name] = (ml, exact(known) / 100 if known is not None else None)
        if not dyes:
            raise SprayoutError("nothing in this cup colours", "A cup of carrier cannot be brought to a colour.")
        return cls(dyes, called, bodied, tuple(notes))

    @property
    def carrier(self) -> str | None:
        """What there is most of beside the dyes."""
        return max(self.bodied, key=lambda name: self.bodied[name][0]) if self.bodied else None

    def pot(self, solids: Mapping[str, float]) -> dict[str, float]:
        """Return millilitres by dye and of the carrier; other carriers count by their solids where all are known."""
        pot = {self.called[key]: float(ml) for key, ml in self.dyes.items()}
        body = 0.0
        for ml, own in self.bodied.values():
            body += float(ml) * (float(own) / solids["carrier"] if solids and own is not None else 1.0)
        return pot | {"carrier": body}


def _real(name: str, carrier: str) -> str:
    return carrier if name == "carrier" else name


def _density(names: Names, shelf: Shelf, name: str, unit: str) -> Fraction:
    """Return grams of one millilitre where the cup is weighed, else 1."""
    if unit == "ml" or not names.matching(name, "material"):
        return Fraction(1)
    return shelf.density(names.find(name, "material").id)


def _way(one: PotCorrection, steps: Mapping[str, float], step: Fraction, carrier: str) -> AddedTo:
    added = [(_real(name, carrier), step * round(amount / steps[name])) for name, amount in one.additions.items()]
    return AddedTo(tuple(added), one.coats, one.difference)


def _text(amount: Fraction) -> str:
    return f"{float(amount):.2f}"
