"""A booth for tests: true dyes and grounds are hidden here, only panels come out, with coat scatter and noise."""

import importlib.util
import sys
from pathlib import Path

import numpy as np

from sprayout_core.film import Ground, PanelStep


def _beside(name):
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


layers = _beside("truth_layers")
flakes = _beside("truth_flakes")
WAVE = layers.WAVE
ANGLES = tuple(flakes.ANGLES)


def random_dye(rng):
    """A dye of one or two absorption bands, strong enough for a candy, clear elsewhere."""
    bands = rng.integers(1, 3)
    centre = rng.uniform(425, 670, bands)
    width, height = rng.uniform(30, 60, bands), rng.uniform(0.25, 0.8, bands)
    return 0.004 + sum(layers.band(*each) for each in zip(centre, width, height, strict=True))


def brown(rng):
    return layers.band(430 + rng.uniform(-15, 15), 110, 0.55) + layers.band(570, 90, 0.25 + rng.uniform(-0.05, 0.05))


class Booth:
    """One shop's truth. Geometries share the film of each step."""

    def __init__(self, seed, geometries=("45:0",), scatter=0.05, noise=3e-4):
        self.rng = np.random.default_rng(seed)
        self.geometries, self.scatter, self.noise = geometries, scatter, noise
        self.dyes = {f"dye {k}": random_dye(self.rng) for k in range(3)} | {"brown": brown(self.rng)}
        ramp = (WAVE - 550) / 150
        tilt = self.rng.uniform(8, 13, 2)
        edges = self.rng.uniform(0.05, 0.15, 2)
        flake = {
            "silver": 0.78 - 0.03 * ramp,
            "gold": 0.38 + 0.45 / (1 + np.exp(-(WAVE - 525) / 25)),
        }
        self.albedo = {"white": 0.86 + 0.02 * ramp, "black": np.full(31, 0.04), "grey": 0.30 - 0.02 * ramp} | flake
        self._kernel, self._bed = {}, {}
        for place, name in enumerate(flake):
            if geometries[0] in ANGLES:
                self._bed[name] = flakes.FlakeBed(tilt[place], edges[place], 40000, seed + place)
            else:
                self._kernel[name] = layers.flakes(flake[name], tilt[place], edges[place])
        for name in ("white", "black", "grey"):
            self._kernel[name] = layers.solid(self.albedo[name])
        clear = np.zeros(31)
        self.grounds = {
            name: Ground(
                name,
                "metallic" if name in flake else "diffusing",
                {geometry: self.truth(name, clear, geometry) for geometry in geometries},
            )
            for name in self.albedo
        }

    def truth(self, ground, tau, geometry):
        """The exact reading, without noise."""
        if ground in self._bed:
            return self._bed[ground].reading(self.albedo[ground], tau, geometry)
        return layers.reading(self._kernel[ground], tau, geometry)

    def absorption(self, mix):
        return sum(share * self.dyes[dye] for dye, share in mix.items())

    def nominal(self, ground, mix, coats):
        """What a panel reads when every coat is exactly one coat."""
        return {g: self.truth(ground, coats * self.absorption(mix), g) for g in self.geometries}

    def spray(self, panel, ground, mix, counts, heavy=1.0):
        """Readings of one panel at each count of coats, and the film really there at each."""
        laid = heavy * (1 + self.scatter * self.rng.standard_normal(max(counts)))
        film = {count: float(np.sum(laid[:count])) for count in counts}
        steps = []
        for count in counts:
            for geometry in self.geometries:
                exact = self.truth(ground, film[count] * self.absorption(mix), geometry)
                read = np.maximum(exact * (1 + 1e-3 * self.rng.standard_normal()), 0)
                read = np.maximum(read + self.noise * self.rng.standard_normal(31), 0)
                steps.append(PanelStep(panel, self.grounds[ground], mix, count, geometry, read))
        return steps, film

    def kit(self):
        """Step pieces of each neat dye over white and black, one calibration panel per metallic ground."""
        steps = []
        for dye in self.dyes:
            for ground in ("white", "black"):
                steps += self.spray(f"{dye} over {ground}", ground, {dye: 1.0}, (1, 2, 4))[0]
        for ground in ("silver", "gold"):
            steps += self.spray(f"calibration of {ground}", ground, {"brown": 1.0}, (2,))[0]
        return steps

    def random_mix(self):
        """Whole parts of one to three dyes and carrier within twelve, as dry-film shares."""
        names = self.rng.choice(sorted(self.dyes), self.rng.integers(1, 4), replace=False)
        parts = self.rng.integers(1, 4, names.size)
        carrier = self.rng.integers(0, 12 - parts.sum() + 1)
        return {str(name): float(part / (parts.sum() + carrier)) for name, part in zip(names, parts, strict=True)}
