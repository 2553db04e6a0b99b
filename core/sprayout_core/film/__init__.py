"""Film: what a dye coat does over a ground, learned from panels, predicted before spraying, searched."""

from sprayout_core.film.bottle import (
    BottleCheck,
    corrected_parts,
    new_bottle,
    on_shelf,
)
from sprayout_core.film.clear import (
    bare_to_cleared,
    clear_layer,
    cleared_to_inner,
    inner_to_cleared,
    kept_inside,
    passed_out,
)
from sprayout_core.film.coats import (
    CoatCount,
    StepCard,
    coats_of,
    evened,
    predicted_card,
)
from sprayout_core.film.correction import (
    PotCorrection,
    correct_pot,
    correct_recipe,
)
from sprayout_core.film.depth import (
    DepthAndCoverage,
    depth_against_coverage,
)
from sprayout_core.film.forgiveness import (
    Forgiveness,
    compared,
    forgiveness,
)
from sprayout_core.film.geometry import (
    Geometry,
    geometry_of,
    path,
)
from sprayout_core.film.grid import (
    Cell,
    Rung,
    WorthSpraying,
    predicted_grid,
    ratio_ladder,
    worth_spraying,
)
from sprayout_core.film.hazy import (
    hazy_layer,
)
from sprayout_core.film.keyed import (
    Pigment,
    keyed_ground,
    pigment_from_tint,
    white_pigment,
)
from sprayout_core.film.knowledge import (
    Accuracy,
    Estimate,
    Learned,
    Suspect,
    Widening,
)
from sprayout_core.film.learn import (
    learn,
    learn_quickly,
)
from sprayout_core.film.more_coats import (
    NextCoats,
    film_factor,
    more_coats,
    more_coats_seen,
    needed,
)
from sprayout_core.film.next_coat import (
    next_coat,
)
from sprayout_core.film.panel import (
    Ground,
    GroundKind,
    PanelStep,
    ground_from_bare,
)
from sprayout_core.film.prediction import (
    D65_10,
    Prediction,
    Trial,
    predict,
    predict_readings,
)
from sprayout_core.film.refining import (
    Change,
    Refined,
    Written,
    refine,
)
from sprayout_core.film.repair import (
    SpotRepair,
    spot_repair,
)
from sprayout_core.film.reproduction import (
    Cause,
    Reproduction,
    reproduction,
)
from sprayout_core.film.search import (
    CARRIER,
    Means,
    Proposal,
    pourable,
    search,
    shares_of,
)
from sprayout_core.film.surface import (
    diffuse_external,
    diffuse_internal,
    fresnel,
    saunderson,
    saunderson_excluded,
    saunderson_excluded_inverse,
    saunderson_inverse,
)
from sprayout_core.film.target import (
    Grade,
    Target,
    target_from_lab,
    target_from_readings,
    wished,
)
from sprayout_core.film.two_flux import (
    coats_to_hide,
    contrast_ratio,
    opaque,
    opaque_mix,
    opaque_ratio,
    relative_constants,
    two_flux,
    two_flux_transmittance,
)

__all__ = [
    "CARRIER",
    "D65_10",
    "Accuracy",
    "BottleCheck",
    "Cause",
    "Cell",
    "Change",
    "CoatCount",
    "DepthAndCoverage",
    "Estimate",
    "Forgiveness",
    "Geometry",
    "Grade",
    "Ground",
    "GroundKind",
    "Learned",
    "Means",
    "NextCoats",
    "PanelStep",
    "Pigment",
    "PotCorrection",
    "Prediction",
    "Proposal",
    "Refined",
    "Reproduction",
    "Rung",
    "SpotRepair",
    "StepCard",
    "Suspect",
    "Target",
    "Trial",
    "Widening",
    "WorthSpraying",
    "Written",
    "bare_to_cleared",
    "clear_layer",
    "cleared_to_inner",
    "coats_of",
    "coats_to_hide",
    "compared",
    "contrast_ratio",
    "correct_pot",
    "correct_recipe",
    "corrected_parts",
    "depth_against_coverage",
    "diffuse_external",
    "diffuse_internal",
    "evened",
    "film_factor",
    "forgiveness",
    "fresnel",
    "geometry_of",
    "ground_from_bare",
    "hazy_layer",
    "inner_to_cleared",
    "kept_inside",
    "keyed_ground",
    "learn",
    "learn_quickly",
    "more_coats",
    "more_coats_seen",
    "needed",
    "new_bottle",
    "next_coat",
    "on_shelf",
    "opaque",
    "opaque_mix",
    "opaque_ratio",
    "passed_out",
    "path",
    "pigment_from_tint",
    "pourable",
    "predict",
    "predict_readings",
    "predicted_card",
    "predicted_grid",
    "ratio_ladder",
    "refine",
    "relative_constants",
    "reproduction",
    "saunderson",
    "saunderson_excluded",
    "saunderson_excluded_inverse",
    "saunderson_inverse",
    "search",
    "shares_of",
    "spot_repair",
    "target_from_lab",
    "target_from_readings",
    "two_flux",
    "two_flux_transmittance",
    "white_pigment",
    "wished",
    "worth_spraying",
]
