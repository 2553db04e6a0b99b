"""Writing readings as a measurement table in the text form of ISO 28178 (CGATS.17)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import TableReading, WrittenTable
from sprayout_plugins.measurement_table.fields import GEOMETRY_FIELD, KEYWORDS
from sprayout_plugins.measurement_table.tokens import quoted

__all__ = ["STANDARD", "write"]

STANDARD = frozenset(
    (
        *("ORIGINATOR", "FILE_DESCRIPTOR", "DESCRIPTOR", "CREATED", "MANUFACTURER", "PROD_DATE", "SERIAL"),
        *("MATERIAL", "INSTRUMENTATION", "MEASUREMENT_SOURCE", "PRINT_CONDITIONS", "SAMPLE_BACKING"),
        *("WEIGHTING_FUNCTION", "COMPUTATIONAL_PARAMETER"),
    )
)
"""Keywords that need no declaration by KEYWORD."""

_FIELDS = {"L*": "LAB_L", "a*": "LAB_A", "b*": "LAB_B", "X": "XYZ_X", "Y": "XYZ_Y", "Z": "XYZ_Z"}


def write(readings: Sequence[TableReading], options: Mapping[str, str]) -> WrittenTable:
    """Return readings as one table; reading it again asks nothing and gives the same readings.

    options  further keywords for the head, name to text (`ORIGINATOR`, `CREATED`, ...)

    Raises SprayoutError where the readings do not fit into one table: other wavelengths, lights or stages.
    """
    _fit(readings)
    first = readings[0]
    given = {reading.conditions.geometry for reading in readings}
    front = [*_names(readings), *([GEOMETRY_FIELD] if len(given) > 1 else [])]
    extras = [name for name in first.extra if name != "SAMPLE_ID"]
    columns = [f"SPECTRAL_{length:g}" for length in first.wavelengths] or [_FIELDS[name] for name in first.coordinates]
    fields = [*front, *map(_bare, extras), *columns]
    if len(set(fields)) != len(fields):
        raise SprayoutError("two columns would have one field name", "Rename one of them.", place="readings")
    declared = [*map(_bare, extras), *(name for name in front if name == GEOMETRY_FIELD)]
    lines = ["CGATS.17", *_head(first, options, declared, "" if len(given) > 1 else next(iter(given)))]
    lines += [f"NUMBER_OF_FIELDS {len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields), "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS {len(readings)}", "BEGIN_DATA"]
    for number, reading in enumerate(readings, 1):
        texts = [_front(name, reading, number, front) for name in front] + [reading.extra[name] for name in extras]
        values = reading.values or tuple(reading.coordinates.values())
        lines.append("\t".join([*map(_word, texts), *(repr(float(value)) for value in values)]))
    return WrittenTable("txt", ("\n".join([*lines, "END_DATA"]) + "\n").encode())


def _names(readings: Sequence[TableReading]) -> list[str]:
    """Return the fields that name a sample: SAMPLE_ID alone where the labels tell all sets apart."""
    labels = {(reading.label, reading.conditions.geometry) for reading in readings}
    alone = "SAMPLE_ID" not in readings[0].extra and len(labels) == len(readings)
    return ["SAMPLE_ID"] if alone else ["SAMPLE_ID", "SAMPLE_NAME"]


def _front(name: str, reading: TableReading, number: int, front: Sequence[str]) -> str:
    if name == GEOMETRY_FIELD:
        return reading.conditions.geometry
    if name == "SAMPLE_NAME" or "SAMPLE_NAME" not in front:
        return reading.label
    return reading.extra.get("SAMPLE_ID", str(number))


def _fit(readings: Sequence[TableReading]) -> None:
    if not readings:
        raise SprayoutError("there is no reading to write", "Choose at least one.", place="readings")
    first = readings[0]
    for number, reading in enumerate(readings, 1):
        for what in ("wavelengths", "illuminant", "observer", "stage"):
            source = reading if what == "wavelengths" else reading.conditions
            usual = first if what == "wavelengths" else first.conditions
            if getattr(source, what) != getattr(usual, what):
                raise SprayoutError(
                    f"its {what} differ from the first one's",
                    "Write it in a table of its own.",
                    place=f"reading {number}",
                )
        if list(reading.coordinates) != list(first.coordinates) or list(reading.extra) != list(first.extra):
            raise SprayoutError(
                "its columns differ from the first one's", "Write it in a table of its own.", place=f"reading {number}"
            )


def _head(first: TableReading, options: Mapping[str, str], declared: Sequence[str], geometry: str) -> list[str]:
    about = first.conditions
    own = {KEYWORDS["geometry"]: geometry, KEYWORDS["stage"]: about.stage}
    own[KEYWORDS["scale"]] = "unit" if first.wavelengths else ""
    weights = {"ILLUMINANT": about.illuminant, "OBSERVER": f"{about.observer} degree" if about.observer else ""}
    told = [(_bare(name.rstrip("'")), value) for name, value in {**first.keys, **options}.items()]
    told += [(name, value) for name, value in own.items() if value]
    foreign = dict.fromkeys(name for name, _ in told if name not in STANDARD) | dict.fromkeys(declared)
    return [
        *(f"KEYWORD {quoted(name)}" for name in foreign),
        *(f"{name} {quoted(_line(value))}" for name, value in told),
        *(f"WEIGHTING_FUNCTION {quoted(f'{name}, {value}')}" for name, value in weights.items() if value),
    ]


def _bare(name: str) -> str:
    """Return a heading as one bare word, as keywords and fields are."""
    kept = [letter if letter.isascii() and (letter.isalnum() or letter in "_.-*") else "_" for letter in name]
    return "".join(kept) or "_"


def _word(value: str) -> str:
    bare = value and not any(letter.isspace() or letter in '"#' for letter in value)
    return value if bare else quoted(_line(value))


def _line(value: str) -> str:
    if len(value.splitlines()) > 1 or any(ord(letter) < 32 and letter != "\t" for letter in value):
        raise SprayoutError(
            f"{value[:40]!r} holds a line end", "A table keeps each text on one line.", place="readings"
        )
    return value
