"""A recipe corrected from a panel against its standard: what to change, in lines that can be typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Formula, Material, Panel, Piece, Recipe
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import composition
from sprayout_core.ratio import smallest_integers
from sprayout_library.film.aims import Aim, aim, aim_at_piece
from sprayout_library.film.gathering import COLOURING
from sprayout_library.film.knowing import Known, known
from sprayout_library.film.reaching import FAR, on_hand, towards
from sprayout_library.film.reading_of import seen_of
from sprayout_library.record.about import evidence_of_panels
from sprayout_library.record.evidence import evidence_for
from sprayout_library.record.names import Names
from sprayout_library.record.pieces import piece_from_words, piece_name
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Refined, Written

__all__ = ["CorrectedRecipe", "Correction", "Sprayed", "correct_from_panel", "sprayed_panel"]

_COATS_EITHER_WAY = 1


@dataclass(frozen=True, slots=True)
class Correction:
    """One way to correct a recipe.

    change       what it touches, in words: another body, another dye ratio, other coats; or as written
    lines        the mixes to write anew, as they are typed; empty where none changes
    coats        to spray
    difference   predicted dE00 to the standard at the worst angle; `expected` with all uncertainties in
    towards      in words how the prediction differs there
    """

    change: str
    lines: tuple[str, ...]
    coats: int
    difference: float
    expected: float
    worst: str
    towards: str
    reasons: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "change": self.change,
            "lines": list(self.lines),
            "coats": self.coats,
            "difference": round(self.difference, 3),
            "expected": round(self.expected, 3),
            "worst": self.worst,
            "towards": self.towards,
            "reasons": list(self.reasons),
        }


@dataclass(frozen=True, slots=True)
class CorrectedRecipe:
    """A recipe, the panel that missed, how it missed, and the ways to correct it, best first.

    measured   dE00 between panel and standard at the worst angle, and `missed` in words; None where not comparable
    """

    recipe: str
    panel: str
    ground: str
    aim: str
    view: str
    measured: float | None
    missed: str
    ways: tuple[Correction, ...]
    notes: tuple[str, ...]

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "recipe": self.recipe,
            "panel": self.panel,
            "ground": self.ground,
            "aim": self.aim,
            "view": self.view,
            "measured": None if self.measured is None else round(self.measured, 3),
            "missed": self.missed,
            "ways": [one.data() for one in self.ways],
            "notes": list(self.notes),
        }


@dataclass(frozen=True, slots=True)
class Sprayed:
    """A panel that was read, its recipe, and what it is to be brought to."""

    piece: Piece
    panel: Panel
    recipe: Recipe
    aim: Aim
    notes: tuple[str, ...]


def correct_from_panel(
    store: Store, names: Names, recipe: str, panel: str, toward: str | None = None, dyes: Sequence[str] = ()
) -> CorrectedRecipe:
    """Return how to correct a recipe from a panel of it that missed its standard.

    toward   what to reach instead of the recipe's standard over the panel's ground: a piece or "L* a* b*"
    dyes     others on hand that may come in as a shade

    The panel is among those that everything is learned from; what it missed by is laid to dyes and film as far as
    they are unsure. Raises SprayoutError with what is missing.
    """
    from sprayout_core.film import Means, refine

    held = store.get(names.find(recipe, "recipe").id)
    assert isinstance(held, Recipe)
    _of_this(store, names, held, panel)
    knowledge = known(store)
    sprayed = sprayed_panel(store, names, knowledge, panel, toward)
    assert sprayed.panel.ground is not None
    ground = knowledge.ground(sprayed.panel.ground.id, names.label(sprayed.panel.ground.id))
    mix = _WrittenMix.of(store, held, knowledge)
    extra = [text for text in dyes if names.find(text, "material").id not in mix.dyes]
    hand = on_hand(store, names, knowledge, [*mix.dyes.values(), *extra], mix.carrier)
    written = mix.written(knowledge)
    counts = range(max(written.coats - _COATS_EITHER_WAY, 1), written.coats + _COATS_EITHER_WAY + 1)
    means = Means(hand.dyes, (ground,), tuple(counts), solids=hand.solids, shop=store.facts.get("shop") or "")
    found = refine(knowledge.learned, sprayed.aim.target, written, ground, means)
    measured, missed = _missed(store, sprayed)
    far: tuple[str, ...] = ("nothing within a factor of three of this recipe comes near it: reach looks further",)
    far = far if all(one.difference > FAR for one in found) else ()
    return CorrectedRecipe(
        held.name, panel, ground.name, sprayed.aim.words, str(sprayed.aim.target.view), measured, missed,
        tuple(_told(one, mix, written, sprayed.aim) for one in found), (*far, *sprayed.notes, *hand.notes),
    )  # fmt: skip


def _of_this(store: Store, names: Names, recipe: Recipe, words: str) -> None:
    piece = piece_from_words(words, names, store)
    panel = store.find(piece.panel)
    assert isinstance(panel, Panel)
    if panel.recipe != recipe.id:
        other = f"It is one of {names.label(panel.recipe)}: name that." if panel.recipe else "Name one that is."
        raise SprayoutError(f"{piece_name(piece, names)} is no panel of {recipe.name}", other)


def sprayed_panel(store: Store, names: Names, knowledge: Known, words: str, toward: str | None) -> Sprayed:
    """Return a panel that was read, and its recipe's standard over its ground, or what else it is to be brought to.

    Raises SprayoutError where the panel was not read, teaches nothing, or has no standard to be brought to.
    """
    piece = piece_from_words(words, names, store)
    words = piece_name(piece, names)
    panel = store.find(piece.panel)
    assert isinstance(panel, Panel)
    recipe = store.find(panel.recipe) if panel.recipe else None
    if not isinstance(recipe, Recipe) or panel.ground is None:
        raise SprayoutError(
            f"{words} is of no recipe, or over no ground", "Say so: sprayout panel RECIPE --over GROUND."
        )
    called = knowledge.gathered.called.get(panel.id)
    if not any(step.panel == called for step in knowledge.gathered.steps):
        why = next((reason for key, reason in knowledge.gathered.left_out if key == panel.id), "it has no spectrum")
        raise SprayoutError(f"nothing can be learned from {words}: {why}", "Measure it: sprayout import FILE.csv")
    if toward is not None:
        aimed = aim(store, names, toward, knowledge.geometries())
    else:
        standard = (recipe.standards or {}).get(panel.ground.id)
        over = names.label(panel.ground.id)
        if standard is None:
            raise SprayoutError(
                f"{recipe.name} has no standard over {over}",
                f'Make a panel its standard: sprayout standard "{recipe.name}" PANEL. Or say --toward PANEL.',
            )
        if (standard.panel, standard.step) == (panel.id, piece.step):
            raise SprayoutError(f"{words} is the standard itself", "Name the panel that missed it, or say --toward.")
        at = Piece(panel=standard.panel, step=standard.step, zone=standard.zone)
        aimed = aim_at_piece(store, names, at, names.label(standard.panel), knowledge.geometries())
    suspect = next((one for one in knowledge.learned.suspects if one.panel == called), None)
    notes = [f"{words} fits badly with the other panels and hardly counts: {suspect.reason}"] if suspect else []
    if panel.id in evidence_for(store, "panel").status(recipe, store).earlier:
        notes.append(f"{words} was sprayed from an earlier version of {recipe.name}; what is corrected is today's")
    return Sprayed(piece, panel, recipe, aimed, tuple(notes))


def _missed(store: Store, sprayed: Sprayed) -> tuple[float | None, str]:
    """Return the measured dE00 between panel and aim at the worst angle, and its direction in words."""
    from sprayout_core.difference import ciede2000

    readings = evidence_of_panels(store, [sprayed.panel.id], "reading").readings.get(sprayed.panel.id, [])
    spot = (sprayed.piece.zone or "", sprayed.piece.step or "")
    colours = sprayed.aim.target.colours
    for one in seen_of(readings, sprayed.aim.target.view):
        shared = [at for at in colours if at in one.colours and (one.zone, one.step) == spot]
        if shared:
            gaps = {at: float(ciede2000(colours[at], one.colours[at])) for at in shared}
            worst = max(gaps, key=lambda at: gaps[at])
            return gaps[worst], towards(sprayed.aim, one.colours, worst)
    return None, ""


@dataclass(frozen=True, slots=True)
class _WrittenMix:
    """A recipe's one mix: its dyes by id, their ratio, its carriers by name, and how the two are written.

    formula   what the coats are sprayed from
    neat      the dye mix it is made of, where it is written in two steps
    """

    formula: Formula
    neat: Formula | None
    dyes: Mapping[str, str]
    ratio: Mapping[str, int]
    carriers: Mapping[str, Fraction]
    body: Fraction
    coats: int

    @classmethod
    def of(cls, store: Store, recipe: Recipe, knowledge: Known) -> _WrittenMix:
        """Return the mix of a recipe. Raises SprayoutError for several mixes, coats in ranges, and mixes by mass."""
        from sprayout_library.film.shares import mix_shares

        coats = [coat for _, coat in recipe.coats_in_order()]
        formulas = {coat.formula for coat in coats}
        if len(formulas) != 1 or not all(coat.count.isdigit() for coat in coats):
            raise SprayoutError(
                f"{recipe.name} sprays several mixes, or no sure number of coats", "Correct each mix by itself."
            )
        formula = store.find(next(iter(formulas)))
        if not isinstance(formula, Formula):
            raise SprayoutError(f"the mix of {recipe.name} is not here", "Sync with the shop that wrote it.")
        flat = mix_shares(formula, store.find)
        dyes, called, carriers = {}, {}, {}
        for key, share in flat.items():
            document = store.find(key)
            assert isinstance(document, Material)
            if document.role in COLOURING:
                dyes[key], called[key] = share, knowledge.gathered.name(document)
            else:
                carriers[document.name] = share
        if not dyes:
            raise SprayoutError(f"nothing in {formula.name} colours", "Name a recipe with a dye or a pearl in it.")
        ratio = smallest_integers({called[key]: share for key, share in dyes.items()})
        neat = _dye_mix(store, formula, set(dyes))
        mixed = (neat or formula).mix
        order = [called[key] for key in (mixed.pouring_order() if mixed else []) if key in called]
        ratio = {dye: ratio[dye] for dye in dict.fromkeys([*order, *ratio])}
        count = sum(int(coat.count) for coat in coats)
        return cls(formula, neat, called, ratio, carriers, sum(carriers.values(), Fraction(0)), count)

    @property
    def carrier(self) -> str | None:
        """The carrier that there is most of."""
        return max(self.carriers, key=lambda name: self.carriers[name]) if self.carriers else None

    def written(self, knowledge: Known) -> Written:
        """Return the mix as core corrects it."""
        from sprayout_core.film import Written

        for dye in self.ratio:
            knowledge.learned.row(dye)
        parts = smallest_integers({"carrier": self.body, "neat": 1 - self.body}) if self.body else {"neat": 1}
        return Written(self.ratio, parts.get("carrier", 0), parts["neat"], self.coats)

    def lines(self, one: Written, before: Written) -> tuple[str, ...]:
        """Return the mixes to write anew, as they are typed."""
        lines = []
        body = self._body(one)
        dyes = {dye: one.dyes[dye] for dye in [*self.ratio, *one.dyes] if dye in one.dyes}
        if self.neat is None:
            whole = sum(dyes.values())
            parts = body | {dye: Fraction(one.neat * part, whole) for dye, part in dyes.items()}
            return (_line(self.formula.name, parts),) if one != before else ()
        if dyes != before.dyes:
            lines.append(_line(self.neat.name, {dye: Fraction(part) for dye, part in dyes.items()}))
        if (one.carrier, one.neat) != (before.carrier, before.neat):
            lines.append(_line(self.formula.name, body | {self.neat.name: Fraction(one.neat)}))
        return tuple(lines)

    def _body(self, one: Written) -> dict[str, Fraction]:
        """Return the carrier's parts, several of them as they stood to each other."""
        names = self.carriers or {"carrier": Fraction(1)}
        whole = sum(names.values(), Fraction(0))
        return {name: one.carrier * share / whole for name, share in names.items()} if one.carrier else {}


def _dye_mix(store: Store, formula: Formula, dyes: set[str]) -> Formula | None:
    """Return the one mix that brings all dyes and nothing else, where a formula is written in two steps."""
    items = (formula.mix.items if formula.mix else None) or {}
    inner = [store.find(key) for key, item in items.items() if item.kind == "formula"]
    if len(inner) == 1 and isinstance(inner[0], Formula) and not dyes & set(items):
        return inner[0] if set(composition(inner[0], store.find)) == dyes else None
    return None


def _line(name: str, parts: Mapping[str, Fraction]) -> str:
    whole = smallest_integers(parts)
    return f"{name} = " + " : ".join(f"{count} {part}" for part, count in whole.items())


def _told(one: Refined, mix: _WrittenMix, before: Written, aimed: Aim) -> Correction:
    from sprayout_library.record.between import place_words

    made = {each.geometry: each.lab for each in one.predictions}
    notes = dict.fromkeys(note for each in one.predictions for note in each.notes)
    return Correction(
        str(one.change), mix.lines(one.written, before), one.written.coats, one.difference, one.expected,
        place_words(one.angle), towards(aimed, made, one.angle), (one.forgiveness.words, *notes),
    )  # fmt: skip
