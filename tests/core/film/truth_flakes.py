"""Independent truth for tests: a Monte-Carlo bed of mirror flakes under a dyed clear, seen at several angles.

Every photon's way through the dye and its number of flake hits are recorded, not its colour, so that one run
serves any dye and any flake reflectance: R(angle) = sum over records of weight * flake^hits * exp(-tau * way).
"""

import numpy as np

N_CLEAR = 1.5
LIGHT = 45.0
ANGLES = {"45as15": 15, "45as25": 25, "45as45": 45, "45as75": 75, "45as110": 110}
_BINS = np.arange(2.0, 14.0, 0.02)
_HITS = 6


def _fresnel_inside(cosine, n):
    sine = n * np.sqrt(np.maximum(0, 1 - cosine**2))
    air = np.sqrt(np.maximum(0, 1 - sine**2))
    s = (n * cosine - air) / (n * cosine + air + 1e-300)
    p = (cosine - n * air) / (cosine + n * air + 1e-300)
    return np.where(sine >= 1, 1.0, 0.5 * (s**2 + p**2))


class FlakeBed:
    """Records of one bed: tilt of the flakes (degrees, Gaussian slopes) and share of light scattered at edges."""

    def __init__(self, tilt_deg, edges, photons, seed):
        rng = np.random.default_rng(seed)
        self.width, self.edges, n = np.tan(np.radians(tilt_deg)), edges, N_CLEAR
        inside = np.arcsin(np.sin(np.radians(LIGHT)) / n)
        self._views = {}
        for name, aspecular in ANGLES.items():
            air = np.radians(LIGHT - aspecular)
            theta = np.arcsin(np.sin(air) / n)
            seen = 1 - _fresnel_inside(np.cos(theta), n)
            self._views[name] = (np.array([np.sin(theta), 0.0, np.cos(theta)]), seen)
        lit = 1 - _fresnel_inside(np.cos(inside), n)
        self.records = {name: np.zeros((_HITS, _BINS.size)) for name in ANGLES}
        ray = np.tile([np.sin(inside), 0.0, -np.cos(inside)], (photons, 1))
        weight = np.full(photons, lit / photons)
        way = np.full(photons, 1 / np.cos(inside))
        for hits in range(_HITS):
            for name, (view, seen) in self._views.items():
                self._record(name, hits, ray, view, seen, weight, way, n)
            ray = self._reflected(ray, rng)
            down = ray[:, 2] <= 1e-3
            # Light thrown flat or downward meets the next flake at once; the rest goes up through the dye.
            slant = 1 / np.maximum(np.abs(ray[:, 2]), 1e-3)
            back = np.where(down, 1.0, _fresnel_inside(np.abs(ray[:, 2]), n))
            weight, way = weight * back, way + np.where(down, 0.0, 2 * slant)
            ray[:, 2] = -np.abs(ray[:, 2])
            kept = weight > 1e-5 / photons
            ray, weight, way = ray[kept], weight[kept], way[kept]
            if not weight.size:
                break

    def _density(self, tilt):
        slope2 = 1 / np.maximum(tilt, 1e-6) ** 2 - 1
        return np.exp(-0.5 * slope2 / self.width**2) / (2 * np.pi * self.width**2 * np.maximum(tilt, 1e-6) ** 4)

    def _record(self, name, hits, ray, view, seen, weight, way, n):
        half = view - ray
        half /= np.linalg.norm(half, axis=1, keepdims=True)
        facing = np.abs(ray[:, 2])  # flakes laid edge to edge: each ray meets the bed's own area
        mirror = self._density(half[:, 2]) / (4 * facing * np.maximum(half[:, 2], 1e-6))
        mirror *= facing / np.maximum(np.abs(np.sum(half * ray, axis=1)), 1e-6)
        mirror *= np.abs(np.sum(half * ray, axis=1))
        density = (1 - self.edges) * mirror + self.edges * view[2] / np.pi
        value = weight * density * np.pi / view[2] * seen / n**2
        place = np.clip(((way + 1 / view[2] - _BINS[0]) / 0.02).astype(int), 0, _BINS.size - 1)
        self.records[name][hits] += np.bincount(place, value, _BINS.size)

    def _reflected(self, ray, rng):
        count = len(ray)
        slope = rng.normal(0, self.width, (count, 2))
        normal = np.column_stack([slope, np.ones(count)])
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        out = ray - 2 * np.sum(ray * normal, axis=1, keepdims=True) * normal
        turn, up = rng.uniform(0, 2 * np.pi, count), np.sqrt(rng.uniform(0, 1, count))
        flat = np.sqrt(1 - up**2)
        lambert = np.column_stack([flat * np.cos(turn), flat * np.sin(turn), up])
        return np.where((rng.uniform(size=count) < self.edges)[:, None], lambert, out)

    def reading(self, flake, tau, name):
        """Reflectance factor at an angle, (n,), from the flakes' reflectance and the dye's optical thickness."""
        lost = np.exp(-np.asarray(tau)[:, None] * (_BINS + 0.01))
        powers = np.asarray(flake)[:, None] ** np.arange(1, _HITS + 1)
        return np.einsum("lh,hb,lb->l", powers, self.records[name], lost, optimize=True)
