"""The wall as somebody hung it: an order of panels, kept by this machine for each library."""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Mapping, Sequence
from pathlib import Path

from sprayout_library.machine import home

__all__ = ["hung_by_hand", "keep", "kept", "moved", "placed"]

_LARGEST = 8_000_000


def _place(library: str) -> Path:
    name = "".join(sign for sign in library if sign.isalnum() or sign == "-")[:60] or "library"
    return home() / "walls" / f"{name}.json"


def kept(library: str) -> list[str]:
    """Return the ids of panels in the order they were hung; none where nobody did, or it cannot be read."""
    path = _place(library)
    try:
        if path.stat().st_size > _LARGEST:
            return []
        found = json.loads(path.read_bytes())
    except (OSError, ValueError):
        return []
    return [one for one in found if isinstance(one, str)] if isinstance(found, list) else []


def keep(library: str, order: Sequence[str]) -> None:
    """Keep an order; whoever reads meanwhile finds the old one or the new one, whole."""
    path = _place(library)
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f"{path.stem}.{secrets.token_hex(6)}")
    fresh.write_text(json.dumps(list(order), indent=0), encoding="utf-8")
    os.replace(fresh, path)  # noqa: PTH105 - replaces on every system, where rename would not


def hung_by_hand(order: Sequence[str], panels: Sequence[str]) -> list[str]:
    """Return panels in a kept order; those that came later follow in the order given."""
    here = set(panels)
    first = [one for one in dict.fromkeys(order) if one in here]
    placed_ones = set(first)
    return first + [one for one in panels if one not in placed_ones]


def moved(shown: Sequence[str], panel: str, by: int) -> list[str]:
    """Return an order with one panel moved by some places; it stops at the ends."""
    found = [one for one in shown if one != panel]
    if len(found) < len(shown):
        found.insert(min(max(list(shown).index(panel) + by, 0), len(found)), panel)
    return found


def placed(shown: Sequence[str], places: Mapping[str, int]) -> list[str]:
    """Return an order with some panels at places told, counted from 1; the others close up around them.

    A panel told to stand where it stands already gives way to one that was moved there.
    """
    now = {one: number for number, one in enumerate(shown, 1)}
    told = {one: place for one, place in places.items() if now.get(one, place) != place}
    found = [one for one in shown if one not in told]
    for one, place in sorted(told.items(), key=lambda pair: pair[1]):
        found.insert(min(max(place - 1, 0), len(found)), one)
    return found
