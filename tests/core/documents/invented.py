"""Invented documents for tests: nothing in them is a real product, person or shop."""

from sprayout_core.documents import made, proofs

COPY = "k7f3q2"
OTHER = "m2x9ab"
AT = "2026-03-02T09:10:00Z"


def thing(number):
    """The id of the n-th invented document."""
    return f"01926f39-0d4f-7e8a-b6c7-{number:012x}"


def document(kind, number=None, copy=COPY, at=AT, **facts):
    """An invented document of a kind; readings derive their id, the others are numbered."""
    number = None if number is None else thing(number)
    return made(kind, facts, copy=copy, provenance={"at": at, "tool": "a test"}, id=number)


def material(number, title, role="dye", **facts):
    return document("material", number, title=title, role=role, **facts)


def parts(*ratio, basis="volume", **display):
    """A mix of (document, part) pairs; formulas nest, materials do not."""
    items = {one.id: {"kind": one.kind, "ratio": part} for one, part in ratio}
    return {"basis": basis, "items": items, **display}


def formula(number, title, ratio, basis="volume", **facts):
    return document("formula", number, title=title, mix=parts(*ratio, basis=basis), **facts)


def finder(*documents):
    """A find over these documents."""
    held = {one.id: one for one in documents}
    return held.get


def panel(number, sprayed, find, variant=None, count="3", **facts):
    """A panel on which one formula was sprayed as it stands now."""
    coat = {"formula": sprayed.id, "count": count}
    if variant:
        coat["spray_ready"] = variant
    pinned = proofs(sprayed, find, variant)
    return document("panel", number, coats=[coat], proofs=pinned, **facts)
