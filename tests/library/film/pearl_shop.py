"""An invented shop with a contrast card: two dyes and a pearl as step cards, and panels of a new bottle."""

import copy

import numpy as np

from sprayout_core.documents import tree
from sprayout_core.film import clear_layer, hazy_layer
from sprayout_library.cli.main import run
from sprayout_library.record import Writer

NM = np.arange(400.0, 701.0, 10.0)
CARD = {"over white": 0.80 - 0.06 * np.exp(-(((NM - 400) / 40) ** 2)), "over black": 0.035 + 0 * NM}
SILVER = 0.55 + 0.00008 * (NM - 400)
#: Absorption and scattering of one coat of each, neat; invented.
OPTICS = {
    "violet": (0.03 + 0.62 * np.exp(-(((NM - 560) / 52) ** 2)) + 0.10 * np.exp(-(((NM - 470) / 40) ** 2)), 0 * NM),
    "moss": (0.02 + 0.55 * np.exp(-(((NM - 430) / 45) ** 2)) + 0.34 * np.exp(-(((NM - 650) / 60) ** 2)), 0 * NM),
    "moon pearl": (0.012 + 0.00002 * (700 - NM), 0.20 + 0.0002 * (700 - NM)),
}
STEPS = (0, 1, 2, 4)
#: How strong the new lot of violet is beside the old one.
STRONGER = 1.22


def read(ground, shares, coats, strength=1.0):
    """What a meter would read of a mix over a ground, 45:0."""
    absorbed = coats * sum(share * OPTICS[name][0] * (strength if name == "violet" else 1) for name, share in shares)
    scattered = coats * sum(share * OPTICS[name][1] for name, share in shares)
    if not np.any(scattered):
        return clear_layer(ground, absorbed, "45:0")
    return hazy_layer(ground, absorbed, scattered, "45:0")


def over_silver(shares, coats):
    absorbed = coats * sum(share * OPTICS[name][0] for name, share in shares)
    return clear_layer(SILVER, absorbed, "45:0", trapping=0.15)


def rows():
    """Every row of the meter's export: label and spectrum."""
    cards = {"V": [("violet", 1.0)], "M": [("moss", 1.0)], "P": [("moon pearl", 1.0)],
             "X": [("violet", 0.2), ("moon pearl", 0.8)]}  # fmt: skip
    for label, shares in cards.items():
        for coats in STEPS:
            for place, under in CARD.items():
                yield f"{label}-C/{coats}/{place}", read(under, shares, coats)
    for label in ("V", "M"):
        for coats in STEPS:
            yield f"{label}-S/{coats}", over_silver(cards[label], coats)
    yield "OLD/over white", read(CARD["over white"], cards["V"], 2, 0.99)
    for place, hand in (("NEW-1", 1.01), ("NEW-2", 0.98)):
        yield f"{place}/over white", read(CARD["over white"], cards["V"], 2, STRONGER * hand)


COMMANDS = (
    ("mix", "Violet neat = 1 violet", "--new", "violet=dye"),
    ("mix", "Moss neat = 1 moss", "--new", "moss=dye"),
    ("mix", "Moon neat = 1 moon pearl", "--new", "moon pearl=pearl"),
    ("mix", "Damson = 5 violet : 2 moss"),
    ("mix", "Ember moss = 1 ember : 1 moss", "--new", "ember=dye"),
    ("mix", "Damson moon = 1 violet : 4 moon pearl"),
    ("material", "contrast card", "--role", "solid"),
    ("material", "silver", "--role", "metallic"),
    *(
        ("recipe", f"{mix} {where}", "--over", ground, "--coat", f"4 {mix}")
        for mix in ("Violet neat", "Moss neat", "Moon neat", "Damson moon")
        for where, ground in (("card", "contrast card"), ("wall", "silver"))
    ),
)
_ZONES = ("--zone", "over_white", "--zone", "over_black")
_STEPS = ("--steps", "0,1,2,4")


def panels():
    for label, mix in (("V", "Violet neat"), ("M", "Moss neat"), ("P", "Moon neat"), ("X", "Damson moon")):
        yield ("panel", f"{mix} card", "--label", f"{label}-C", *_ZONES, *_STEPS, "--stage", "cleared")
    for label, mix in (("V", "Violet neat"), ("M", "Moss neat")):
        yield ("panel", f"{mix} wall", "--label", f"{label}-S", *_STEPS, "--stage", "cleared")
    for label in ("OLD", "NEW-1", "NEW-2"):
        coat = ("--coat", "2 Violet neat", "--stage", "cleared")
        yield ("panel", "Violet neat card", "--label", label, *_ZONES, *coat)


def make(folder):
    """Make the library in a folder, by commands alone; the machine's own facts stand where SPRAYOUT_HOME says."""
    table = [";".join(["Name", *(f"{nm:.0f}" for nm in NM)])]
    table += [";".join([label, *(f"{value:.6f}" for value in values)]) for label, values in rows()]
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "meter.csv").write_text("\n".join(table) + "\n", encoding="utf-8")
    tells = [word for one in ("scale=unit", "geometry=45:0", "stage=cleared") for word in ("--set", one)]
    library = str(folder / "shop")
    assert run(["create", library, "--name", "Pearl shop (invented)"]) == 0
    for words in (*COMMANDS, *panels(), ("import", str(folder / "meter.csv"), *tells, "--yes")):
        assert run(["--library", library, "--by", "ada", *words]) == 0, words
    return folder / "shop"


_PANEL = ("recipe", "recipe_proof", "ground", "shape", "zones", "steps", "coats", "proofs", "poured", "stage")
_READING = ("step", "zone", "stage", "grade", "measured")


def multiplied(store, times):
    """Lay every step card many times more, each with its own noise."""
    rng = np.random.default_rng(11)
    writer = Writer(store, "ada", store.facts.get("shop"))
    cards = [panel for panel in store.documents("panel") if panel.steps]
    readings = list(store.documents("reading"))
    new = []
    for place in range(times * len(cards)):
        card = cards[place % len(cards)]
        facts = {name: value for name, value in tree(card).items() if name in _PANEL}
        again = writer.new("panel", facts | {"label": f"B{place}", "title": f"B{place}"})
        new.append(again)
        for reading in readings:
            if reading.panel == card.id and reading.step != "0":
                seen = copy.deepcopy({name: value for name, value in tree(reading).items() if name in _READING})
                spectrum = seen["measured"][0]["spectrum"]
                hand = 1 + 0.01 * rng.standard_normal()
                spectrum["values"] = [round(float(value) * hand, 5) for value in spectrum["values"]]
                new.append(writer.new("reading", seen | {"panel": again.id}))
    writer.save(new, "many more step cards")
    store.refresh()
