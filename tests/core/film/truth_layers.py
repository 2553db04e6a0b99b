"""Independent truth for tests: plane layers by adding and doubling, discrete directions, one smooth surface.

Written only for the tests and on other principles than the code under test: radiances on a set of directions
(van de Hulst 1980; Prahl, van Gemert and Welch 1993), with light in and out at the directions of real geometries.
"""

import numpy as np

N_CLEAR = 1.5
WAVE = np.arange(400.0, 701.0, 10.0)


def _gauss(low, high, count):
    x, w = np.polynomial.legendre.leggauss(count)
    return 0.5 * (high - low) * (x + 1) + low, 0.5 * (high - low) * w


class Directions:
    """Cosines inside the film: beyond the critical angle, within it, then those of real geometries with no weight."""

    def __init__(self, n=N_CLEAR, count=14):
        kept, kept_w = _gauss(0.0, np.sqrt(1 - 1 / n**2), count)
        air, air_w = _gauss(0.0, 1.0, count)
        out = np.sqrt(1 - (1 - air**2) / n**2)
        probes = np.cos(np.arcsin(np.sin(np.radians([20.0, 30.0, 65.0, 0.0, 8.0, 45.0])) / n))
        self.n = n
        self.mu = np.concatenate([kept, out, probes])
        self.weight = np.concatenate([2 * kept * kept_w, 2 * air * air_w / n**2, np.zeros(6)])
        self.inside = self._inside()
        self.zero, self.eight, self.fortyfive = -3, -2, -1

    def _inside(self):
        sine = self.n * np.sqrt(1 - self.mu**2)
        air = np.sqrt(np.maximum(0, 1 - sine**2))
        s = (self.n * self.mu - air) / (self.n * self.mu + air)
        p = (self.mu - self.n * air) / (self.mu + self.n * air)
        return np.where(sine >= 1, 1.0, 0.5 * (s**2 + p**2))


D = Directions()
SEEN = {"45:0": -3, "45as15": -5, "45as25": -6, "45as45": -3, "45as75": -5, "45as110": -4}


def lambert(albedo):
    """Kernel of a diffusing ground, (..., N, N), from its albedo (...,)."""
    size = D.mu.size
    return np.asarray(albedo)[..., None, None] * np.ones((size, size))


def flakes(albedo, tilt_deg=9.0, diffuse=0.08):
    """Kernel of a bed of mirror flakes tilted by a Gaussian of the given width, plus a diffusing share."""
    mu = D.mu
    turn = (np.arange(360) + 0.5) * np.pi / 360
    sine = np.sqrt(1 - mu**2)
    cosine = mu[:, None, None] * mu[None, :, None] + sine[:, None, None] * sine[None, :, None] * np.cos(turn)
    half = np.sqrt((1 + cosine) / 2)  # cosine between ray and flake normal
    tilt = np.clip((mu[:, None, None] + mu[None, :, None]) / (2 * half), 0, 1)
    width = np.radians(tilt_deg)
    angles = np.linspace(0, np.pi / 2, 4001)
    density = np.exp(-0.5 * (np.tan(angles) / width) ** 2) * np.cos(angles) * 2 * np.pi * np.sin(angles)
    norm = np.sum(0.5 * (density[1:] + density[:-1])) * (angles[1] - angles[0])
    lobe = np.exp(-0.5 * (1 / np.maximum(tilt, 1e-9) ** 2 - 1) / width**2) / norm
    masked = np.minimum(1, 2 * tilt * np.minimum(mu[:, None, None], mu[None, :, None]) / half)
    kernel = np.pi * np.mean(lobe * masked, axis=-1) / (4 * mu[:, None] * mu[None, :])
    mixed = (1 - diffuse) * kernel + diffuse
    return np.asarray(albedo)[..., None, None] * mixed


def _phase(g, sign):
    top = 2 * (D.mu.size // 2)
    polynomials = np.polynomial.legendre.legvander(D.mu, top)
    order = np.arange(top + 1)
    return np.einsum("ik,jk,k->ij", polynomials, polynomials, (2 * order + 1) * (g * sign + 0.0) ** order)


def scattering_layer(absorbed, scattered, g=0.3):
    """Reflection kernel, diffuse transmission kernel and direct transmission of a layer, by doubling.

    absorbed, scattered   optical thickness of the layer for absorption and scattering   (...,)
    """
    total = np.asarray(absorbed + scattered, float)[..., None, None]
    single = np.asarray(scattered, float)[..., None, None] / np.maximum(total, 1e-300)
    doublings = 18
    thin = total / 2**doublings
    mu_i, mu_j = D.mu[:, None], D.mu[None, :]
    forward, backward = _phase(g, 1.0), _phase(g, -1.0)
    norm = 0.5 * (forward + backward) @ (D.weight / (2 * D.mu))
    forward, backward = forward / norm[:, None], backward / norm[:, None]
    forward, backward = 0.5 * (forward + forward.T), 0.5 * (backward + backward.T)
    reflected = single * backward * thin / (4 * mu_i * mu_j) * (1 - 0.5 * thin * (1 / mu_i + 1 / mu_j))
    passed = single * forward * thin / (4 * mu_i * mu_j) * (1 - 0.5 * thin * (1 / mu_i + 1 / mu_j))
    direct = np.exp(-thin[..., 0] / D.mu)
    eye = np.eye(D.mu.size)
    for _ in range(doublings):
        between = np.linalg.inv(eye - reflected * D.weight @ reflected * D.weight)
        down = between @ (direct[..., None] * eye + passed * D.weight)  # operator: light going down between
        through = direct[..., None] * eye + passed * D.weight
        right = direct[..., None, :] * eye + D.weight[:, None] * passed
        new_reflected = reflected + through @ between @ reflected @ right
        whole = through @ down
        passed_new = (whole - direct[..., None] ** 2 * eye) / np.where(D.weight > 0, D.weight, 1.0)
        # Columns of directions without weight: the kernel itself, composed term by term.
        lit = direct[..., None] * passed + passed * direct[..., None, :] + passed * D.weight @ passed
        echo = reflected * D.weight @ reflected
        pair = echo @ (direct[..., None, :] * eye) + echo * D.weight @ passed
        bounced = through @ between @ pair
        passed_new = np.where(D.weight > 0, passed_new, lit + bounced)
        reflected, passed, direct = new_reflected, passed_new, direct**2
    return reflected, passed, direct


def over(layer, ground):
    """Kernel of a ground with a scattering layer on it."""
    reflected, passed, direct = layer
    eye = np.eye(D.mu.size)
    through = direct[..., None] * eye + passed * D.weight
    right = direct[..., None, :] * eye + D.weight[:, None] * passed
    between = np.linalg.inv(eye - ground * D.weight @ reflected * D.weight)
    return reflected + through @ between @ ground @ right


def solid(albedo, g=0.5):
    """Kernel of an opaque solid colour of about this albedo: a thick pigmented layer, not an ideal diffuser."""
    albedo = np.asarray(albedo, float)
    absorbed = 0.4 * (1 - g) * (1 - albedo) ** 2 / (2 * albedo)
    thick = 60.0 / (1 + absorbed)
    return over(
        scattering_layer(thick * absorbed, thick * np.ones_like(absorbed), g), lambert(0.5 * np.ones_like(albedo))
    )


def reading(kernel, tau, geometry):
    """Reflectance factor of a ground kernel (..., N, N) under a clear dye layer tau (...,) and one smooth surface."""
    tau = np.asarray(tau, float)[..., None]
    lost = np.exp(-tau / D.mu)
    loop = kernel * (D.weight * D.inside * lost**2)[..., None, :]
    eye = np.eye(D.mu.size)
    if geometry.startswith("45"):
        source = kernel[..., :, D.fortyfive] * (lost[..., D.fortyfive] * (1 - D.inside[D.fortyfive]))[..., None]
        seen = SEEN[geometry]  # angles other than 45:0 only for grounds that look alike all round
        scale, shine = 1 / D.n**2, 0.0
    else:
        entering = np.where(D.inside < 1, 1 - D.inside, 0.0)
        source = np.einsum("...ij,...j->...i", kernel, D.weight * lost * entering)
        seen = D.eight
        scale, shine = 1.0, (D.inside[D.eight] if geometry == "di:8" else 0.0)
    up = np.linalg.solve(eye - loop, source[..., None])[..., 0]
    return shine + up[..., seen] * lost[..., seen] * (1 - D.inside[seen]) * scale


def slab(absorbed, scattered, g):
    """Total reflectance and transmittance of a free layer without surfaces for light along its normal."""
    reflected, passed, direct = scattering_layer(np.asarray(absorbed), np.asarray(scattered), g)
    return (
        D.weight @ reflected[..., :, D.zero].T,
        D.weight @ passed[..., :, D.zero].T + direct[..., D.zero],
    )


def band(peak, width, height, base=0.0):
    """A dye's absorption over WAVE from one Gaussian band in nm."""
    return base + height * np.exp(-0.5 * ((WAVE - peak) / width) ** 2)
