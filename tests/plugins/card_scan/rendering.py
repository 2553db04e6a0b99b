"""Cards made without a scanner: the printed PDF, painted with spectra, seen by published camera sensitivities.

Nothing of the code under test is used but the frame (its places in mm) and its PDF.
"""

import warnings
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import pypdfium2
import pyvips
from scipy.ndimage import gaussian_filter

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    from colour.quality.cfi2017 import load_TCS_CIE2017

SHAPE = colour.SpectralShape(400, 700, 10)
WAVELENGTHS = np.arange(400.0, 701.0, 10.0)
LIGHTS = ("D50", "D65", "LED-B3", "LED-B5", "FL8", "LED-V1")


def _aligned(thing):
    return np.nan_to_num(thing.copy().align(SHAPE).values)


with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    # CIE 224:2017, 99 test colour samples
    SAMPLES = load_TCS_CIE2017(colour.SpectralShape(380, 780, 5)).copy().align(SHAPE).values.T
    # two published sets of camera sensitivities, as colour-science carries them
    CAMERAS = tuple(_aligned(each) for each in colour.MSDS_CAMERA_SENSITIVITIES.values())[:2]
    POWER = {name: _aligned(colour.SDS_ILLUMINANTS[name]) for name in LIGHTS}
    _OBSERVER = _aligned(colour.MSDS_CMFS["CIE 1964 10 Degree Standard Observer"])
    _D65 = _aligned(colour.SDS_ILLUMINANTS["D65"])

PAPER = 0.86 - 0.03 * np.exp(-(((WAVELENGTHS - 400.0) / 40.0) ** 2))
INK = np.full(31, 0.035)
PROFILES = {name: pyvips.Operation.call("profile_load", name) for name in ("srgb", "p3")}
GREYS = np.array([0.04, 0.12, 0.35, 0.82])[:, np.newaxis] * np.ones(31)


def truth(spectra):
    """CIELAB under D65/10 by colour-science, by plain summing at 10 nm (smooth light: good to 0.1)."""
    weights = _D65[:, np.newaxis] * _OBSERVER
    xyz = np.asarray(spectra) @ weights / weights[:, 1].sum()
    white = weights.sum(axis=0) / weights[:, 1].sum()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))


def chart(count, seed=None):
    """Indices into SAMPLES: far apart in CIELAB, or drawn by chance."""
    if seed is not None:
        return np.random.default_rng(seed).choice(len(SAMPLES), count, replace=False).tolist()
    lab = truth(SAMPLES)
    taken = [int(lab[:, 0].argmax())]
    near = np.full(len(lab), np.inf)
    while len(taken) < count:
        near = np.minimum(near, ((lab - lab[taken[-1]]) ** 2).sum(axis=1))
        taken.append(int(near.argmax()))
    return taken


def dye_panels(count, rng, coats=None):
    """Made-up clear dyes over white, silver and gold grounds."""
    made = []
    for _ in range(count):
        absorbance = np.zeros(31)
        for _ in range(rng.integers(1, 4)):
            width = rng.uniform(30.0, 80.0)
            absorbance += rng.uniform(0.1, 0.5) * np.exp(-(((WAVELENGTHS - rng.uniform(380, 720)) / width) ** 2))
        gold = 0.1 + 0.7 / (1.0 + np.exp(-(WAVELENGTHS - 530.0) / 30.0))
        ground = (np.full(31, 0.85), np.full(31, 0.55), gold)[rng.integers(0, 3)]
        number = rng.integers(1, 6) if coats is None else coats
        made.append(0.03 + 0.97 * ground * np.exp(-1.4 * absorbance * number))
    return np.array(made)


@dataclass
class Scene:
    """How the picture is taken."""

    camera: np.ndarray = field(default_factory=lambda: CAMERAS[0])
    light: str = "D50"
    dpi: float = 150.0
    rotate: float = 0.7
    tilt: tuple = (0.0, 0.0)
    margin: float = 8.0
    blur: float = 0.7
    noise: float = 0.004
    vignette: float = 0.06
    slope: tuple = (0.02, -0.02)
    exposure: float = 0.8
    shadow: float = 0.0
    glare: float = 0.0
    seed: int = 0
    bits: int = 8
    kind: str = "png"
    quality: int = 92
    profile: str = ""
    curve: str = "srgb"
    barrel: float = 0.0


@lru_cache(maxsize=4)
def printed(frame, dpi):
    """The frame's PDF as reflected share of paper, 0 to 1."""
    from sprayout_plugins.card_frame import frame_pdf

    document = pypdfium2.PdfDocument(frame_pdf(frame))
    page = document[0]
    bitmap = page.render(scale=dpi / 72.0, grayscale=True)
    drawn = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    bitmap.close()
    page.close()
    document.close()
    return ((drawn / 255.0) ** 2.2).astype(np.float32)  # a printer's grey, anywhere in the middle, will do


def render(frame, pieces, scene):
    """Return a picture's bytes. pieces: (Rect, spectrum) laid on the sheet, in mm."""
    return written(seen(frame, pieces, scene), scene)


def seen(frame, pieces, scene):
    """Return the picture as linear light, before it is stored."""
    dpi = 250.0
    sheet = printed(frame, dpi)
    response = POWER[scene.light][:, np.newaxis] * scene.camera
    gain = scene.exposure / (PAPER @ response)
    paper, ink = ((each @ response * gain).astype(np.float32) for each in (PAPER, INK))
    shades = ink + sheet[..., np.newaxis] * (paper - ink)
    for rect, spectrum in pieces:
        rows = slice(round(rect.y * dpi / 25.4), round((rect.y + rect.height) * dpi / 25.4))
        columns = slice(round(rect.x * dpi / 25.4), round((rect.x + rect.width) * dpi / 25.4))
        shades[rows, columns] = np.asarray(spectrum) @ response * gain
    return _lit(_warped(shades, frame, scene, dpi), scene)


def place(frame, scene, sheet):
    """Where places of the sheet, mm, lie in the rendered picture, pixels: the truth for marks."""
    forward = np.linalg.inv(_backward(frame, scene)[0])
    points = np.concatenate([np.asarray(sheet, float), np.ones((len(sheet), 1))], axis=1) @ forward.T
    return points[:, :2] / points[:, 2:]


def _backward(frame, scene):
    """The perspective from pixels to mm, and the picture's size."""
    scale = scene.dpi / 25.4
    wide = round((frame.width + 2 * scene.margin) * scale)
    high = round((frame.height + 2 * scene.margin) * scale)
    turn = np.radians(scene.rotate)
    middle = np.array([[1, 0, -wide / 2], [0, 1, -high / 2], [0, 0, 1.0]])
    spin = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1.0]])
    lean = np.array([[1, 0, 0], [0, 1, 0], [scene.tilt[0] / wide, scene.tilt[1] / high, 1.0]])
    back = np.array([[1 / scale, 0, frame.width / 2], [0, 1 / scale, frame.height / 2], [0, 0, 1.0]])
    return back @ lean @ spin @ middle, (high, wide)


def _warped(shades, frame, scene, dpi):
    backward, (high, wide) = _backward(frame, scene)
    rows, columns = np.mgrid[0:high, 0:wide].astype(np.float32) + 0.5
    if scene.barrel:
        x, y = (columns - wide / 2) / wide, (rows - high / 2) / wide
        bent = 1 + scene.barrel * (x * x + y * y)
        columns, rows = wide / 2 + (columns - wide / 2) * bent, high / 2 + (rows - high / 2) * bent
    depth = backward[2, 0] * columns + backward[2, 1] * rows + backward[2, 2]
    x = (backward[0, 0] * columns + backward[0, 1] * rows + backward[0, 2]) / depth
    y = (backward[1, 0] * columns + backward[1, 1] * rows + backward[1, 2]) / depth
    # the nearest place of a page drawn finer than the picture; the blur that follows hides the jags
    rows, columns = (y * dpi / 25.4).astype(np.int32), (x * dpi / 25.4).astype(np.int32)
    inside = (rows >= 0) & (rows < shades.shape[0]) & (columns >= 0) & (columns < shades.shape[1])
    drawn = shades[rows.clip(0, shades.shape[0] - 1), columns.clip(0, shades.shape[1] - 1)]
    drawn[~inside] = 0.25 * shades[2, 2]
    return gaussian_filter(drawn, (scene.blur, scene.blur, 0), mode="nearest")


def _lit(picture, scene):
    high, wide = picture.shape[:2]
    y, x = np.mgrid[-1 : 1 : high * 1j, -1 : 1 : wide * 1j].astype(np.float32)
    light = (1 + scene.vignette * (x * x + y * y)) ** -2 * np.exp(scene.slope[0] * x + scene.slope[1] * y)
    if scene.shadow:
        light = light * np.where(x + 0.3 * y > 0.1, 1.0, 1.0 - scene.shadow)
    rng = np.random.default_rng(scene.seed)
    picture = picture * light[..., np.newaxis] + scene.glare
    noise = scene.noise * np.sqrt(np.maximum(picture, 0) + 0.02)
    return picture + noise * rng.standard_normal(picture.shape, dtype=np.float32)


def written(picture, scene):
    """Store linear light as the scene's file form."""
    values = np.clip(picture, 0, 1)
    if scene.curve == "srgb":
        values = np.where(values <= 0.0031308, 12.92 * values, 1.055 * values ** (1 / 2.4) - 0.055)
    top, kind = (255, "uint8") if scene.bits == 8 else (65535, "uint16")
    stored = np.ascontiguousarray(np.round(values * top).astype(kind))
    image = pyvips.Image.new_from_memory(
        stored.tobytes(), stored.shape[1], stored.shape[0], 3, "uchar" if scene.bits == 8 else "ushort"
    ).copy(interpretation="srgb" if scene.bits == 8 else "rgb16", xres=scene.dpi / 25.4, yres=scene.dpi / 25.4)
    if scene.profile:
        image = image.copy()
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", PROFILES[scene.profile])
    if scene.kind == "jpeg":
        return image.jpegsave_buffer(Q=scene.quality)
    if scene.kind == "tiff":
        return image.tiffsave_buffer(compression="lzw")
    return image.pngsave_buffer(compression=3)
