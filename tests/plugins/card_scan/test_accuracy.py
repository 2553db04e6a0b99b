"""How near the truth, and how often inside the stated interval: over 1,000 patches on cards rendered from spectra.

Scenes, charts and dyes here come from seeds that were not used when the correction and its interval were tuned
(100 to 300, 7000, 17000, 27000, 40000 to 43000).
"""

import warnings

import numpy as np
import pytest

from sprayout_core.difference import ciede2000
from sprayout_plugins.card_scan import measure

pytestmark = pytest.mark.long

CARDS = 24


def _scene(rendering, number, rng):
    return rendering.Scene(
        camera=rendering.CAMERAS[number % 2],
        light=rendering.LIGHTS[(number // 2) % 6],
        dpi=rng.uniform(110, 160),
        rotate=rng.uniform(-15, 15),
        tilt=tuple(rng.uniform(-0.1, 0.1, 2)),
        margin=30,
        blur=rng.uniform(0.4, 1.1),
        noise=rng.uniform(0.002, 0.012),
        vignette=rng.uniform(0, 0.12),
        slope=tuple(rng.uniform(-0.12, 0.12, 2)),
        exposure=rng.uniform(0.55, 0.8),
        glare=rng.choice([0.0, 0.004]),
        kind=("jpeg", "png", "tiff")[number % 3],
        bits=16 if number % 3 == 2 else 8,
        profile=("", "srgb")[number // 3 % 2],
        seed=number,
    )


def _others(known, colours, light):
    """CIELAB by colour-science's own correction functions, from the same evened light and the same references."""
    import colour

    even = (1 / 3, 1 / 3)
    targets = colour.Lab_to_XYZ(colours, even)
    asked = {
        "linear, 3 terms": ("Cheung 2004", {"terms": 3}),
        "polynomial, 7 terms": ("Cheung 2004", {"terms": 7}),
        "root polynomial, degree 2": ("Finlayson 2015", {"degree": 2}),
        "root polynomial, degree 3": ("Finlayson 2015", {"degree": 3}),
        "Vandermonde, degree 2": ("Vandermonde", {"degree": 2}),
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return {
            name: colour.XYZ_to_Lab(colour.colour_correction(light, known, targets, method=method, **more), even)
            for name, (method, more) in asked.items()
        }


def test_error_and_coverage(rendering, lay, pieces_frame):
    errors, covered, widths, vivid, chips, chosen, others = [], [], [], [], [], [], {}
    for number in range(CARDS):
        rng = np.random.default_rng(5000 + number)
        chart = rendering.chart(20, None if number % 2 else 5000 + number)
        rest = [i for i in range(len(rendering.SAMPLES)) if i not in chart]
        windows = {"target": np.vstack([rendering.SAMPLES[chart], rendering.GREYS])}
        if number % 3 == 0:
            windows["own chips"] = rendering.dye_panels(8, rng)
        made = [rendering.SAMPLES[rng.choice(rest, 22, replace=False)], rendering.dye_panels(23, rng)]
        windows["pieces"] = np.vstack(made)
        pieces, reference = lay(pieces_frame, windows)
        picture = rendering.render(pieces_frame, pieces, _scene(rendering, number, rng))
        result = measure(picture, pieces_frame, reference)

        patches = [patch for patch in result.patches if patch.window == "pieces"]
        used = np.array([patch.lab is not None for patch in patches])
        truth = rendering.truth(windows["pieces"])[used]
        error = ciede2000(truth, [patch.lab for patch in patches if patch.lab])
        errors.append(error)
        widths.append([patch.interval for patch in patches if patch.lab])
        covered.append(error <= widths[-1])
        chips.append(np.full(len(error), "own chips" in windows))
        vivid.append((np.arange(45) >= 22)[used])
        chosen.append(result.model.model)
        known = [patch for patch in result.patches if patch.known is not None and patch.light]
        labs = _others(
            np.array([patch.light for patch in known]),
            np.array([patch.known for patch in known]),
            np.array([patch.light for patch in patches if patch.light]),
        )
        for name, lab in labs.items():
            others.setdefault(name, []).append(ciede2000(truth, lab))
    errors, covered, widths, vivid, chips = map(np.concatenate, (errors, covered, widths, vivid, chips))
    others = {name: np.concatenate(each) for name, each in others.items()}

    print(f"\n{len(errors)} patches on {CARDS} cards; models: {sorted(set(chosen))}")
    print(f"CIEDE2000: mean {errors.mean():.2f}, 95 % below {np.quantile(errors, 0.95):.2f}, max {errors.max():.1f}")
    print(f"  CIE 224 samples {errors[~vivid].mean():.2f}, dye panels {errors[vivid].mean():.2f}")
    for name, each in others.items():
        print(f"  colour-science, {name}: mean {each.mean():.2f}, 95 % below {np.quantile(each, 0.95):.2f}")
    print(f"inside the stated interval: {covered.mean():.1%} (95 % wanted)")
    classes = {
        "CIE 224 samples": ~vivid,
        "dye panels": vivid,
        "dye panels, dyes among the known colours": vivid & chips,
        "dye panels, none among them": vivid & ~chips,
    }
    for name, part in classes.items():
        print(f"  {name}: {covered[part].mean():.1%} of {part.sum()}, interval {widths[part].mean():.1f} on average")

    assert len(errors) >= 1000
    assert 0.94 <= covered.mean() <= 0.99
    assert min(covered[vivid].mean(), covered[~vivid].mean()) >= 0.93
    assert widths.mean() < 12.0
    assert errors.mean() <= 1.05 * min(each.mean() for each in others.values())
