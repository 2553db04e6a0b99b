"""A panel sprayed from cups that were really poured: which coat came from which, and what they pin of their mixes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sprayout_core.documents import Batch, Formula, SprayedCoat
from sprayout_core.errors import SprayoutError
from sprayout_library.record.batches import check_against
from sprayout_library.record.cups import Shelf, pinned_find
from sprayout_library.record.names import Names
from sprayout_library.record.panels import pinned
from sprayout_library.store import Store

__all__ = ["CupMistaken", "coats_from_cups", "cup_mistaken", "pinned_by_cups", "refuse_before_pouring"]


class CupMistaken(SprayoutError):
    """A cup of another mix than the recipe sprays."""


def cup_mistaken(batch: Batch, wanted: Mapping[str, str | None], shelf: Shelf, names: Names) -> CupMistaken:
    """Say what taking this cup for the one wanted would do to the colour.

    wanted   formula id to the gun it is made ready for, of every coat that is sprayed
    """
    told = []
    for key, variant in wanted.items():
        formula = shelf.store.find(key)
        if not isinstance(formula, Formula):
            continue
        try:
            check = check_against(shelf, batch, formula, shelf.store.find, variant)
        except SprayoutError:
            continue
        told.append(f"Against {formula.name}: {check.sentence[0].lower()}{check.sentence[1:]}")
    called = ", ".join(dict.fromkeys(names.label(key) for key in wanted))
    return CupMistaken(
        f"{_label(batch)} is {names.label(batch.formula)}, and this recipe sprays {called}",
        " ".join([*told, "Take the right cup, or write a recipe for this one."]),
    )


def coats_from_cups(
    coats: Sequence[SprayedCoat], cups: Sequence[Batch], shelf: Shelf, names: Names
) -> list[SprayedCoat]:
    """Return coats with the cup that each came from: the one of its mix, as ready for the gun as that cup was.

    A coat of a mix that no cup holds stays as it is. Raises CupMistaken for a cup of a mix that no coat sprays, and
    SprayoutError where two cups could be meant.
    """
    wanted = {coat.formula: coat.spray_ready for coat in coats}
    for batch in cups:
        if batch.formula not in wanted:
            raise cup_mistaken(batch, wanted, shelf, names)
    by_mix: dict[str, list[Batch]] = {}
    for batch in cups:
        by_mix.setdefault(batch.formula, []).append(batch)
    for key, several in by_mix.items():
        if len(several) > 1:
            labels = " and ".join(_label(batch) for batch in several)
            raise SprayoutError(
                f"{labels} both hold {names.label(key)}",
                "Name the one it was sprayed from; a day with several cups is a session: sprayout spray start.",
            )
    return [
        coat.model_copy(
            update={"batch": by_mix[coat.formula][0].id, "spray_ready": by_mix[coat.formula][0].spray_ready}
        )
        if coat.formula in by_mix
        else coat
        for coat in coats
    ]


def refuse_before_pouring(cups: Sequence[Batch], sprayed_at: str) -> None:
    """Refuse a time of spraying that lies before a cup was poured. Raises SprayoutError."""
    for batch in cups:
        if batch.poured_at and _moment(sprayed_at) < _moment(batch.poured_at):
            raise SprayoutError(
                f"{_label(batch)} was poured at {batch.poured_at}, after {sprayed_at}",
                "Say when it was sprayed: --at; or name the right cup.",
            )


def pinned_by_cups(coats: Sequence[SprayedCoat], cups: Sequence[Batch], store: Store) -> dict[str, Any]:
    """Return what a panel pins: of a coat from a cup what that cup pinned when poured, of others what stands now.

    A coat's own mix counts before the same one inside another. Raises what `pinned` raises.
    """
    proofs: dict[str, str] = {}
    poured: dict[str, dict[str, int]] = {}
    by_id = {batch.id: batch for batch in cups}
    for coat in coats:
        batch = by_id.get(coat.batch or "")
        if batch is None:
            own = pinned([coat], store.find)
        else:
            find = pinned_find(store, batch.proofs, batch.formula, batch.spray_ready)
            whole = all(find(key) is not None for key in batch.proofs)
            own = {"proofs": batch.proofs, "poured": pinned([coat], find)["poured"] if whole else {}}
        for key, proof in own["proofs"].items():
            if key == coat.formula or key not in proofs:
                proofs[key] = proof
        for key, ratio in own["poured"].items():
            if key == coat.formula or key not in poured:
                poured[key] = ratio
    return {"proofs": proofs} | ({"poured": poured} if poured else {})


def _label(batch: Batch) -> str:
    return batch.label or f"…{batch.id[-6:]}"


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text.upper().replace("Z", "+00:00"))
