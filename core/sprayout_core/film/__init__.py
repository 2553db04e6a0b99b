"""Film: what a dye coat does over a ground, learned from panels, predicted before spraying, searched backward."""

from sprayout_core.film.clear import (
    bare_to_cleared,
    clear_layer,
    cleared_to_inner,
    inner_to_cleared,
    kept_inside,
    passed_out,
)
from sprayout_core.film.geometry import Geometry, geometry_of, path
from sprayout_core.film.surface import (
    diffuse_external,
    diffuse_internal,
    fresnel,
    saunderson,
    saunderson_excluded,
    saunderson_excluded_inverse,
    saunderson_inverse,
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
    "Geometry",
    "bare_to_cleared",
    "clear_layer",
    "cleared_to_inner",
    "coats_to_hide",
    "contrast_ratio",
    "diffuse_external",
    "diffuse_internal",
    "fresnel",
    "geometry_of",
    "inner_to_cleared",
    "kept_inside",
    "opaque",
    "opaque_mix",
    "opaque_ratio",
    "passed_out",
    "path",
    "relative_constants",
    "saunderson",
    "saunderson_excluded",
    "saunderson_excluded_inverse",
    "saunderson_inverse",
    "two_flux",
    "two_flux_transmittance",
]
