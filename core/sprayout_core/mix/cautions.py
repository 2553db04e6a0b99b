"""Cautions that materials carry, in general words; the data sheet, local codes and licensed practice decide.

Nothing here is derived from composition, and nothing here ever says that something is safe. The facts
behind the words are those of public guidance on spraying isocyanate paints and of US 40 CFR 63, subpart
HHHHHH.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

__all__ = ["DEFER_TO", "Caution", "caution_text", "cautions_for"]


class Caution(Enum):
    """What a material or a step is cautioned for, by the words a material's document carries.

    Set by whoever records it from the data sheet.
    """

    ISOCYANATE = "isocyanate"
    SOLVENT = "solvent"
    WATERBORNE = "waterborne"
    DUST = "dust"
    SKIN = "skin"
    SPRAY_MIST = "spray-mist"
    SEE_SHEET = "see-sheet"


#: Stands at the end of every list of cautions, whatever else is in it.
DEFER_TO = (
    "These lines are general and incomplete. Before opening anything read the current safety data sheet of "
    "each product; local codes and licensed practice apply, and where they say otherwise they are right."
)

_TEXTS: dict[Caution, tuple[str, ...]] = {
    Caution.ISOCYANATE: (
        "Two-pack hardener, often isocyanate: breathing its mist or vapour, or skin contact, can cause "
        "asthma that stays. Whoever is sensitised keeps away from it entirely.",
        "Cartridge masks do not do for spraying it: air-fed breathing protection, worn closed until the "
        "booth's own measured clearing time is over, also while the gun is cleaned. For trained people "
        "with extraction only.",
    ),
    Caution.SOLVENT: (
        "Solvent: its vapour catches fire, creeps along the floor and makes people dizzy. Extraction on, "
        "no flame, spark or smoking, containers bonded against static.",
        "Rags wet with it can heat up by themselves: into a closed metal bin. Waste and wash solvent leave "
        "by a licensed route.",
    ),
    Caution.WATERBORNE: (
        "Water-borne is not harmless: it may hold solvents, and its hardener may be isocyanate. Its mist "
        "is breathed like any other.",
    ),
    Caution.DUST: ("Dry pearl or flake: fine dust. Weigh it without draught, keep it out of lungs and eyes.",),
    Caution.SKIN: (
        "Irritates or sensitises skin: gloves of the kind its data sheet names, changed often; eyes and bare "
        "skin covered; wash before eating.",
    ),
    Caution.SPRAY_MIST: (
        "Spraying: most of the mist is not seen and it stays after the gun stops. Booth or extraction, "
        "breathing, eye and skin protection as the data sheet names them; nobody unprotected, no child and "
        "no animal nearby.",
        "The gun is not cleaned by spraying solvent into the air.",
    ),
    Caution.SEE_SHEET: ("Its data sheet names hazards that no line here covers: read them there first.",),
}


def caution_text(caution: Caution) -> tuple[str, ...]:
    """Return the sentences of one caution."""
    return _TEXTS[caution]


def cautions_for(carried: Iterable[Caution]) -> tuple[str, ...]:
    """Return the sentences for everything carried, each caution once in a fixed order, deferring at the end.

    Empty when nothing is carried: silence is no statement about a material.
    """
    known = set(carried)
    sentences = tuple(text for caution in Caution if caution in known for text in _TEXTS[caution])
    return (*sentences, DEFER_TO) if sentences else ()
