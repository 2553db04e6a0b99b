"""Keyed grounds that are mixes: their colour from panels of their parts, where no piece of them was read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sprayout_core.documents import Formula, Material
from sprayout_core.errors import SprayoutError
from sprayout_library.film.gathering import Gathered
from sprayout_library.film.shares import dry_shares, mix_shares
from sprayout_library.store import Store

if TYPE_CHECKING:
    from sprayout_core.film import Ground, Learned, Pigment

__all__ = ["KeyedGrounds", "keyed_grounds"]

#: What may be in a ground that hides, and what of it neither colours nor hides.
_HIDING = ("solid", "sealer")
_COLOURED = (*_HIDING, "dye", "pearl", "flake", "metallic")
_BRIGHT = 0.5


@dataclass(frozen=True, slots=True)
class KeyedGrounds:
    """Grounds by the id of their formula, and for those that cannot be known what would have to be sprayed."""

    grounds: Mapping[str, Ground]
    missing: Mapping[str, str]


def keyed_grounds(store: Store, found: Gathered, learned: Learned) -> KeyedGrounds:
    """Return the keyed grounds of a library: mixes of solid colours, sealers and dyes that hide, never read themselves.

    White and each colour enter by what was read of them where they hide (a piece of the ground without coats: the
    colour neat, and one tint of it with the white), or, where all parts were sprayed over white and black, by the
    absorption and scattering learned there. By volume of dry film; a reducer, a carrier and a clear leave no colour.
    """
    grounds: dict[str, Ground] = {}
    missing: dict[str, str] = {}
    parts = {one.id: one for one in store.documents("material") if isinstance(one, Material)}
    if not any(one.role in _HIDING for one in parts.values()):
        return KeyedGrounds(grounds, missing)
    mixes = dict(_mixes(store, parts))
    for key, shares in mixes.items():
        if key in found.grounds:
            continue
        name = found.name(store.get(key) or parts[next(iter(shares))])
        try:
            grounds[key] = _ground(name, shares, mixes, found, learned, parts)
        except SprayoutError as error:
            missing[key] = error.fault.remedy or error.fault.problem
    return KeyedGrounds(grounds, missing)


def _mixes(store: Store, parts: Mapping[str, Material]) -> Iterable[tuple[str, dict[str, float]]]:
    """Yield formulas with something that hides in them, and the dry shares of what colours or hides."""
    for formula in store.documents("formula"):
        if not isinstance(formula, Formula) or formula.withdrawn is not None or formula.mix is None:
            continue
        try:
            dry = dry_shares(mix_shares(formula, store.find), store.find)
        except SprayoutError:
            continue  # an open slot, a mix by mass, a part that is not here: said where the mix itself is asked for
        shares = {key: float(share) for key, share in dry.items() if key in parts and parts[key].role in _COLOURED}
        if any(parts[key].role in _HIDING for key in shares):
            yield formula.id, shares


def _ground(
    name: str,
    shares: Mapping[str, float],
    mixes: Mapping[str, Mapping[str, float]],
    found: Gathered,
    learned: Learned,
    parts: Mapping[str, Material],
) -> Ground:
    from sprayout_core.film import keyed_ground

    learned_parts = _as_learned(shares, found, learned)
    if learned_parts is not None:
        geometries = dict.fromkeys(step.geometry for step in found.steps)
        return keyed_ground(name, {at: learned_parts for at in geometries}, shares)
    white = _white(shares, found, parts)
    geometries = dict.fromkeys(found.grounds[white].readings)
    pigments = {at: _pigments(white, shares, mixes, found, parts, at) for at in geometries}
    return keyed_ground(name, pigments, shares)


def _as_learned(shares: Mapping[str, float], found: Gathered, learned: Learned) -> dict[str, Pigment] | None:
    """Return what was learned of each part over white and black, or None where not all of them were."""
    from sprayout_core.film import Pigment

    rows = {}
    for key in shares:
        name = found.called.get(key)
        if name not in learned.dyes:
            return None
        row = learned.dyes.index(name)
        rows[key] = Pigment(learned.absorption[row], learned.scattering[row])
    return rows if any(one.scattering.any() for one in rows.values()) else None


def _white(shares: Mapping[str, float], found: Gathered, parts: Mapping[str, Material]) -> str:
    """Return the lightest part that was read where it hides."""
    read = {key: _light(found.grounds[key]) for key in shares if key in found.grounds}
    best = max(read, key=lambda key: read[key], default="")
    if not best or read[best] < _BRIGHT:
        whites = [parts[key].name for key in shares if parts[key].role in _HIDING]
        raise SprayoutError(
            "its white was never read", f"Spray {' or '.join(whites)} until it hides, and read it (--steps 0)."
        )
    return best


def _light(ground: Ground) -> float:
    return max(float(values.mean()) for values in ground.readings.values())


def _pigments(
    white: str,
    shares: Mapping[str, float],
    mixes: Mapping[str, Mapping[str, float]],
    found: Gathered,
    parts: Mapping[str, Material],
    geometry: str,
) -> dict[str, Pigment]:
    from sprayout_core.film import pigment_from_tint, white_pigment

    base = found.grounds[white].reading(geometry)
    made = {white: white_pigment(base, geometry)}
    for key in shares:
        if key == white:
            continue
        tint = _tint(white, key, mixes, found, geometry)
        neat = found.grounds.get(key)
        colour = parts[key]
        if tint is None or (colour.role in _HIDING and (neat is None or geometry not in neat.readings)):
            how = f"Spray a tint of it, about 1 {colour.name} : 6 {parts[white].name}, until it hides"
            also = f", and {colour.name} neat the same way" if colour.role in _HIDING else ""
            raise SprayoutError(
                f"{colour.name} is not known beside its white", f"{how}{also}, and read them (--steps 0)."
            )
        share, reading = tint
        own = neat.reading(geometry) if neat is not None and geometry in neat.readings else None
        made[key] = pigment_from_tint(base, reading, share, geometry, own if colour.role in _HIDING else None)
    return made


def _tint(
    white: str, colour: str, mixes: Mapping[str, Mapping[str, float]], found: Gathered, geometry: str
) -> tuple[float, Any] | None:
    """Return the colour's share of a tint with the white that was read, and its reading: the one nearest a fifth."""
    tints = []
    for key, shares in mixes.items():
        if set(shares) == {white, colour} and key in found.grounds and geometry in found.grounds[key].readings:
            tints.append((shares[colour] / sum(shares.values()), found.grounds[key].reading(geometry)))
    return min(tints, key=lambda one: abs(one[0] - 0.2), default=None)
