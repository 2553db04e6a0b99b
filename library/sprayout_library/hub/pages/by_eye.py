"""Seen during a spray day: an order by eye, the closest two, a picture; each kept as a tap, saved with the panels."""

from __future__ import annotations

from typing import get_args

from sprayout_core.documents import Judgement
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import Visit
from sprayout_library.session import Session
from sprayout_library.session.tally import Tally

__all__ = ["LIGHTS", "QUALITIES", "judged", "pictured"]

#: What an eye can order by; the closest two are a pair of their own.
QUALITIES: tuple[str, ...] = tuple(
    word for word in get_args(Judgement.model_fields["quality"].annotation) if word != "closest"
)
#: Lights offered while typing; any other words will do.
LIGHTS = ("D65", "shop LED", "direct sun", "open shade", "tube", "tungsten")
_WHERE = ("face", "middle", "flop")


def judged(visit: Visit, found: Session) -> None:
    """Keep an order of the pieces that were given places, or the closest two of those picked."""
    from sprayout_library.session import Look, judgement_tap

    asked, writer = visit.asked, visit.writer()
    light = _light(visit)
    where = asked.said("where") if asked.said("where") in _WHERE else None
    if asked.said("do") == "pair":
        pieces = asked.all("piece")
        if len(pieces) != 2:
            raise SprayoutError("the closest two are two", "Tap exactly two pieces.")
        look = Look("pair", "closest", pieces, light, writer.by, where=where)
    else:
        quality = asked.said("quality")
        if quality not in QUALITIES:
            raise SprayoutError("by what were they ordered?", f"One of: {', '.join(QUALITIES)}.")
        look = Look("order", quality, _order(visit, found.tally), light, writer.by, where=where)
    found.see(judgement_tap(look, found.tally, visit.names, writer, visit.at), visit.at)


def _light(visit: Visit) -> str:
    light = visit.asked.said("light")
    if not light or len(light) > 200:
        raise SprayoutError("in which light?", "Say it: D65, shop LED, direct sun ...")
    return light


def _order(visit: Visit, tally: Tally) -> list[str]:
    """Return the pieces by the places they were given; those with one place look the same."""
    places: dict[int, list[str]] = {}
    for number, piece in enumerate(tally.on_stand()):
        text = visit.asked.said(f"rank-{number}")
        if visit.asked.said(f"ranked-{number}") != piece.name or not text:
            continue
        if not text.isdecimal() or not 1 <= int(text) <= 60:
            raise SprayoutError(f"{text[:20]!r} is no place", "1 is first; one number for those that look the same.")
        places.setdefault(int(text), []).append(piece.name)
    if sum(len(names) for names in places.values()) < 2:
        raise SprayoutError("fewer than two pieces have a place", "Give 1 to the first, 2 to the next ...")
    return ["=".join(names) for _, names in sorted(places.items())]


def pictured(visit: Visit, found: Session) -> None:
    """Keep a picture of the pieces that were picked, written anew without anything but its pixels."""
    from sprayout_library.session import Shot, picture_tap

    asked = visit.asked
    upload, pieces = asked.files.get("shot"), asked.all("piece")
    if upload is None or not upload.content:
        raise SprayoutError("no picture came along", "Take or choose one, then tap the button.")
    if not pieces:
        raise SprayoutError("of which pieces?", "Tap the pieces that it shows, then the button.")
    shot = Shot(upload.content, pieces, asked.said("light")[:200] or None, _tilt(asked.said("tilt")), visit.at)
    found.see(picture_tap(shot, found.tally, visit.names, visit.writer()), visit.at)


def _tilt(text: str) -> float | None:
    if not text:
        return None
    try:
        value = float(text.replace(",", ".").removesuffix("°"))
    except ValueError:
        value = 999.0
    if not -180 <= value <= 180:
        raise SprayoutError(f"{text[:20]!r} is no tilt", "Give -180 to 180 degrees; 0 faces the light.")
    return int(value) if value == int(value) else value
