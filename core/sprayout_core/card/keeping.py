"""Frames and results as plain trees, to be kept as JSON and to be told by commands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sprayout_core.card.layout import Frame, Rect, Window, WindowKind
from sprayout_core.card.result import CardResult, PatchResult
from sprayout_core.errors import SprayoutError

__all__ = ["frame_from_tree", "frame_tree", "result_tree"]


def frame_tree(frame: Frame) -> dict[str, Any]:
    """Return a frame as a tree of text, numbers, lists and mappings; `frame_from_tree` gives it back."""
    return {
        "identity": frame.identity,
        "width": frame.width,
        "height": frame.height,
        "windows": [
            {
                "name": window.name,
                "kind": str(window.kind),
                "rect": _rect_tree(window.rect),
                "rows": window.rows,
                "columns": window.columns,
                "labels": list(window.labels),
                "strips": [_rect_tree(strip) for strip in window.strips],
            }
            for window in frame.windows
        ],
    }


def frame_from_tree(tree: Mapping[str, Any]) -> Frame:
    """Return the frame a tree tells of; raises FaultsError where it cannot be, SprayoutError where it is none."""
    try:
        windows = tuple(
            Window(
                str(told["name"]),
                WindowKind(told["kind"]),
                _rect(told["rect"]),
                int(told["rows"]),
                int(told["columns"]),
                tuple(str(label) for label in told["labels"]),
                tuple(_rect(strip) for strip in told["strips"]),
            )
            for told in tree["windows"]
        )
        identity, width, height = str(tree["identity"]), float(tree["width"]), float(tree["height"])
    except (KeyError, TypeError, ValueError) as wrong:
        raise SprayoutError(
            f"this is no card frame: {type(wrong).__name__} at {wrong}", "Give a frame as it was kept."
        ) from wrong
    return Frame(identity, width, height, windows)


def result_tree(result: CardResult) -> dict[str, Any]:
    """Return what a card gave as a tree, without the overlay's bytes; numbers are not rounded."""
    return {
        "grade": result.grade,
        "card": result.frame.identity,
        "picture": result.picture,
        "profile": result.profile,
        "profile_digest": result.profile_digest,
        "bits": result.bits,
        "reference": result.reference.name,
        "view": str(result.reference.view),
        "pixels_per_mm": result.pixels_per_mm,
        "blur_mm": result.blur,
        "uneven": result.uneven,
        "weakest_light": result.weakest,
        "model": result.model.model,
        "curve": result.model.curve,
        "left_out_mean": float(result.model.left_out.mean()),
        "left_out_max": float(result.model.left_out.max()),
        "trials": [
            {
                "model": trial.model,
                "curve": trial.curve,
                "terms": trial.terms,
                "fit_mean": trial.fit_mean,
                "left_out_mean": trial.left_out_mean,
                "left_out_p95": trial.left_out_p95,
                "verdict": trial.verdict,
            }
            for trial in result.model.trials
        ],
        "patches": [_patch_tree(patch) for patch in result.patches],
        "steps": {
            name: {"edges": list(bounds.edges), "assumed": list(bounds.assumed)}
            for name, bounds in result.steps.items()
        },
        "hiding": {
            name: {"ratio": hidden.ratio, "low": hidden.low, "high": hidden.high}
            for name, hidden in result.hidings.items()
        },
        "notes": list(result.notes),
    }


def _patch_tree(patch: PatchResult) -> dict[str, Any]:
    told: dict[str, Any] = {
        "window": patch.window,
        "label": patch.label,
        "area_mm": _rect_tree(patch.area),
        "spread": list(patch.spread),
        "clipped_low": patch.clipped_low,
        "clipped_high": patch.clipped_high,
        "glints": patch.glints,
        "drift": patch.drift,
    }
    for name in ("light", "lab", "interval", "grey", "known", "left_out"):
        value = getattr(patch, name)
        if value is not None:
            told[name] = list(value) if isinstance(value, tuple) else value
    if patch.refusal is not None:
        told["refused"] = {"problem": patch.refusal.problem, "remedy": patch.refusal.remedy}
    return told


def _rect_tree(rect: Rect) -> list[float]:
    return [rect.x, rect.y, rect.width, rect.height]


def _rect(told: Any) -> Rect:
    x, y, width, height = (float(value) for value in told)
    return Rect(x, y, width, height)
