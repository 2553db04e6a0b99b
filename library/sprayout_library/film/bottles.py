"""A new bottle beside the old lot: its strength and hue from a few panels, and the ratio that corrects it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Batch, Formula, Material, Panel
from sprayout_core.errors import SprayoutError
from sprayout_library.film.knowing import Known, known, known_without
from sprayout_library.film.parts import Poured, poured_with
from sprayout_library.record.pieces import piece_from_words

if TYPE_CHECKING:
    from sprayout_core.documents import Piece
    from sprayout_core.film import Estimate, PanelStep
    from sprayout_library.record.names import Names
    from sprayout_library.store import Store

__all__ = ["Bottle", "bottle_check", "panels_of_lot"]


@dataclass(frozen=True, slots=True)
class Bottle:
    """What a new bottle does beside the old lot.

    dye       the material; `identity` its id
    new, old  the panels it was judged by; without old ones beside them it is judged by all else that was learned
    strength  of the new lot beside the old, and its standard uncertainty
    hue       dE00 left once the strength is taken out, and its standard uncertainty
    words     the answer; "not distinguishable" below twice the uncertainty
    mixes     the mixes asked for, corrected; as written where the bottle is not distinguishable
    advice    what would make it surer
    """

    dye: str
    identity: str
    new: tuple[str, ...]
    old: tuple[str, ...]
    geometry: str
    strength: Estimate
    hue: Estimate
    distinguishable: bool
    words: str
    mixes: tuple[Poured, ...]
    advice: str

    def data(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        return {
            "dye": self.dye,
            "new": list(self.new),
            "old": list(self.old),
            "geometry": self.geometry,
            "strength": {"value": round(self.strength.value, 4), "uncertainty": round(self.strength.uncertainty, 4)},
            "hue": {"value": round(self.hue.value, 3), "uncertainty": round(self.hue.uncertainty, 3)},
            "distinguishable": self.distinguishable,
            "words": self.words,
            "mixes": [one.data() for one in self.mixes],
            "advice": self.advice,
        }


def bottle_check(
    store: Store,
    names: Names,
    dye: str,
    new: Sequence[str] = (),
    old: Sequence[str] = (),
    lot: str = "",
    mixes: Sequence[str] = (),
    geometry: str | None = None,
) -> Bottle:
    """Return strength and hue of a new bottle of a dye beside the old lot.

    new    panels sprayed from it, best one to three of two coats each; where none is named, those whose cup holds
           the lot
    old    panels of the old lot sprayed beside them: the same hand cancels then
    mixes  what is to be corrected for it

    Raises SprayoutError where a name is unknown, a panel has no spectrum, or nothing else was learned of the dye.
    """
    from sprayout_core.film import new_bottle

    material = store.get(names.find(dye, "material").id)
    assert isinstance(material, Material)
    fresh = [piece_from_words(text, names, store) for text in new] or _of_lot(store, material, lot)
    beside = [piece_from_words(text, names, store) for text in old]
    if not fresh:
        raise SprayoutError("no panel of the new bottle", "Name one to three panels of two coats, or --lot.")
    if {one.panel for one in fresh} & {one.panel for one in beside}:
        raise SprayoutError("a panel cannot be of the new and of the old bottle", "Name each once.")
    knowledge = known_without(store, [one.panel for one in fresh])
    called = knowledge.gathered.name(material)
    chosen = geometry or known(store).geometries()[0]
    judged, against = (_judged(store, knowledge, pieces, chosen) for pieces in (fresh, beside))
    check = new_bottle(knowledge.learned, called, judged, against)
    formulas = [store.get(names.find(text, "formula").id) for text in mixes]
    strengths = {material.id: check.strength} if check.distinguishable else {}
    poured = [poured_with(formula, strengths, store.find) for formula in formulas if isinstance(formula, Formula)]
    return Bottle(
        material.name,
        material.id,
        tuple(names.label(one.panel) for one in fresh),
        tuple(names.label(one.panel) for one in beside),
        judged[0].geometry,
        check.strength,
        check.hue,
        check.distinguishable,
        check.words,
        tuple(poured),
        _advice(check.strength, judged, against),
    )


def panels_of_lot(store: Store, material: Material, lot: str) -> list[Panel]:
    """Return the panels sprayed from a cup that holds a material of a lot."""
    cups = {
        cup.id
        for cup in store.documents("batch")
        if isinstance(cup, Batch)
        for poured in cup.poured
        if poured.id == material.id and (poured.lot or "").casefold().strip() == lot.casefold().strip()
    }
    return [
        panel
        for panel in store.documents("panel")
        if isinstance(panel, Panel)
        and panel.withdrawn is None
        and panel.coats
        and all(coat.batch in cups for coat in panel.coats)
    ]


def _of_lot(store: Store, material: Material, lot: str) -> list[Piece]:
    from sprayout_core.documents import Piece

    if not lot.strip():
        return []
    found = panels_of_lot(store, material, lot)
    if not found:
        raise SprayoutError(
            f"no panel was sprayed from a cup with lot {lot} of {material.name}",
            "Name its panels instead, or tell the lot when you pour: --lot.",
        )
    return [Piece(panel=one.id) for one in found]


def _judged(store: Store, knowledge: Known, pieces: Sequence[Piece], geometry: str) -> list[PanelStep]:
    """Return one reading of each piece, over its lightest ground: there a dye shows most."""
    from sprayout_core.film import geometry_of

    wanted = geometry_of(geometry).name
    chosen = []
    for piece in pieces:
        panel = store.get(piece.panel)
        assert isinstance(panel, Panel)
        steps = [
            one
            for one in knowledge.gathered.steps
            if one.panel == knowledge.gathered.called.get(panel.id) and one.geometry == wanted
        ]
        if piece.step and panel.steps:
            steps = [one for one in steps if one.coats == panel.steps[piece.step]]
        if not steps:
            reasons = [reason for identity, reason in knowledge.gathered.left_out if identity == panel.id]
            raise SprayoutError(
                f"{panel.name} has no spectrum to judge by at {wanted}" + (f": {reasons[0]}" if reasons else ""),
                "Take one in: sprayout import FILE.csv",
            )
        lightest = max(float(one.ground.reading(wanted).mean()) for one in steps)
        over = [one for one in steps if float(one.ground.reading(wanted).mean()) == lightest]
        chosen.append(min(over, key=lambda one: abs(one.coats - 2)))
    return chosen


def _advice(strength: Estimate, new: Sequence[PanelStep], old: Sequence[PanelStep]) -> str:
    if not old:
        return "Surer: spray a panel of the old lot beside, the same day and hand, and name it with --old."
    if strength.uncertainty > 0.03 and len(new) < 3:
        return "Surer: one more panel of each."
    return ""
