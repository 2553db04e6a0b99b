"""Open, published tables that general packages carry, read by us and by an independent parse (numpy).

Only colour-science is among the test dependencies; the other packages are read where they are installed:
open-tables.txt names them and the command. Nothing of them is kept here.

colour-science (BSD-3-Clause)              190 reflectances, wavelengths down, commas
                                           24 chart reflectances by N. Ohta, down with commas, across with tabs
bumbleview (MIT)                           a green leaf without headings
                                           parts of flowers without headings, percent, 0.37 nm
                                           eyes of insects, a daylight (no reflectance)
radiative-transfer-models (GPL-3.0-or-later)  44 soils, tabs or blanks, LF or CRLF
                                           responses of satellite sensors (no reflectance)
progeosail (GPL-3.0-only)                  soils without wavelengths, absorption of leaves (no reflectance)
(licences as the packages' metadata name them)
"""

from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

import numpy as np
import pytest

from sprayout_core.tables import in_memory
from sprayout_plugins import instrument_csv

BENCH = {"geometry": "di:8", "stage": "bare", "quantity": "reflectance"}
UNIT = BENCH | {"scale": "unit"}
SOILS = "pypro4sail/spectra/soil_spectral_library"


def packaged(package, inside):
    try:
        found = distribution(package).locate_file(inside)
    except PackageNotFoundError:
        pytest.skip(f"{package} is not installed")
    return Path(str(found))


def read(path, told):
    source = in_memory(path.name, path.read_bytes())
    seen = instrument_csv.preview_table(source, told)
    assert seen.ready, (seen.questions, seen.faults)
    found = [one for one in instrument_csv.read_table(source, told) if hasattr(one, "label")]
    assert len(found) == seen.readings
    return np.array(found[0].wavelengths), np.array([one.values for one in found]), [one.label for one in found]


def same(path, told, wavelengths, values, labels):
    nm, factors, names = read(path, told)
    np.testing.assert_array_equal(nm, wavelengths)
    np.testing.assert_allclose(factors, values, rtol=0, atol=1e-12)
    assert names == labels


def test_190_reflectances_down():
    path = packaged("colour-science", "colour/characterisation/datasets/rawtoaces/190_Patches.csv")
    table = np.genfromtxt(path, delimiter=",", skip_header=1)
    labels = path.read_text().splitlines()[0].split(",")[1:]
    same(path, UNIT, table[:, 0], table[:, 1:].T, labels)


def test_24_chart_reflectances_down_and_across():
    folder = packaged("colour-science", "colour/io/tests/resources")
    (down,), (across,) = folder.glob("*_n_ohta.csv"), folder.glob("*_n_ohta_transposed.csv")
    table = np.genfromtxt(down, delimiter=",", skip_header=1)
    labels = [str(number) for number in range(1, 25)]
    same(down, UNIT, table[:, 0], table[:, 1:].T, labels)
    table = np.genfromtxt(across, delimiter="\t", skip_header=1)
    wavelengths = np.array(across.read_text().splitlines()[0].split("\t")[1:], float)
    same(across, UNIT | {"label": "wavelength"}, wavelengths, table[:, 1:], labels)


def test_a_leaf_without_headings():
    path = packaged("bumbleview", "bumbleview/data/background_green_leaf.csv")
    table = np.loadtxt(path, delimiter=",")
    same(path, UNIT | {"label": "green leaf"}, table[:, 0], table[:, 1:].T, ["green leaf"])


def test_flowers_without_headings_in_percent():
    path = packaged("bumbleview", "bumbleview/data/xmpl_data.csv")
    table = np.loadtxt(path, delimiter=",")
    labels = [f"column {number}" for number in range(2, table.shape[1] + 1)]
    told = BENCH | {"scale": "percent", "label": "(column number)"}
    same(path, told, table[:, 0], table[:, 1:].T / 100, labels)


def test_soils():
    folder = packaged("radiative-transfer-models", SOILS)
    paths = sorted(folder.glob("*.txt"))
    assert len(paths) >= 40
    for path in paths:
        table = np.loadtxt(path)
        same(path, UNIT | {"label": path.stem}, table[:, 0], table[:, 1:].T, [path.stem])


NO_REFLECTANCE = [
    ("colour-science", "colour/io/tests/resources/linss2_10e_5.csv", "quantity"),
    ("colour-science", "colour/characterisation/datasets/rawtoaces/*_Sensitivities.csv", "quantity"),
    *(
        ("bumbleview", f"bumbleview/data/{insect}_sensoring.csv", "quantity")
        for insect in ("apis", "bombus", "eristalis", "lucilia", "macroglossum", "musca")
    ),
    ("bumbleview", "bumbleview/data/d65_standards.csv", "quantity"),
    ("radiative-transfer-models", "pypro4sail/spectra/sensor_response_functions/Landsat8.txt", "quantity"),
    ("radiative-transfer-models", "pypro4sail/spectra/sensor_response_functions/Sentinel2A.txt", "quantity"),
    ("radiative-transfer-models", "pypro4sail/prospect_d_spectra.txt", "quantity"),
    ("progeosail", "progeosail/soil_reflectance.txt", "wavelength_unit"),
    ("progeosail", "progeosail/prospect5_spectra.txt", "wavelength_unit"),
    ("progeosail", "progeosail/prospect_pro_spectra.txt", "quantity"),
]


@pytest.mark.parametrize(("package", "inside", "option"), NO_REFLECTANCE, ids=lambda text: Path(text).stem)
def test_what_is_no_reflectance_is_never_taken_silently(package, inside, option):
    path = packaged(package, inside)
    if "*" in path.name:
        (path,) = path.parent.glob(path.name)
    told = {"scale": "unit", "geometry": "di:8", "stage": "bare", "label": "(column number)"}
    seen = instrument_csv.preview_table(in_memory(path.name, path.read_bytes()), told)
    assert not seen.ready
    assert option in [question.option for question in seen.questions] or seen.faults
