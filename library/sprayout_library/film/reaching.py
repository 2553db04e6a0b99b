"""Ways to a colour: which dyes, which carrier, over which ground, in how many coats, ranked and explained."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Formula, Material
from sprayout_core.errors import SprayoutError
from sprayout_core.ratio import exact
from sprayout_library.film.aims import Aim, Wish, aim
from sprayout_library.film.knowing import Known, known
from sprayout_library.film.looks import chosen_grounds
from sprayout_library.film.words import counts_from_words
from sprayout_library.record.names import Names
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, Proposal

__all__ = ["FAR", "OnHand", "Reached", "Way", "on_hand", "reach", "towards"]

_SHOWN = 5
_LOOKED_AT = 20
#: Beyond this dE00 a way leads to another colour.
FAR = 5.0


@dataclass(frozen=True, slots=True)
class Way:
    """One way to a colour.

    parts        whole parts by name, the carrier by its own
    line         the mix as it is typed: 3 weak teal : 1 strong teal : 12 clear carrier
    difference   predicted dE00 to the target at the worst angle
    expected     dE00 to be expected of a sprayed panel there, all uncertainties in
    worst        the worst angle, as people say it
    towards      in words how the prediction differs from the target there
    against      ways it goes that were not wanted, such as "redder"
    reasons      why it stands where it stands, and what it rests on
    """

    parts: Mapping[str, int]
    line: str
    ground: str
    coats: int
    difference: float
    expected: float
    worst: str
    towards: str
    against: tuple[str, ...]
    reasons: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "parts": dict(self.parts),
            "line": self.line,
            "ground": self.ground,
            "coats": self.coats,
            "difference": round(self.difference, 3),
            "expected": round(self.expected, 3),
            "worst": self.worst,
            "towards": self.towards,
            "against": list(self.against),
            "reasons": list(self.reasons),
        }


@dataclass(frozen=True, slots=True)
class Reached:
    """What was aimed at, the ways there best first, and what was assumed for all of them."""

    aim: str
    view: str
    ways: tuple[Way, ...]
    notes: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        ways = [one.data() for one in self.ways]
        return {"aim": self.aim, "view": self.view, "ways": ways, "notes": list(self.notes)}


@dataclass(frozen=True, slots=True)
class OnHand:
    """What may be poured: dyes as they were learned, the carrier's name, volume solids where all are known."""

    dyes: tuple[str, ...]
    carrier: str
    solids: Mapping[str, float]
    notes: tuple[str, ...]


def reach(
    store: Store,
    names: Names,
    words: str,
    wish: Wish | None = None,
    *,
    dyes: Sequence[str] = (),
    over: Sequence[str] = (),
    carrier: str | None = None,
    coats: str = "1 to 8",
    parts: int = 12,
    geometry: str | None = None,
) -> Reached:
    """Return ways to a colour from what is on hand.

    words     a piece, or "L* a* b*"; `wish` moves it
    dyes      names of dyes on hand; all that were learned where none is named
    over      names of grounds on hand; every one with a reading where none is named
    carrier   which one gives body; the library's most used where none is named
    parts     most parts in all

    Every whole-number ratio, ground and count of coats is tried. Raises SprayoutError with what is missing.
    """
    from sprayout_core.film import Means, search

    knowledge = known(store)
    aimed = aim(store, names, words, knowledge.geometries(), wish, geometry)
    grounds = _grounds(names, knowledge, over, aimed)
    hand = on_hand(store, names, knowledge, dyes, carrier)
    means = Means(
        hand.dyes, tuple(grounds), tuple(int(count) for count in counts_from_words(coats)), parts,
        solids=hand.solids, shop=store.facts.get("shop") or "",
    )  # fmt: skip
    found = search(knowledge.learned, aimed.target, means, _LOOKED_AT if aimed.wish.never else _SHOWN)
    ways = [_way(one, aimed, hand) for one in found]
    # What goes where it was told not to go stands last, however near it comes.
    kept = sorted(ways, key=lambda way: bool(way.against))
    notes = hand.notes
    if all(way.difference > FAR for way in kept):
        notes = ("nothing on hand comes near it: these are the nearest", *notes)
    return Reached(aimed.words, str(aimed.target.view), tuple(kept[:_SHOWN]), notes)


def on_hand(
    store: Store, names: Names, knowledge: Known, dyes: Sequence[str] = (), carrier: str | None = None
) -> OnHand:
    """Return the dyes and the carrier to pour from. Raises NotKnown, and SprayoutError for what is no carrier."""
    chosen: dict[str, Material] = {}
    for document in _materials(store, names, knowledge, dyes):
        chosen[knowledge.gathered.name(document)] = document
    for dye in chosen:
        knowledge.learned.row(dye)
    bodied = _carrier(store, names, carrier)
    solids: dict[str, float] = {}
    for name, one in [*chosen.items(), *([("carrier", bodied)] if bodied else [])]:
        if one.volume_solids_percent is not None:
            solids[name] = float(exact(one.volume_solids_percent)) / 100
    whole = bodied is not None and len(solids) == len(chosen) + 1
    notes = () if whole else ("volume solids are not all known: taken as equal",)
    return OnHand(tuple(chosen), bodied.name if bodied else "carrier", solids if whole else {}, notes)


def towards(aimed: Aim, made: Mapping[str, Any], geometry: str) -> str:
    """Return in words how a predicted colour differs from what is aimed at, at one geometry."""
    from sprayout_core.difference import words
    from sprayout_library.record.between import place_words

    return f"{words(aimed.target.colours[geometry], made[geometry])} {place_words(geometry)}"


def _materials(store: Store, names: Names, knowledge: Known, dyes: Sequence[str]) -> list[Material]:
    if dyes:
        found = [store.get(names.find(text, "material").id) for text in dyes]
    else:
        learned = set(knowledge.learned.dyes)
        found = [store.find(key) for key, called in knowledge.gathered.called.items() if called in learned]
    return [one for one in found if isinstance(one, Material)]


def _grounds(names: Names, knowledge: Known, over: Sequence[str], aimed: Aim) -> list[Ground]:
    geometries = list(aimed.target.colours)
    found = [
        one
        for one in chosen_grounds(names, knowledge, over, geometries[0])
        if over or all(at in one.readings for at in geometries)
    ]
    if not found:
        raise SprayoutError(
            f"no ground was read at {', '.join(geometries)}", "Measure a piece of one without coats, in each of them."
        )
    return found


def _carrier(store: Store, names: Names, carrier: str | None) -> Material | None:
    """Return the carrier named, or the one that most mixes hold; None where the library has none."""
    if carrier is not None:
        document = store.get(names.find(carrier, "material").id)
        if not isinstance(document, Material) or document.role not in ("carrier", "sealer", "clear"):
            raise SprayoutError(f"{carrier} is no carrier", "Name what gives the mix its body.")
        return document
    carriers = [one for one in store.documents("material") if isinstance(one, Material) and one.role == "carrier"]
    carriers = [one for one in carriers if one.withdrawn is None]
    if len(carriers) < 2:
        return next(iter(carriers), None)
    used: dict[str, int] = {}
    for formula in store.documents("formula"):
        if isinstance(formula, Formula) and formula.mix and formula.mix.items:
            for key in formula.mix.items:
                used[key] = used.get(key, 0) + 1
    return max(carriers, key=lambda one: (used.get(one.id, 0), one.id))


def _broken(one: Proposal, aimed: Aim) -> list[str]:
    told: dict[str, None] = {}
    for made in one.predictions:
        told |= dict.fromkeys(aimed.wish.broken_by(aimed.start[made.geometry], made.lab))
    return list(told)


def _way(one: Proposal, aimed: Aim, hand: OnHand) -> Way:
    from sprayout_library.record.between import place_words

    parts = {hand.carrier if name == "carrier" else name: count for name, count in one.parts.items() if count}
    made = {each.geometry: each.lab for each in one.predictions}
    broken = _broken(one, aimed)
    # The first of core's reasons repeats the numbers; what is assumed of solids is told once for all ways.
    reasons = [reason for reason in one.reasons[1:] if not reason.startswith(("volume solids", "the target is"))]
    return Way(
        parts, " : ".join(f"{count} {name}" for name, count in parts.items()), one.ground.name, one.coats,
        one.difference, one.expected, place_words(one.angle), towards(aimed, made, one.angle), tuple(broken),
        tuple(reasons),
    )  # fmt: skip
