"""Pictures by the light they were taken in: small ones, decoded and written anew here before they are shown."""

from __future__ import annotations

import base64
import binascii
import hashlib
import os
import secrets
import threading
from typing import Any

from sprayout_core.documents import Picture
from sprayout_core.errors import SprayoutError
from sprayout_library.hub.pages.visit import NotThere, Reply, Visit
from sprayout_library.machine import home
from sprayout_library.record.seen import told_picture

__all__ = ["picture", "pictures"]

_MOST = 36
#: Pictures decoded at once; the others wait.
_AT_ONCE = threading.BoundedSemaphore(2)


def pictures(visit: Visit) -> Reply:
    """Show pictures, those of one light or all, newest first."""
    wanted = visit.asked.said("light")
    shots = [one for one in visit.shots.values() if not one.withdrawn]
    lights = sorted({_light(one.light) for one in shots})
    kept = sorted((one for one in shots if not wanted or _light(one.light) == wanted), key=_newest, reverse=True)
    page = max(1, int(text)) if (text := visit.asked.said("page", "1")).isdecimal() and len(text) < 6 else 1
    pages = max(1, -(-len(kept) // _MOST))
    page = min(page, pages)
    part = kept[(page - 1) * _MOST : page * _MOST]
    by_light: dict[str, list[tuple[str, str]]] = {}
    for one in part:
        document = visit.store.get(one.id)
        if isinstance(document, Picture):
            by_light.setdefault(_light(one.light), []).append((one.id, told_picture(document, visit.names)))
    shown: dict[str, Any] = {
        "by_light": by_light, "lights": lights, "light": wanted, "page": page, "pages": pages, "count": len(kept),
        "all": len(shots),
    }  # fmt: skip
    return Reply("pictures.html", shown, settled=True)


def _light(words: str) -> str:
    return " ".join(words.split()) or "light not said"


def _newest(shot: Any) -> tuple[str, str]:
    return shot.taken_at or shot.provenance.at, shot.id


def picture(visit: Visit) -> Reply:
    """Give the small picture of one: never the bytes that came in, but what was decoded of them and written anew."""
    document = visit.document(visit.asked.parts["id"])
    if not isinstance(document, Picture) or not document.thumbnail:
        raise NotThere("no small picture stands here", "Where the whole one is kept, its shop can send it along.")
    try:
        content = base64.b64decode(document.thumbnail, validate=True)
    except (binascii.Error, ValueError):
        raise NotThere("its small picture is damaged", "Add the picture anew.") from None
    return Reply(content=_safe(content), media="image/jpeg", keeps=600)


def _safe(content: bytes) -> bytes:
    """Return a picture written anew in a process of its own; each is decoded once on this machine."""
    from sprayout_library.sources import prepared

    folder = home() / "thumbnails"
    path = folder / f"{hashlib.sha256(content).hexdigest()}.jpg"
    if path.is_file():
        return path.read_bytes()
    try:
        with _AT_ONCE:
            made = prepared(content).thumbnail
    except SprayoutError as error:
        raise NotThere(f"its small picture {error.fault.problem}", "Add the picture anew.") from None
    folder.mkdir(parents=True, exist_ok=True)
    fresh = folder / f".{secrets.token_hex(8)}"
    fresh.write_bytes(made)
    os.replace(fresh, path)  # noqa: PTH105 - replaces on every system, where rename would not
    return made
