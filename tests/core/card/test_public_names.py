import sprayout_core.card as card


def test_public_names():
    assert sorted(card.__all__) == [
        "CORNERS", "CardRefused", "CardResult", "CorrectionModel", "Frame", "GRADE", "Hiding",
        "LightField", "MODELS", "ModelTrial", "PatchResult", "PixelSummary", "Rect", "Reference",
        "Refusal", "StepBounds", "StepComparison", "Window", "WindowKind", "choose_model",
        "compare_with_steps", "expand", "find_steps", "fit_light", "fit_to_measure", "frame_from_tree",
        "frame_tree", "hiding", "homography", "lattice_places", "lattices", "places", "result_tree", "samples_frame",
        "step_frame", "summarise", "summarise_all",
    ]  # fmt: skip
    assert all(getattr(card, name).__doc__ for name in card.__all__ if callable(getattr(card, name)))
