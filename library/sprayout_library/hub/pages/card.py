"""A picture of a card: dropped, measured, shown with what was found where, pieces assigned, and only then taken in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Reply, Visit
from sprayout_library.record.pieces import piece_from_words, piece_name

if TYPE_CHECKING:
    from sprayout_core.card import PatchResult
    from sprayout_core.documents import Piece
    from sprayout_library.cards import CardMeasured, CardSeen, CellSeen

__all__ = ["card", "is_picture", "overlay", "take"]

STAGES = ("bare", "cleared", "polished")
_LAID = "lay-"
_BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
_SAID = {
    "fresh": "to be taken in",
    "known": "known already",
    "refused": "no colour",
    "unlaid": "a colour, but of which piece?",
    "reference": "known colour",
    "empty": "empty",
}


@dataclass(frozen=True, slots=True)
class CellShown:
    """One window or cell: what stands in it, in words, its colour on a screen, and its field for a piece."""

    cell: str
    what: str
    piece: str
    colour: str
    said: str
    why: str


def is_picture(content: bytes) -> bool:
    """Say whether bytes begin as a PNG, JPEG or TIFF does."""
    return content.startswith(_BEGINNINGS)


def card(visit: Visit) -> Reply:
    """Show what a dropped picture of a card gives; first ask for what the picture does not say."""
    from sprayout_library.cards import recorded_colours

    known = [one.name for one in recorded_colours()]
    asked = visit.asked
    shown: dict[str, Any] = {
        "drop": "", "name": "", "stage": "", "stages": STAGES, "known": known, "chosen": asked.all("known") or known,
        "cells": [], "warnings": [], "identity": "", "fresh": 0, "seen_at": "", "panels": [],
    }  # fmt: skip
    token = asked.said("drop")
    if not token:
        return Reply("card.html", shown)
    shown |= {"drop": token, "name": visit.drops.get(visit.csrf, token).name}
    stage = asked.said("stage")
    if stage not in STAGES:
        return Reply("card.html", shown)
    try:
        seen = _seen(visit, token, stage)
    except SprayoutError as error:
        return Reply("card.html", shown | {"faults": error.faults}, 422)
    seen_at = urlencode([("drop", token), *(("known", one) for one in asked.all("known"))])
    return Reply("card.html", shown | _told(seen, visit) | {"stage": stage, "seen_at": seen_at})


def overlay(visit: Visit) -> Reply:
    """Give the picture of what was looked at, straightened."""
    measured = _measured(visit, visit.asked.said("drop"))
    return Reply(content=measured.overlay, media="image/png", keeps=600)


def take(visit: Visit) -> Reply:
    """Take a picture, or take in what was seen of it, with the pieces as they were assigned."""
    from sprayout_library.cards import keep_card

    visit.writer()
    asked = visit.asked
    upload = asked.files.get("file")
    if upload is not None:
        if not is_picture(upload.content):
            raise SprayoutError(f"{upload.name} is no PNG, JPEG or TIFF", "Scan the card again, or take a picture.")
        return visit.go(f"/look/card?drop={visit.drops.keep(visit.csrf, upload)}")
    token, stage = asked.said("drop"), asked.said("stage")
    if not token:
        raise SprayoutError("no picture was dropped", "Choose one, or drop it on the frame.")
    if stage not in STAGES:
        raise SprayoutError("what had been done to the pieces?", "Say bare, cleared or polished.")
    if asked.said("do") != "take":
        return card(visit)
    seen = _seen(visit, token, stage)
    fresh = keep_card(visit.writer(), seen)
    name = visit.drops.get(visit.csrf, token).name
    visit.drops.drop(visit.csrf, token)
    now = visit.known.of(visit.store)
    panels = dict.fromkeys(piece.panel for piece, _, _ in seen.readings.found)
    refused = [piece_name(piece, visit.names) for piece, _ in seen.readings.refused]
    pieces = list(now.pieces(visit.store, panels).values())
    return Reply("card_taken.html", {"name": name, "fresh": len(fresh), "known": len(seen.readings.known),
                                     "refused": refused, "pieces": pieces})  # fmt: skip


def _measured(visit: Visit, token: str) -> CardMeasured:
    """Return what a dropped picture gives with the known colours chosen; measured once."""
    from sprayout_library.cards import measure_card, recorded_colours

    names = tuple(visit.asked.all("known"))
    known = recorded_colours(names)
    how = (str(visit.store.folder), tuple((one.name, one.source) for one in known))
    return visit.drops.made(
        visit.csrf, token, how, lambda upload: measure_card(visit.store, upload.name, upload.content, known)
    )


def _seen(visit: Visit, token: str, stage: str) -> CardSeen:
    from sprayout_library.cards import CardSeen, card_readings

    writer = visit.writer()
    measured = _measured(visit, token)
    measured = replace(measured, card=replace(measured.card, pieces=_assigned(visit, measured)))
    readings = card_readings(writer, measured.card, measured.result, stage, measured.geometry)
    return CardSeen(measured, stage, readings)


def _assigned(visit: Visit, measured: CardMeasured) -> dict[str, Piece]:
    """Return the pieces by cell: as printed, as far as the form does not say otherwise. Raises SprayoutError."""
    pieces = dict(measured.card.pieces)
    cells = {f"{patch.window}/{patch.label}" for patch in measured.result.patches}
    for name in visit.asked.form:
        cell = name.removeprefix(_LAID)
        if not name.startswith(_LAID) or cell not in cells:
            continue
        words = visit.asked.said(name)
        pieces.pop(cell, None)
        if words:
            pieces[cell] = piece_from_words(words, visit.names, visit.store)
    spots = [(one.panel, one.zone, one.step) for one in pieces.values()]
    twice = [one for one in pieces.values() if spots.count((one.panel, one.zone, one.step)) > 1]
    if twice:
        raise SprayoutError(f"{piece_name(twice[0], visit.names)} lies in two cells", "Name each piece once.")
    return pieces


def _told(seen: CardSeen, visit: Visit) -> dict[str, Any]:
    cells = list(seen.cells())
    colours = _colours([cell.patch for cell in cells], seen)
    return {
        "cells": [_shown(cell, colours.get(id(cell.patch), ""), visit) for cell in cells],
        "warnings": list(seen.warnings),
        "identity": seen.measured.identity,
        "fresh": len(seen.readings.fresh),
        "panels": [one.name for one in visit.names.of_kind("panel") if not one.withdrawn][:2000],
    }


def _colours(patches: list[PatchResult], seen: CardSeen) -> dict[int, str]:
    from sprayout_core.light import hexadecimal, srgb

    coloured = [patch for patch in patches if patch.lab is not None]
    if not coloured:
        return {}
    screen = srgb([patch.lab for patch in coloured if patch.lab], seen.measured.result.reference.view)
    return {id(patch): hexadecimal(rgb) for patch, rgb in zip(coloured, screen.rgb, strict=True)}


def _shown(cell: CellSeen, colour: str, visit: Visit) -> CellShown:
    patch = cell.patch
    said = "L* {:.1f}, a* {:.1f}, b* {:.1f}".format(*patch.lab) if patch.lab else ""
    if said and patch.interval is not None:
        said += f", give or take {patch.interval:.1f}"
    why = f"{patch.refusal.problem}. {patch.refusal.remedy}" if patch.refusal and cell.what == "refused" else ""
    piece = piece_name(cell.piece, visit.names) if cell.piece else ""
    return CellShown(cell.cell, _SAID[cell.what], piece, colour, said, why)
