"""Write the tables of light from the numbers a general colour-science package carries.

Run `python tests/oracles/make_tables.py` from the project's root to write them again; the test beside this
script fails when the files and the script disagree. The package is needed here and in tests only.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from pathlib import Path

TABLES = Path(__file__).parents[2] / "core" / "sprayout_core" / "light" / "tables"

ILLUMINANTS = (
    "A", "C", "D50", "D55", "D65", "D75", "FL2", "FL7", "FL11",
    "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-V1",
)  # fmt: skip
OBSERVERS = {
    "2": ("CIE 1931 2 Degree Standard Observer", "CIE 1931 standard colorimetric observer (2 degrees)"),
    "10": ("CIE 1964 10 Degree Standard Observer", "CIE 1964 standard colorimetric observer (10 degrees)"),
}

LICENCE = (
    "licence: numbers published by the CIE, taken as facts; the package they were read from states BSD-3-Clause "
    "(Copyright 2013 Colour Developers)"
)
ILLUMINANT_SOURCE = (
    "source: CIE 15:2004 Colorimetry (A, C, D50 to D75, FL2, FL7, FL11) and CIE 015:2018 "
    "Colorimetry, 4th edition (LED-B1 to LED-B5, LED-V1), relative spectral power every 5 nm, as carried by "
    "colour-science 0.4.7"
)
OBSERVER_SOURCE = "source: {}, ISO/CIE 11664-1, every 1 nm, as carried by colour-science 0.4.7"
NOTE = "note: an empty cell is a wavelength that the source does not tabulate"


def tables() -> dict[str, str]:
    """Return the text of every table by file name."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package warns about optional plotting that is not used here
        import colour

        texts = {
            f"observer_{name}.csv": _text(
                (OBSERVER_SOURCE.format(title), LICENCE),
                ("nm", "x", "y", "z"),
                (
                    (nm, *row)
                    for nm, row in zip(colour.MSDS_CMFS[key].wavelengths, colour.MSDS_CMFS[key].values, strict=True)
                ),
            )
            for name, (key, title) in OBSERVERS.items()
        }
        lights = {name: _by_wavelength(colour.SDS_ILLUMINANTS[name]) for name in ILLUMINANTS}
    wavelengths = sorted({nm for light in lights.values() for nm in light})
    texts["illuminants.csv"] = _text(
        (ILLUMINANT_SOURCE, LICENCE, NOTE),
        ("nm", *ILLUMINANTS),
        ((nm, *(light.get(nm) for light in lights.values())) for nm in wavelengths),
    )
    return texts


def _by_wavelength(light) -> dict[float, float]:
    return dict(zip(light.wavelengths.tolist(), light.values.tolist(), strict=True))


def _text(head: Iterable[str], names: Iterable[str], rows: Iterable[Iterable[float | None]]) -> str:
    lines = [f"# {line}" for line in head]
    lines.append(",".join(names))
    lines.extend(",".join("" if cell is None else f"{float(cell):.12g}" for cell in row) for row in rows)
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write every table to its place."""
    TABLES.mkdir(parents=True, exist_ok=True)
    for name, text in tables().items():
        (TABLES / name).write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}: {len(text)} bytes")


if __name__ == "__main__":
    main()
