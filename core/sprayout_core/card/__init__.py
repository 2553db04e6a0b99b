"""Cards: the printed frame in millimetres and what its windows say, measured from a picture."""

from sprayout_core.card.choose import CorrectionModel, ModelTrial, choose_model
from sprayout_core.card.comparison import StepComparison, compare_with_steps
from sprayout_core.card.evenness import LightField, fit_light
from sprayout_core.card.frames import samples_frame, step_frame
from sprayout_core.card.geometry import homography, lattice_places, lattices, places
from sprayout_core.card.hiding import Hiding, hiding
from sprayout_core.card.keeping import frame_from_tree, frame_tree, result_tree
from sprayout_core.card.layout import CORNERS, Frame, Rect, Window, WindowKind
from sprayout_core.card.models import MODELS, expand
from sprayout_core.card.patch import PixelSummary, fit_to_measure, summarise, summarise_all
from sprayout_core.card.refusal import CardRefused, Refusal
from sprayout_core.card.result import GRADE, CardResult, PatchResult, Reference
from sprayout_core.card.steps import StepBounds, find_steps

__all__ = [
    "CORNERS",
    "GRADE",
    "MODELS",
    "CardRefused",
    "CardResult",
    "CorrectionModel",
    "Frame",
    "Hiding",
    "LightField",
    "ModelTrial",
    "PatchResult",
    "PixelSummary",
    "Rect",
    "Reference",
    "Refusal",
    "StepBounds",
    "StepComparison",
    "Window",
    "WindowKind",
    "choose_model",
    "compare_with_steps",
    "expand",
    "find_steps",
    "fit_light",
    "fit_to_measure",
    "frame_from_tree",
    "frame_tree",
    "hiding",
    "homography",
    "lattice_places",
    "lattices",
    "places",
    "result_tree",
    "samples_frame",
    "step_frame",
    "summarise",
    "summarise_all",
]
