"""What was measured between two panels: words first, then numbers, in any light; whether it is real; in or out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from sprayout_core.documents import Library, Panel, Piece, Reading, Tolerance
from sprayout_core.documents.which import is_recipe
from sprayout_core.errors import SprayoutError
from sprayout_library.record.asked import formula_of_plugin, light_from_file
from sprayout_library.record.evidence import Evidence
from sprayout_library.record.measured import Colour, colours_of, default_view, spectra_of
from sprayout_library.store import Store, manifest
from sprayout_library.store.reader import ObjectReader

if TYPE_CHECKING:
    from sprayout_core.difference import Formula, Match
    from sprayout_core.light import Colour as SeenColour
    from sprayout_core.light import View

__all__ = ["Between", "compare_panels", "difference_formula", "manifest_is", "manifest_of", "place_words", "views_of"]

#: What was read of each open library last, with the commit it was read at: listing one asks git each time.
_MANIFESTS: WeakKeyDictionary[ObjectReader, tuple[str | None, Library | None]] = WeakKeyDictionary()
#: The names that a manifest and a tolerance may use, and those of the difference room.
_FORMULAS = {"cie76": "cie1976", "cmc": "cmc-2-1"}
#: Two readings match where their difference is at most this; stated beside every verdict on a match.
MATCH_LIMIT = 1.0


@dataclass(slots=True)
class Between:
    """What was measured, in words; `numbers` and `table` hold the same in figures, `swatches` what it looks like."""

    lines: list[str] = field(default_factory=list)
    table: list[tuple[str, ...]] = field(default_factory=list)
    numbers: list[dict[str, Any]] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    swatches: list[tuple[str, str, str]] = field(default_factory=list)


def manifest_of(store: Store) -> Library | None:
    """Return the manifest that counts, where there is one; read once for each state that a store reads."""
    held = _MANIFESTS.get(store.reader)
    if held is None or held[0] != store.head:
        held = _MANIFESTS[store.reader] = store.head, manifest(store)
    return held[1]


def manifest_is(store: Store, found: Library | None) -> None:
    """Tell the manifest that counts in the state a store reads, where it was worked out already."""
    _MANIFESTS[store.reader] = store.head, found


def views_of(store: Store, lights: Sequence[str]) -> list[View]:
    """Return the views of the lights named, or the manifest's own. A name that ends in .csv is a light's own table.

    Raises UnknownLightError, LightError.
    """
    from sprayout_core.light import View, named_view

    found = []
    for light in lights:
        own = light.lower().endswith(".csv")
        found.append(View(light_from_file(Path(light)), 10) if own else named_view(light))
    return found or [default_view(manifest_of(store))]


def difference_formula(store: Store, name: str | None = None) -> tuple[str, Formula]:
    """Return a difference formula by its name: the one asked for, else the library's own, else CIEDE2000.

    A name that is none of the built-in ones is asked of the plugins. Raises SprayoutError where nobody knows it.
    """
    from sprayout_core.difference import FORMULAS, formula

    manifest = manifest_of(store)
    chosen = name or (manifest.difference if manifest else None) or "ciede2000"
    own = _FORMULAS.get(chosen, chosen)
    return chosen, formula(own) if own in FORMULAS else formula_of_plugin(chosen)


def compare_panels(
    store: Store,
    evidence: Evidence,
    standard: Panel,
    trial: Panel,
    views: Sequence[View],
    formula: str | None = None,
    at: tuple[Piece | None, Piece | None] = (None, None),
) -> Between:
    """Return what was measured between two panels, spot by spot, geometry by geometry, light by light.

    at  the one spot of the standard, and of the trial, that is meant: a step is held against a whole piece
    """
    chosen = difference_formula(store, formula)
    found = Between()
    said = f"{_called(trial, at[1])} against {_called(standard, at[0])}"
    ours, theirs = _read_on(evidence, standard, at[0]), _read_on(evidence, trial, at[1])
    unmatched = []
    for view in views:
        matched = [
            _spots(chosen, said, (standard, one), (trial, other), found)
            for one in colours_of(ours, view)
            for other in colours_of(theirs, view)
        ]
        if not any(matched):
            unmatched.append(str(view))
    if len(unmatched) == len(views):
        found.lines.append(f"{said}: unknown, no readings of the same stage and geometry")
        return found
    if unmatched:
        lights = " and ".join(unmatched)
        found.cautions.append(
            f"nothing is said under {lights}: L*a*b* without a spectrum is known in its own light only"
        )
    _lights(said, ours, theirs, found)
    _real(said, ours, theirs, views[0], found)
    if _is_standard(store, standard, at[0]):
        _verdict(store, standard, (_called(trial, at[1]), theirs), ours, found)
    _warm([*ours, *theirs], found)
    return found


def _called(panel: Panel, at: Piece | None) -> str:
    place = "/".join(one for one in (at.step, (at.zone or "").replace("_", " ")) if one) if at else ""
    return f"{panel.name}/{place}" if place else panel.name


def _read_on(evidence: Evidence, panel: Panel, at: Piece | None) -> list[Reading]:
    """Return the readings of a panel, or those of one spot of it; a step's as those of a piece of its own."""
    readings = list(evidence.readings.get(panel.id, []))
    if at is None or (at.step is None and at.zone is None):
        return readings
    here = [one for one in readings if (one.zone, one.step) == (at.zone, at.step)]
    return [_whole(one) for one in here]


def _whole(reading: Reading) -> Reading:
    """Return a reading as one of a whole piece; it may be a model, or be there to look at only."""
    import msgspec

    if isinstance(reading, msgspec.Struct):
        return msgspec.structs.replace(reading, step=None)
    return reading.model_copy(update={"step": None})


def _is_standard(store: Store, panel: Panel, at: Piece | None) -> bool:
    """Return whether a panel, or the spot of it that is meant, is the standard of its recipe over its ground."""
    recipe = store.get(panel.recipe) if panel.recipe else None
    if not is_recipe(recipe) or panel.ground is None:
        return False
    chosen = (recipe.standards or {}).get(panel.ground.id)
    spot = (at.zone, at.step) if at else (None, None)
    return chosen is not None and (chosen.panel, chosen.zone, chosen.step) == (panel.id, *spot)


def _spots(
    chosen: tuple[str, Formula],
    said: str,
    standard: tuple[Panel, Colour],
    trial: tuple[Panel, Colour],
    found: Between,
) -> bool:
    one, other = standard[1], trial[1]
    if (one.spot.zone, one.spot.step) != (other.spot.zone, other.spot.step):
        return False
    if one.spot.grade != other.spot.grade:
        caution = f"{standard[0].name} is known by {one.spot.grade}, {trial[0].name} by {other.spot.grade}: never mixed"
        found.cautions.append(caution)
        return False
    if one.spot.stage != other.spot.stage:
        caution = f"{standard[0].name} was measured {one.spot.stage}, {trial[0].name} {other.spot.stage}: not compared"
        found.cautions.append(caution)
        return False
    shared = sorted(set(one.seen) & set(other.seen))
    for geometry in shared:
        _at(chosen, said, one, geometry, one.seen[geometry], other.seen[geometry], found)
    return bool(shared)


def _at(
    chosen: tuple[str, Formula],
    said: str,
    spot: Colour,
    geometry: str,
    ours: SeenColour,
    theirs: SeenColour,
    found: Between,
) -> None:
    from sprayout_core.difference import components, words
    from sprayout_core.light import comparable, hexadecimal, srgb

    comparable(ours, theirs)
    name, formula = chosen
    difference = float(formula(ours.lab, theirs.lab))
    apart = components(ours.lab, theirs.lab)
    direction = str(words(ours.lab, theirs.lab))
    where = f", {spot.spot.said()}" if spot.spot.step or spot.spot.zone else ""
    found.lines.append(f"{said}{where}: {direction} {place_words(geometry)}, {ours.view}")
    steps = {"dL*": float(apart.lightness), "dC*": float(apart.chroma), "dH*": float(apart.hue)}
    told = [f"{step} {value:+.2f}" for step, value in steps.items()]
    found.table.append((said + where, geometry, str(ours.view), f"{short_name(name)} {difference:.2f}", *told))
    for label, seen in (("standard", ours), ("trial", theirs)):
        screen = srgb(seen.lab, seen.view)
        inside = "" if bool(screen.in_gamut) else "beyond this screen"
        found.swatches.append((f"{label} {geometry}", str(hexadecimal(screen.rgb)), inside))
    found.numbers.append(
        {
            "of": said,
            "spot": spot.spot.said(),
            "geometry": geometry,
            "view": str(ours.view),
            "white": [round(float(value), 4) for value in ours.white],
            "stage": spot.spot.stage,
            "grade": spot.spot.grade,
            "words": direction,
            "formula": name,
            "difference": round(difference, 4),
            **{step: round(value, 4) for step, value in steps.items()},
            "standard": [round(float(value), 4) for value in ours.lab],
            "trial": [round(float(value), 4) for value in theirs.lab],
        }
    )


def short_name(formula: str) -> str:
    """Return how a difference is written in a table: dE00, dE76 ..."""
    return {"ciede2000": "dE00", "cie76": "dE76", "din99": "dE99"}.get(formula, formula)


def place_words(geometry: str) -> str:
    """Return a geometry as people say it: at the face (45as15), at 45:0."""
    from sprayout_core.reading import angle

    try:
        return str(angle(geometry).spoken)
    except SprayoutError:
        return f"at {geometry}"


def _lights(said: str, ours: Sequence[Reading], theirs: Sequence[Reading], found: Between) -> None:
    """Say in which lights the two match, where both have spectra of one spot, geometry and grid."""
    from sprayout_core.difference import match_in_lights

    first, second = spectra_of(ours), spectra_of(theirs)
    for (spot, geometry), (nm, values) in first.items():
        for (other, angle), (grid, trial) in second.items():
            same = (spot.zone, spot.step, spot.stage, geometry) == (other.zone, other.step, other.stage, angle)
            if same and nm.shape == grid.shape and bool((nm == grid).all()):
                told = _match_words(match_in_lights(values, trial, nm, MATCH_LIMIT))
                found.lines.append(f"{said}, {geometry}, within {MATCH_LIMIT:g}: {told}")


def _match_words(match: Match) -> str:
    """Return in which lights a pair matches; where in all or in none, only the extremes are told."""
    least = min(match.pairs, key=lambda pair: pair.difference)
    most = max(match.pairs, key=lambda pair: pair.difference)
    if most.matches:
        return f"matches in every light looked at (most apart in {most.name}, {most.difference:.1f})"
    if not least.matches:
        apart = f"least in {least.name}, {least.difference:.1f}; most in {most.name}, {most.difference:.1f}"
        return f"matches in no light ({apart})"
    return str(match)


def _real(said: str, ours: Sequence[Reading], theirs: Sequence[Reading], view: View, found: Between) -> None:
    """Say whether the difference is real, where repeats tell how much the instruments scatter."""
    from sprayout_core.reading import Measured, is_real, repeatability, spread
    from sprayout_library.record.measured import repeats_of

    first, second = repeats_of(ours, view), repeats_of(theirs, view)
    for (spot, geometry), one in first.items():
        for (other, angle), two in second.items():
            if (spot.zone, spot.step, spot.stage, spot.grade, geometry) != (
                other.zone,
                other.step,
                other.stage,
                other.grade,
                angle,
            ):
                continue
            if len(one) + len(two) < 6:  # fewer say too little of the scatter
                continue
            scatter = repeatability(*(spread(labs) for labs in (one, two) if len(labs) > 1))
            means = (Measured(labs.mean(axis=0), scatter, len(labs)) for labs in (one, two))
            found.lines.append(f"{said}, {geometry}: {is_real(*means)}")


def _verdict(
    store: Store,
    standard: Panel,
    trial: tuple[str, Sequence[Reading]],
    ours: Sequence[Reading],
    found: Between,
) -> None:
    """Say in, near or out, where the recipe of the standard has a tolerance."""
    recipe = store.get(standard.recipe) if standard.recipe else None
    if not is_recipe(recipe) or recipe.tolerance is None:
        return
    called, theirs = trial
    from sprayout_core.difference import judge
    from sprayout_core.reading import tell

    view = _tolerance_view(store, recipe.tolerance)
    for one in colours_of(ours, view):
        for other in colours_of(theirs, view):
            same = (one.spot.zone, one.spot.step, one.spot.stage, one.spot.grade)
            if same != (other.spot.zone, other.spot.step, other.spot.stage, other.spot.grade):
                continue
            shared = sorted(set(one.seen) & set(other.seen))
            limits = _limits(recipe.tolerance, shared)
            if limits is not None:
                judged = {geometry: one.seen[geometry] for geometry in limits.limits}
                seen = {geometry: other.seen[geometry] for geometry in limits.limits}
                verdict = judge(judged, seen, limits)
                found.lines.insert(0, f"{called}: {tell(verdict)}")
                found.numbers.append({"verdict": str(verdict.state), "of": called, "worst": verdict.worst.geometry})


def _tolerance_view(store: Store, tolerance: Tolerance) -> View:
    from sprayout_core.light import View

    home = default_view(manifest_of(store))
    return View(tolerance.illuminant or home.illuminant, tolerance.observer or home.observer)


def _limits(tolerance: Tolerance, geometries: Sequence[str]) -> Any:
    from sprayout_core.difference import Limit
    from sprayout_core.difference import Tolerance as Table

    table: Mapping[str, Any] = tolerance.limits
    limits = {}
    near = 1.25
    for geometry in geometries:
        one = table.get(geometry) or table.get("any")
        if one is not None:
            limits[geometry] = Limit(one.difference, one.lightness, one.chroma, one.hue)
            near = float(one.near) if one.near else near
    return Table(limits, _FORMULAS.get(tolerance.formula, tolerance.formula), near) if limits else None


def _warm(readings: Sequence[Reading], found: Between) -> None:
    from sprayout_core.reading import warm_panel

    for reading in readings:
        if reading.temperature_degc is not None and (caution := warm_panel(float(reading.temperature_degc))):
            found.cautions.append(caution)
    found.cautions = list(dict.fromkeys(found.cautions))
