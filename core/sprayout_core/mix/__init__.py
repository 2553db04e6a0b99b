"""A mix: what is in it, how it is written, how much of it, how it is poured, thinned and told."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_core.mix.amount import (
        ML_PER_US_FL_OZ,
        Amount,
        Measure,
        in_grams,
        in_ml,
        masses_of,
        parse_amount,
        to_step,
        volumes_of,
    )
    from sprayout_core.mix.build import (
        SQUARE_FEET_PER_GALLON_MIL,
        coverage_m2_per_l,
        dry_film_um,
        gun_wet_film_um,
        laid_ml,
        passes_over_a_point,
        wet_film_um,
    )
    from sprayout_core.mix.cautions import DEFER_TO, Caution, caution_text, cautions_for
    from sprayout_core.mix.flattening import NeedsDensity, as_sprayed, by_mass, composition, density, grams
    from sprayout_core.mix.cost import Cost, Price, cost_of
    from sprayout_core.mix.cups import (
        ColumnPour,
        Dropper,
        Drops,
        MarkedCup,
        PrintedColumn,
        PrintedCup,
        Scale,
        drops_for,
        pour_by_column,
        pour_by_marks,
        pour_by_scale,
    )
    from sprayout_core.mix.flow_cups import (
        FLOW_CUPS,
        FlowCup,
        Viscosity,
        at_other_temperature,
        flow_cup,
        seconds_in,
        viscosity,
    )
    from sprayout_core.mix.job import NO_REDUCER, Coats, Job, JobNeed, ReduceOf, Reduction, job_need
    from sprayout_core.mix.leftovers import PouredCup, contents, left_in, remainders
    from sprayout_core.mix.line import Line, LineError, Part, parse_line, read_back
    from sprayout_core.mix.need import MixNeed, Wanted, todays_need
    from sprayout_core.mix.pot_life import Action, Deed, PotLife, Standing, standing
    from sprayout_core.mix.pour import ONE_PERCENT, Pour, PourList, pour_list, targets
    from sprayout_core.mix.rescuing import Cure, Rescue, rescue, stretch
    from sprayout_core.mix.strainers import MESH_UM, holds_back, mesh_about, mesh_beside, opening_um, parse_strainer
    from sprayout_core.mix.taper import CalibratedCup, Taper, calibrated, water_g_per_ml
    from sprayout_core.mix.voc import ASK_LOCALLY, G_PER_L_IN_LB_PER_GAL, Coating, Voc, voc_as_applied, voc_from_masses
    from sprayout_core.mix.wrong_cup import CupCheck, check_cup, dye_share

__all__ = [
    "ASK_LOCALLY",
    "DEFER_TO",
    "FLOW_CUPS",
    "G_PER_L_IN_LB_PER_GAL",
    "MESH_UM",
    "ML_PER_US_FL_OZ",
    "NO_REDUCER",
    "ONE_PERCENT",
    "SQUARE_FEET_PER_GALLON_MIL",
    "Action",
    "Amount",
    "CalibratedCup",
    "Caution",
    "Coating",
    "Coats",
    "ColumnPour",
    "Cost",
    "CupCheck",
    "Cure",
    "Deed",
    "Dropper",
    "Drops",
    "FlowCup",
    "Job",
    "JobNeed",
    "Line",
    "LineError",
    "MarkedCup",
    "Measure",
    "MixNeed",
    "NeedsDensity",
    "Part",
    "PotLife",
    "Pour",
    "PourList",
    "PouredCup",
    "Price",
    "PrintedColumn",
    "PrintedCup",
    "ReduceOf",
    "Reduction",
    "Rescue",
    "Scale",
    "Standing",
    "Taper",
    "Viscosity",
    "Voc",
    "Wanted",
    "as_sprayed",
    "at_other_temperature",
    "by_mass",
    "calibrated",
    "caution_text",
    "cautions_for",
    "check_cup",
    "composition",
    "contents",
    "cost_of",
    "coverage_m2_per_l",
    "density",
    "drops_for",
    "dry_film_um",
    "dye_share",
    "flow_cup",
    "grams",
    "gun_wet_film_um",
    "holds_back",
    "in_grams",
    "in_ml",
    "job_need",
    "laid_ml",
    "left_in",
    "masses_of",
    "mesh_about",
    "mesh_beside",
    "opening_um",
    "parse_amount",
    "parse_line",
    "parse_strainer",
    "passes_over_a_point",
    "pour_by_column",
    "pour_by_marks",
    "pour_by_scale",
    "pour_list",
    "read_back",
    "remainders",
    "rescue",
    "seconds_in",
    "standing",
    "stretch",
    "targets",
    "to_step",
    "todays_need",
    "viscosity",
    "voc_as_applied",
    "voc_from_masses",
    "volumes_of",
    "water_g_per_ml",
    "wet_film_um",
]

#: Which module holds each name: one is loaded when it is first asked for, so that commands start fast.
_HELD_BY = {
    "amount": (
        "Amount",
        "ML_PER_US_FL_OZ",
        "Measure",
        "in_grams",
        "in_ml",
        "masses_of",
        "parse_amount",
        "to_step",
        "volumes_of",
    ),
    "build": (
        "SQUARE_FEET_PER_GALLON_MIL",
        "coverage_m2_per_l",
        "dry_film_um",
        "gun_wet_film_um",
        "laid_ml",
        "passes_over_a_point",
        "wet_film_um",
    ),
    "cautions": (
        "Caution",
        "DEFER_TO",
        "caution_text",
        "cautions_for",
    ),
    "flattening": (
        "NeedsDensity",
        "as_sprayed",
        "by_mass",
        "composition",
        "density",
        "grams",
    ),
    "cost": (
        "Cost",
        "Price",
        "cost_of",
    ),
    "cups": (
        "ColumnPour",
        "Dropper",
        "Drops",
        "MarkedCup",
        "PrintedColumn",
        "PrintedCup",
        "Scale",
        "drops_for",
        "pour_by_column",
        "pour_by_marks",
        "pour_by_scale",
    ),
    "flow_cups": (
        "FLOW_CUPS",
        "FlowCup",
        "Viscosity",
        "at_other_temperature",
        "flow_cup",
        "seconds_in",
        "viscosity",
    ),
    "job": (
        "Coats",
        "Job",
        "JobNeed",
        "NO_REDUCER",
        "ReduceOf",
        "Reduction",
        "job_need",
    ),
    "leftovers": (
        "PouredCup",
        "contents",
        "left_in",
        "remainders",
    ),
    "line": (
        "Line",
        "LineError",
        "Part",
        "parse_line",
        "read_back",
    ),
    "need": (
        "MixNeed",
        "Wanted",
        "todays_need",
    ),
    "pot_life": (
        "Action",
        "Deed",
        "PotLife",
        "Standing",
        "standing",
    ),
    "pour": (
        "ONE_PERCENT",
        "Pour",
        "PourList",
        "pour_list",
        "targets",
    ),
    "rescuing": (
        "Cure",
        "Rescue",
        "rescue",
        "stretch",
    ),
    "strainers": (
        "MESH_UM",
        "holds_back",
        "mesh_about",
        "mesh_beside",
        "opening_um",
        "parse_strainer",
    ),
    "taper": (
        "CalibratedCup",
        "Taper",
        "calibrated",
        "water_g_per_ml",
    ),
    "voc": (
        "ASK_LOCALLY",
        "Coating",
        "G_PER_L_IN_LB_PER_GAL",
        "Voc",
        "voc_as_applied",
        "voc_from_masses",
    ),
    "wrong_cup": (
        "CupCheck",
        "check_cup",
        "dye_share",
    ),
}
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
