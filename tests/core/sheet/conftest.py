import pytest

from sprayout_core.documents import made

COPY = "k7f3q2"
LIBRARY = "0193aa10-2c3d-7e4f-8a5b-6c7d8e9f0a1b"
PROVENANCE = {"at": "2026-03-02T09:10:00Z", "tool": "sprayout 0.1.0"}


def number(n):
    return f"0193aa11-0000-7abc-9def-{n:012x}"


DYE, BASE, CARRIER, REDUCER, CLEAR, SILVER, WEAK, GLASS, RECIPE, CUP, PANEL = map(number, range(1, 12))


class Shelf(dict):
    """Documents by id; what a library would find."""

    def put(self, kind, id, **facts):
        self[id] = made(kind, facts, copy=COPY, provenance=PROVENANCE, id=id)
        return self[id]


@pytest.fixture
def shelf():
    shelf = Shelf()
    for id, title, role, cautions in (
        (DYE, "fern dye", "dye", ["skin"]),
        (BASE, "clear base", "carrier", []),
        (CARRIER, "glass carrier", "carrier", []),
        (REDUCER, "slow thinner", "reducer", ["solvent"]),
        (CLEAR, "Glass clear", "clear", ["isocyanate", "solvent"]),
        (SILVER, "fine silver", "metallic", []),
    ):
        shelf.put("material", id, title=title, role=role, cautions=cautions)
    shelf.put(
        "formula",
        WEAK,
        title="Weak fern",
        mix={
            "basis": "volume",
            "items": {DYE: {"kind": "material", "ratio": 2}, BASE: {"kind": "material", "ratio": 19}},
            "order": [BASE, DYE],
        },
    )
    shelf.put(
        "formula",
        GLASS,
        title="Moss glass",
        mix={
            "basis": "volume",
            "items": {WEAK: {"kind": "formula", "ratio": 7}, CARRIER: {"kind": "material", "ratio": 3}},
            "order": [WEAK, CARRIER],
            "scale": "0.5",
        },
        spray_ready={
            "small": {
                "reduce": {"of": "mix", "parts": "0.07", "material": REDUCER},
                "strain": {"gun": {"opening_um": "240"}, "pour": {"opening_um": "190"}},
                "tip_mm": "1.1",
                "laid": "medium",
                "gun": "small gun",
            }
        },
    )
    shelf.put(
        "recipe",
        RECIPE,
        title="Moss frame",
        grounds=[{"kind": "material", "id": SILVER}],
        coats=[
            {
                "formula": GLASS,
                "count": "about 4",
                "spray_ready": "small",
                "dry": {"until": "touch", "at_least_s": "480"},
            },
            {"formula": WEAK, "count": "2", "film_um": "7", "laid": "mist"},
        ],
        clear={"of": {"kind": "material", "id": CLEAR}, "polished": "yes"},
        notes=[{"text": "Look at it under the lamp."}],
    )
    return shelf
