"""Where a document lies in the repository: `<kind>/<last 2 hex of its id>/<2 before>/<id>.json`."""

from __future__ import annotations

import re

from sprayout_library.store.errors import StoreError

__all__ = ["COPY", "ID", "KINDS", "copy_name", "is_path", "path_of", "place_of", "shop_ref"]

KINDS = (
    "batch",
    "formula",
    "judgement",
    "library",
    "material",
    "panel",
    "picture",
    "reading",
    "recipe",
    "shop",
)
"""Every kind of document, which is also the name of its folder."""

ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)
COPY = re.compile(r"[0-9a-z]{6,12}", re.ASCII)

_PATH = re.compile(rf"({'|'.join(KINDS)})/([0-9a-f]{{2}})/([0-9a-f]{{2}})/({ID.pattern})\.json", re.ASCII)


def path_of(kind: str, name: str) -> str:
    """Return the path of a document; refuses a kind or an id that does not follow the grammar."""
    if kind not in KINDS or not ID.fullmatch(name):
        raise StoreError(f"{kind!r} {name[:60]!r} names no document", "Ids are UUIDs in lower case.")
    return f"{kind}/{name[-2:]}/{name[-4:-2]}/{name}.json"


def place_of(path: str) -> tuple[str, str] | None:
    """Return kind and id of a document's path, or None where the path does not follow the grammar."""
    hit = _PATH.fullmatch(path)
    if hit is None or hit[2] != hit[4][-2:] or hit[3] != hit[4][-4:-2]:
        return None
    return hit[1], hit[4]


def is_path(path: str) -> bool:
    """Say whether a document may lie at this path."""
    return place_of(path) is not None


def copy_name(text: str) -> str:
    """Return a copy id, refusing what does not follow the grammar."""
    if not COPY.fullmatch(text):
        raise StoreError(f"{text[:60]!r} is no copy id", "Copy ids are 6 to 12 small letters and digits.")
    return text


def shop_ref(copy: str) -> str:
    """Return the full name of the branch that only this copy moves."""
    return f"refs/heads/shops/{copy_name(copy)}"
