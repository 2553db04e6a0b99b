"""What was gathered and learned as plain facts and arrays, and back: for keeping, nothing else."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from sprayout_library.film.gathering import Gathered

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    import numpy.typing as npt

    from sprayout_core.film import Estimate, Ground, Learned

    Array = npt.NDArray[np.float64]
    Spelled = tuple[dict[str, Any], dict[str, Array]]

__all__ = ["gathered_from", "learned_from", "spelled_gathered", "spelled_learned"]

_ARRAYS = ("wavelengths", "absorption", "scattering", "covariance", "most_film")


def spelled_learned(learned: Learned) -> Spelled:
    """Return what was learned as plain facts, and its arrays by their names."""
    widening = learned.widening
    facts = {
        "dyes": learned.dyes,
        "scattering_dyes": learned.scattering_dyes,
        "n": learned.n,
        "trappings": [[*key, one.value, one.uncertainty] for key, one in learned.trappings.items()],
        "film": [[key, one.value, one.uncertainty] for key, one in learned.film.items()],
        "coat_scatter": dict(learned.coat_scatter),
        "um_per_coat": learned.um_per_coat,
        "panels_of": dict(learned.panels_of),
        "suspects": [asdict(one) for one in learned.suspects],
        "accuracy": asdict(learned.accuracy) if learned.accuracy else None,
        "widening": None if widening is None else [[*key, one.factor, one.panels] for key, one in widening.items()],
    }
    return facts, {name: getattr(learned, name) for name in _ARRAYS}


def learned_from(facts: Mapping[str, Any], arrays: Mapping[str, Array]) -> Learned:
    """Return what was learned. Raises KeyError, TypeError, ValueError for facts of another shape."""
    from sprayout_core.film import Accuracy, Estimate, Learned, Suspect, Widening

    widening = facts["widening"]
    return Learned(
        dyes=tuple(facts["dyes"]),
        scattering_dyes=tuple(facts["scattering_dyes"]),
        n=facts["n"],
        trappings={(ground, place): Estimate(*rest) for ground, place, *rest in facts["trappings"]},
        film=_estimates(facts["film"]),
        coat_scatter=facts["coat_scatter"],
        um_per_coat=facts["um_per_coat"],
        panels_of=facts["panels_of"],
        suspects=tuple(Suspect(**one) for one in facts["suspects"]),
        accuracy=Accuracy(**facts["accuracy"]) if facts["accuracy"] else None,
        widening=None if widening is None else {(paint, kind): Widening(*rest) for paint, kind, *rest in widening},
        **{name: arrays[name] for name in _ARRAYS},
    )


def _estimates(rows: list[list[Any]]) -> dict[str, Estimate]:
    from sprayout_core.film import Estimate

    return {name: Estimate(*rest) for name, *rest in rows}


def spelled_gathered(found: Gathered) -> Spelled:
    """Return what was gathered as plain facts, its spectra as rows of one array, each ground once."""
    import numpy as np

    grounds = {id(one): one for one in (*found.grounds.values(), *(step.ground for step in found.steps))}
    places = {identity: place for place, identity in enumerate(grounds)}
    rows: list[Array] = []

    def put(values: Array) -> int:
        rows.append(values)
        return len(rows) - 1

    facts = {
        "called": found.called,
        "all": [
            [
                one.name,
                str(one.kind),
                one.converted,
                one.computed,
                {name: put(values) for name, values in one.readings.items()},
            ]
            for one in grounds.values()
        ],
        "grounds": {key: places[id(one)] for key, one in found.grounds.items()},
        "steps": [
            {
                "panel": one.panel,
                "ground": places[id(one.ground)],
                "shares": dict(one.shares),
                "coats": one.coats,
                "geometry": one.geometry,
                "reading": put(one.reading),
                "film_um": one.film_um,
                "weight": one.weight,
                "shop": one.shop,
                "paint": one.paint,
            }
            for one in found.steps
        ],
        "hazy": sorted(found.hazy),
        "left_out": found.left_out,
        "notes": found.notes,
        "bare": sorted(found.bare),
    }
    return facts, {"rows": np.array(rows, dtype=float)}


def gathered_from(facts: Mapping[str, Any], arrays: Mapping[str, Array]) -> Gathered:
    """Return what was gathered. Raises KeyError, TypeError, ValueError for facts of another shape."""
    from sprayout_core.film import Ground, GroundKind, PanelStep

    rows = arrays["rows"]
    every: list[Ground] = [
        Ground(name, GroundKind(kind), {geometry: rows[row] for geometry, row in readings.items()}, converted, computed)
        for name, kind, converted, computed, readings in facts["all"]
    ]
    return Gathered(
        called=facts["called"],
        grounds={key: every[place] for key, place in facts["grounds"].items()},
        steps=[
            PanelStep(**{**one, "ground": every[one["ground"]], "reading": rows[one["reading"]]})
            for one in facts["steps"]
        ],
        hazy=set(facts["hazy"]),
        left_out=[(panel, reason) for panel, reason in facts["left_out"]],
        notes=list(facts["notes"]),
        bare=set(facts["bare"]),
    )
