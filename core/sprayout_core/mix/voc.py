"""VOC as applied, with its inputs: mass of solvent per volume, and less water and exempt compounds.

The arithmetic is that of ASTM D3960 and US EPA Method 24. Limits, categories and lists of exempt
compounds are local law and are not known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import positive, told, zero_or_more

__all__ = ["ASK_LOCALLY", "G_PER_L_IN_LB_PER_GAL", "Coating", "Voc", "voc_as_applied", "voc_from_masses"]

#: One pound per US gallon in g/l: 453.59237 g over 3.785411784 l (both exact by definition).
G_PER_L_IN_LB_PER_GAL = Fraction("453.59237") / Fraction("3.785411784")

ASK_LOCALLY = "Limits, categories and exempt compounds are local law: ask your local rule which figure counts."


@dataclass(frozen=True, slots=True)
class Coating:
    """What the data sheet says of one material; shares are of its mass.

    solids           non-volatile share
    water, exempt    shares of the volatile part that do not count; their densities in g/ml
    """

    density_g_per_ml: Fraction
    solids: Fraction
    water: Fraction = Fraction(0)
    exempt: Fraction = Fraction(0)
    exempt_g_per_ml: Fraction | None = None
    water_g_per_ml: Fraction = Fraction("0.998")


@dataclass(frozen=True, slots=True)
class Voc:
    """VOC per volume, in the units of mass and volume given: g/ml from voc_from_masses, g/l as applied.

    actual                  per volume of the whole
    less_water_and_exempt   per volume without water and exempt compounds
    inputs                  what it was computed from, to be shown beside it
    """

    actual: Fraction
    less_water_and_exempt: Fraction
    inputs: tuple[str, ...]


def voc_from_masses(
    volatile: Fraction,
    volume: Fraction,
    *,
    water: Fraction = Fraction(0),
    exempt: Fraction = Fraction(0),
    water_volume: Fraction = Fraction(0),
    exempt_volume: Fraction = Fraction(0),
) -> Voc:
    """Return VOC from masses and volumes in any one pair of units.

    (volatile - water - exempt) / volume, and the same mass / (volume - water volume - exempt volume).
    """
    mass = volatile - zero_or_more(water, "water") - zero_or_more(exempt, "exempt")
    if mass < 0:
        raise SprayoutError("water and exempt compounds weigh more than all that evaporates", "Check the shares.")
    rest = positive(volume, "volume") - zero_or_more(water_volume, "water") - zero_or_more(exempt_volume, "exempt")
    if rest <= 0:
        raise SprayoutError("water and exempt compounds take up the whole volume", "Check densities and shares.")
    inputs = tuple(
        f"{name} {told(value, 4)}"
        for name, value in (
            ("volatile mass", volatile),
            ("water mass", water),
            ("exempt mass", exempt),
            ("volume", volume),
            ("water volume", water_volume),
            ("exempt volume", exempt_volume),
        )
    )
    return Voc(mass / volume, mass / rest, inputs)


def voc_as_applied(coatings: Sequence[tuple[Fraction, Coating]]) -> Voc:
    """Return VOC in g/l of a mix ready to spray, from the millilitres of each coating and reducer in it.

    Volumes are taken to add (as ASTM D5201 does).
    """
    if not coatings:
        raise SprayoutError("nothing is in the mix", "Give at least one material with its millilitres.")
    volume = volatile = water = exempt = water_ml = exempt_ml = Fraction(0)
    for ml, coating in coatings:
        grams = positive(ml, "millilitres") * positive(coating.density_g_per_ml, "density")
        _check_shares(coating)
        volume += ml
        volatile += grams * (1 - coating.solids)
        water += grams * coating.water
        water_ml += grams * coating.water / positive(coating.water_g_per_ml, "density of water")
        if coating.exempt:
            exempt += grams * coating.exempt
            exempt_ml += grams * coating.exempt / _exempt_density(coating)
    found = voc_from_masses(
        volatile, volume, water=water, exempt=exempt, water_volume=water_ml, exempt_volume=exempt_ml
    )
    return Voc(found.actual * 1000, found.less_water_and_exempt * 1000, found.inputs)


def _check_shares(coating: Coating) -> None:
    shares = {"solids": coating.solids, "water": coating.water, "exempt": coating.exempt}
    whole = sum((zero_or_more(value, name) for name, value in shares.items()), Fraction(0))
    if whole > 1:
        raise SprayoutError(
            f"solids, water and exempt shares add up to {told(whole)}",
            "They are shares of 1 by mass.",
            place="solids",
        )


def _exempt_density(coating: Coating) -> Fraction:
    if coating.exempt_g_per_ml is None:
        raise SprayoutError("the exempt compound's density is not known", "Give it in g/ml.", place="exempt_g_per_ml")
    return positive(coating.exempt_g_per_ml, "exempt_g_per_ml")
