"""Documents in a dict, for tests of arithmetic that need no library on disk."""

from fractions import Fraction

from sprayout_core.documents import made, uuid7
from sprayout_core.ratio import decimal_text, smallest_integers


class Shelf(dict):
    """Documents by id; names are given once."""

    def _keep(self, kind, facts):
        provenance = {"at": "2026-05-04T08:00:00Z", "tool": "tests", "by": "ada"}
        identity = uuid7(1_770_000_000_000 + len(self), b"sprayoutxx")
        document = made(kind, facts, copy="aaaaaa", provenance=provenance, id=identity)
        self[document.id] = document
        return document

    def material(self, title, density=None, role="dye", **facts):
        known = {"density_g_per_ml": decimal_text(Fraction(density))} if density is not None else {}
        return self._keep("material", {"title": title, "role": role, **known, **facts})

    def mix(self, title, parts, basis="volume", dry=None, **facts):
        """parts: (document, parts) pairs; dry: (document, grams per litre) pairs."""
        whole = smallest_integers({one.id: Fraction(amount) for one, amount in parts})
        items = {one.id: {"kind": one.kind, "ratio": whole[one.id]} for one, _ in parts}
        items |= {one.id: {"kind": one.kind, "g_per_l": str(amount)} for one, amount in dry or ()}
        order = [one.id for one, _ in (*parts, *(dry or ()))]
        return self._keep("formula", {"title": title, "mix": {"basis": basis, "items": items, "order": order}, **facts})
