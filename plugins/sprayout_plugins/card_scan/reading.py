"""From a picture of a card to its colours: every step in order, each of which may refuse."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import numpy.typing as npt

from sprayout_core.card import (
    CardRefused,
    CardResult,
    CorrectionModel,
    Frame,
    Hiding,
    LightField,
    PatchResult,
    Reference,
    Refusal,
    StepBounds,
    WindowKind,
    choose_model,
    hiding,
)
from sprayout_core.errors import Fault, FaultsError
from sprayout_plugins.card_scan import light as lighting
from sprayout_plugins.card_scan import marks, overlay
from sprayout_plugins.card_scan.curves import linear_light, profile_digest, profile_name
from sprayout_plugins.card_scan.decoding import BOUNDS, STORED, WITH_LIGHT, Bounds, Decoding, Header
from sprayout_plugins.card_scan.patches import read_patches
from sprayout_plugins.card_scan.plan import Plan, make_plan, places_of

__all__ = ["measure"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class _Reading:
    """One picture under one tone curve: its field of light, and its patches without colours yet."""

    field: LightField
    patches: tuple[PatchResult, ...]
    steps: Mapping[str, StepBounds]


def measure(picture: bytes, frame: Frame, reference: Reference, bounds: Bounds = BOUNDS) -> CardResult:
    """Return the colour of every patch on a scanned or photographed card.

    picture    the file's bytes: PNG, JPEG, 8 or 16 bit TIFF, with any RGB profile or none
    frame      the card frame that was printed
    reference  the known colours on it
    raises     CardRefused with reason, problem and remedy; FaultsError where the reference does not fit the
               frame

    Nothing is written. The picture is decoded in a process of its own, within `bounds`.
    """
    _check(frame, reference)
    with Decoding(picture, bounds) as decoding:
        # what needs no pixels is worked out while they are being decoded
        bare, digest = frame.bare(), hashlib.sha256(picture).hexdigest()
        marks.foreseen(frame)
        header = decoding.header
        sheet = marks.locate(header, frame)
        plan = make_plan(frame, sheet, bare)
        at = places_of(plan, sheet, (header.width, header.height))
        stored = decoding.pixels(*at, WITH_LIGHT if header.profile else STORED)
        softness = _softness(frame, plan, stored)
        measured = stored[: plan.measured]
        curves = linear_light(decoding, measured)
        decoding.finish()
        readings = {name: _read(frame, plan, light, measured, header.top) for name, light in curves.items()}
        model = _model(readings, reference)
    reading = readings[model.curve]
    patches = _coloured(reading.patches, model, reference)
    return CardResult(
        frame=frame,
        reference=reference,
        picture=digest,
        profile=profile_name(header.profile) if header.profile else f"none: {model.curve}",
        profile_digest=profile_digest(header.profile),
        bits=header.bits,
        pixels_per_mm=sheet.pixels_per_mm,
        blur=softness,
        uneven=reading.field.residual,
        weakest=reading.field.weakest,
        model=model,
        patches=patches,
        steps=reading.steps,
        hidings=_hidings(frame, patches, model),
        notes=tuple(_notes(header, sheet, model, reading, patches)),
        overlay=partial(overlay.drawn, picture, frame, sheet, patches, bounds),
        located=header.located,
    )


def _check(frame: Frame, reference: Reference) -> None:
    places = {
        f"{window.name}/{label}"
        for window in frame.windows
        if window.kind is WindowKind.REFERENCE
        for label in window.labels
    }
    if strange := sorted(set(reference.colours) - places):
        raise FaultsError(
            Fault(place, "no reference window of the frame has this cell", "Use 'window/label' of the frame.")
            for place in strange
        )
    wrong = [
        Fault(place, f"{lab} is no L*, a*, b*", "Give three finite numbers, L* from 0 to 110.")
        for place, lab in sorted(reference.colours.items())
        if len(lab) != 3 or not np.isfinite(lab).all() or not 0.0 <= lab[0] <= 110.0 or max(map(abs, lab)) > 200
    ]
    if wrong:
        raise FaultsError(wrong)


def _softness(frame: Frame, plan: Plan, stored: npt.NDArray[np.integer]) -> float:
    """Return the widest edge of the four marks, mm; raises CardRefused where that is too much."""
    rects = frame.marks()
    # the square undoes most of any tone curve; a width needs no more
    widths = [
        marks.blur(
            (stored[part][:, 1].astype(float) ** 2).reshape(spot.rows, spot.columns),
            frame.mark_text(spot.label),
            rects[spot.label],
        )
        for spot, part in plan.of("mark")
    ]
    if max(widths) > marks.BLURRED:
        raise CardRefused(
            Refusal.BLURRED,
            f"edges are {max(widths):.2f} mm wide, {marks.BLURRED:g} mm can be borne",
            "Scan again with the sheet flat on the glass, or photograph in more light with a steady hand.",
        )
    return max(widths)


def _read(frame: Frame, plan: Plan, light: Array, stored: npt.NDArray[np.integer], top: int) -> _Reading:
    evened = lighting.even_out(frame, plan, light, stored, top)
    patches, steps = read_patches(frame, plan, light, stored, top, evened)
    return _Reading(evened.field, patches, steps)


def _model(readings: Mapping[str, _Reading], reference: Reference) -> CorrectionModel:
    first = next(iter(readings.values()))
    known = [
        place
        for place, patch in enumerate(first.patches)
        if patch.kind is WindowKind.REFERENCE
        and f"{patch.window}/{patch.label}" in reference.colours
        and all(reading.patches[place].refusal is None for reading in readings.values())
    ]
    colours = [reference.colours[_key(first.patches[place])] for place in known]
    curves = {
        name: np.array([reading.patches[place].light for place in known], dtype=float).reshape(-1, 3)
        for name, reading in readings.items()
    }
    try:
        return choose_model(curves, np.array(colours, dtype=float).reshape(-1, 3))
    except CardRefused as refused:
        lost = [patch.refusal for patch in first.patches if _key(patch) in reference.colours and patch.refusal]
        if not lost:
            raise
        told = "; ".join(f"{fault.place}: {fault.problem}" for fault in lost[:6])
        raise CardRefused(
            refused.reason, f"{refused.fault.problem} ({told})", lost[0].remedy or refused.fault.remedy
        ) from refused


def _coloured(
    patches: tuple[PatchResult, ...], model: CorrectionModel, reference: Reference
) -> tuple[PatchResult, ...]:
    errors = iter(model.left_out.tolist())
    lab = model.lab(np.array([patch.light for patch in patches if patch.light is not None]).reshape(-1, 3))
    colours = iter(zip(map(tuple, lab.tolist()), model.interval(lab).tolist(), strict=True))
    finished = []
    for patch in patches:
        known = reference.colours.get(_key(patch)) if patch.kind is WindowKind.REFERENCE else None
        if patch.light is None:
            finished.append(replace(patch, known=known))
            continue
        colour, interval = next(colours)
        left_out = next(errors) if known is not None else None
        finished.append(replace(patch, lab=colour, interval=interval, known=known, left_out=left_out))
    return tuple(finished)


def _hidings(frame: Frame, patches: tuple[PatchResult, ...], model: CorrectionModel) -> Mapping[str, Hiding]:
    found = {}
    for window in frame.windows:
        if window.kind is not WindowKind.CONTRAST:
            continue
        black, white = (patch.lab for patch in patches if patch.window == window.name)
        if black is not None and white is not None:
            found[window.name] = hiding(black[0], white[0], model.lightness)
    return found


def _notes(
    header: Header,
    sheet: marks.Sheet,
    model: CorrectionModel,
    reading: _Reading,
    patches: tuple[PatchResult, ...],
) -> list[str]:
    notes = ["Colours are image-derived: three broad channels, one light; keep them apart from measured spectra."]
    if not header.profile:
        notes.append(f"The picture has no colour profile; of the curves tried, {model.curve} did best.")
    if header.resolution > 2.0 and abs(sheet.pixels_per_mm / header.resolution - 1.0) > 0.02:
        notes.append(
            f"The sheet lies at {sheet.pixels_per_mm:.2f} pixels per mm, the file says "
            f"{header.resolution:.2f}: printed at another size than 100 %, or photographed."
        )
    for name, bounds in reading.steps.items():
        if any(bounds.assumed):
            notes.append(f"{name}: {sum(bounds.assumed)} edges between like steps stand by the frame.")
    doubtful = [
        f"{patch.window}/{patch.label} ({patch.left_out:.0f})"
        for patch in patches
        if patch.left_out is not None and patch.left_out > max(10.0, 4.0 * float(np.median(model.left_out)))
    ]
    if doubtful:
        notes.append(
            f"Known colours far off when left out, check value and place: {', '.join(doubtful)}. "
            "They widen every interval."
        )
    refused = [f"{patch.window}/{patch.label}" for patch in patches if patch.refusal is not None]
    if refused:
        notes.append("Without colour: " + ", ".join(refused) + ".")
    return notes


def _key(patch: PatchResult) -> str:
    return f"{patch.window}/{patch.label}"
