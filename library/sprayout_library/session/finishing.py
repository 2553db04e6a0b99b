"""Finishing: every piece becomes a panel with its proofs pinned, all in one save, and never twice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sprayout_core.documents import Document, Panel, SprayedCoat
from sprayout_core.errors import SprayoutError
from sprayout_core.mix import parse_amount
from sprayout_library.record import Writer
from sprayout_library.record.batches import take_out
from sprayout_library.record.cups import Shelf, pinned_find
from sprayout_library.record.panels import pinned
from sprayout_library.session.seen import seen_document
from sprayout_library.session.spraying import Session, moment
from sprayout_library.session.tally import Cup, Piece, Tally
from sprayout_library.store import Store

__all__ = ["Finished", "Last", "finish"]


@dataclass(frozen=True, slots=True)
class Last:
    """What is said when a session ends: the stage, the air, what was sprayed out of each cup."""

    stage: str = "bare"
    conditions: Mapping[str, float] | None = None
    used: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True)
class _Given:
    """Random bytes that were drawn before, so that a panel keeps its id over a kill."""

    drawn: bytes

    def __call__(self, count: int) -> bytes:
        return self.drawn[:count]


@dataclass(frozen=True, slots=True)
class Finished:
    """The panels that were saved, the pieces without a coat that were left out, what was seen on the way."""

    panels: tuple[Panel, ...]
    left_out: tuple[str, ...]
    seen: tuple[Document, ...] = ()


def finish(session: Session, store: Store, writer: Writer, last: Last) -> Finished:
    """Save the panels of a session, and what was seen of them on the way, in one version of the library.

    What was decided is kept in the journal first, with the random bytes of all ids: after a kill at any
    moment the same call makes the same panels, or finds them saved.
    """
    tally = session.tally
    if tally.state not in ("open", "finishing"):
        raise SprayoutError(f"this session is {tally.state}", "Begin another: sprayout spray start.")
    if tally.finishing is None or (last != Last() and not _is_saved(tally, store, writer)):
        tally = _decided(session, store, writer, last)
    assert tally.finishing is not None
    panels, seen, edited = _documents(tally, tally.finishing, store, writer)
    saved = [store.find(one.id) for one in panels]
    if not any(saved):
        count = f"{len(panels)} panel{'' if len(panels) == 1 else 's'}"
        writer.save([*panels, *seen, *edited], f"Sprayed {tally.recipe_name}: {count}")
    session.tap({"tap": "finished", "panels": [one.id for one in panels]}, tally.finishing["at"])
    session.closed()
    return Finished(panels, tuple(name for name, piece in tally.pieces.items() if not piece.runs), seen)


def _decided(session: Session, store: Store, writer: Writer, last: Last) -> Tally:
    """Keep in the journal how the session ends, once everything to save was made once without a fault."""
    tally = session.tally
    sprayed = [piece for piece in tally.pieces.values() if piece.runs]
    if not sprayed:
        raise SprayoutError("no piece has a coat yet", "Tap coats first, or give it up: sprayout spray give-up.")
    drawn: Mapping[str, str] = (tally.finishing or {}).get("seeds", {})
    seeds = {piece.name: drawn.get(piece.name) or writer.random(10).hex() for piece in sprayed}
    tap: dict[str, Any] = {"tap": "finishing", "seeds": seeds, "stage": last.stage, "used": dict(last.used or {})}
    if tally.seen:
        tap["seen_seeds"] = (tally.finishing or {}).get("seen_seeds") or [writer.random(10).hex() for _ in tally.seen]
    if last.conditions:
        tap["conditions"] = dict(last.conditions)
    at = (tally.finishing or {}).get("at") or writer.clock().astimezone().isoformat(timespec="milliseconds")
    _documents(tally, {**tap, "at": at}, store, writer)
    return session.tap(tap, at)


def _is_saved(tally: Tally, store: Store, writer: Writer) -> bool:
    assert tally.finishing is not None
    panels, _, _ = _documents(tally, {**tally.finishing, "used": {}}, store, writer)
    return store.find(panels[0].id) is not None


def _documents(
    tally: Tally, said: Mapping[str, Any], store: Store, writer: Writer
) -> tuple[tuple[Panel, ...], tuple[Document, ...], list[Document]]:
    """Return the panels, what was seen of them, and the cups with what was sprayed out; nothing is saved."""
    panels: dict[str, Panel] = {}
    for name, seed in said["seeds"].items():
        panel = _same(writer, said, seed).new("panel", _panel(tally, tally.pieces[name], said, store))
        assert isinstance(panel, Panel)
        panels[name] = panel
    ids = {name: panel.id for name, panel in panels.items()}
    seeds = said.get("seen_seeds", ())
    seen = tuple(
        seen_document(one, tally, ids, _same(writer, said, seed))
        for one, seed in zip(tally.seen, seeds, strict=True)
    )  # fmt: skip
    kept = tuple(panels.values())
    edited = [] if store.find(kept[0].id) is not None else _emptied(tally, said, store, writer)
    return kept, seen, edited


def _same(writer: Writer, said: Mapping[str, Any], seed: str) -> Writer:
    """Return a writer that makes the same document each time: at the moment that was decided, with the bytes drawn."""
    at: datetime = moment(said["at"])
    return replace(writer, clock=lambda: at, random=_Given(bytes.fromhex(seed)))


def _emptied(tally: Tally, said: Mapping[str, Any], store: Store, writer: Writer) -> list[Document]:
    edited: list[Document] = []
    used: Mapping[str, str] = said.get("used") or {}
    shelf = Shelf(store) if used else None
    for label, amount in used.items():
        cup = next((one for one in tally.cups.values() if one.label.casefold() == label.casefold()), None)
        if cup is None:
            raise SprayoutError(f"{label!r} is no cup of this session", f"There are: {', '.join(tally.cups)}.")
        assert shelf is not None
        batch = shelf.batches.get(cup.batch)
        if batch is None:
            raise SprayoutError(f"the cup {label} is not here any more", "Sync, or bring it back into use.")
        wanted = None if amount == "rest" else parse_amount(amount)
        edited.append(writer.edited(batch, [take_out(shelf, batch, wanted, "sprayed", _utc(said["at"]))]))
    return edited


def _utc(text: str) -> str:
    from sprayout_library.record import now_text

    return now_text(moment(text))


def _panel(tally: Tally, piece: Piece, said: Mapping[str, Any], store: Store) -> dict[str, Any]:
    coats = [_coat(run.cup, run.laid, run.count, run.times, tally) for run in piece.runs]
    facts: dict[str, Any] = {
        "title": piece.name,
        "label": piece.name,
        "recipe": tally.recipe,
        "recipe_proof": tally.recipe_proof,
        "ground": dict(piece.ground),
        "shape": piece.shape,
        "coats": [one.model_dump(exclude_none=True) for one in coats],
        "session": tally.session,
        "sprayed_at": piece.last,
        "stage": {"surface": said["stage"]},
        **_pins(piece, tally, store),
    }
    if said["stage"] != "bare" and tally.clear:
        facts["clear"] = dict(tally.clear)
    if said.get("conditions"):
        facts["conditions"] = dict(said["conditions"])
    if piece.notes:
        facts["notes"] = [{"text": words, "by": tally.by} for words in piece.notes]
    return facts


# The recipe's film is what was meant; what was laid is measured on the panel, so no film is noted here.
def _coat(label: str, laid: str | None, count: str, times: tuple[str, ...], tally: Tally) -> SprayedCoat:
    cup = tally.cups[label]
    facts = {
        "formula": cup.formula, "count": count, "spray_ready": cup.spray_ready, "batch": cup.batch, "laid": laid,
        "times": list(times),
    }  # fmt: skip
    return SprayedCoat.model_validate({name: value for name, value in facts.items() if value is not None})


def _pins(piece: Piece, tally: Tally, store: Store) -> dict[str, Any]:
    """Return what the panel pins: what each of its cups pinned; a coat's own mix before the same one inside another."""
    proofs: dict[str, str] = {}
    poured: dict[str, dict[str, int]] = {}
    cups: dict[str, Cup] = {run.cup: tally.cups[run.cup] for run in piece.runs}
    for cup in cups.values():
        find = pinned_find(store, cup.proofs, cup.formula, cup.spray_ready)
        ratios: dict[str, dict[str, int]] = {}
        if all(find(key) is not None for key in cup.proofs):
            coat = SprayedCoat(formula=cup.formula, count="1", spray_ready=cup.spray_ready)
            ratios = pinned([coat], find)["poured"]
        for key, proof in cup.proofs.items():
            if key == cup.formula or key not in proofs:
                proofs[key] = proof
        for key, ratio in ratios.items():
            if key == cup.formula or key not in poured:
                poured[key] = ratio
    return {"proofs": proofs} | ({"poured": poured} if poured else {})
