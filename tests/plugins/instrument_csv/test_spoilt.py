"""A table with one thing spoilt gives its true values, or fewer of them, or a question or refusal: never others."""

import random

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import TableReading, in_memory
from sprayout_plugins import instrument_csv, measurement_table

BANDS = [400 + 10 * band for band in range(9)]
TOLD = {"scale": "unit", "geometry": "45:0", "stage": "bare", "quantity": "reflectance"}


def table(dice):
    names = [f"kelp-{place}" for place in range(1, 5)]
    return {name: {float(band): round(dice.uniform(0.02, 0.95), 4) for band in BANDS} for name in names}


def rows_of(truth, layout, heading):
    if layout in {"rows", "standard"}:
        first = "Sample" if layout == "rows" else "SAMPLE_ID"
        return [[first, *(heading.format(band) for band in BANDS)]] + [
            [name, *(f"{values[band]:.4f}" for band in map(float, BANDS))] for name, values in truth.items()
        ]
    if layout == "columns":
        return [["nm", *truth]] + [[str(band), *(f"{truth[name][band]:.4f}" for name in truth)] for band in BANDS]
    return [["Sample", "nm", "Reflectance"]] + [
        [name, str(band), f"{truth[name][band]:.4f}"] for name in truth for band in BANDS
    ]


def spoilt(rows, dice):
    """Spoil one thing of the table's form, never the digits of a value."""
    rows = [list(row) for row in rows]
    line = dice.choice([0, dice.randrange(len(rows))])
    at = dice.randrange(len(rows[line]))
    kind = dice.randrange(10)
    if kind == 0:
        del rows[line][at]
    elif kind == 1:
        rows[line].insert(at, "")
    elif kind == 2:
        rows[line].insert(at, rows[line][at])
    elif kind == 3:
        rows[line][at] = ""
    elif kind == 4:
        del rows[line]
    elif kind == 5:
        rows.insert(line, list(rows[dice.randrange(len(rows))]))
    elif kind == 6:
        rows[line] = rows[line][: at + 1]
    elif kind == 7:
        for row in rows:
            row[at : at + 1] = [] if len(row) > at else row[at : at + 1]
    elif kind == 8:
        other = dice.randrange(len(rows))
        rows[line], rows[other] = rows[other], rows[line]
    else:
        for row in rows:
            row.insert(at, dice.choice(["x", "7", "0.5", ""]))
    return rows


def written(rows, layout, mark):
    if layout != "standard":
        return "\n".join(mark.join(row) for row in rows) + "\n"
    fields, *sets = ["\t".join(row) for row in rows]
    head = ["CGATS.17", "BEGIN_DATA_FORMAT", fields, "END_DATA_FORMAT", "NUMBER_OF_SETS 4", "BEGIN_DATA"]
    return "\n".join([*head, *sets, "END_DATA"]) + "\n"


def check(cases, seed):
    dice = random.Random(seed)
    taken = 0
    for _ in range(cases):
        truth = table(dice)
        layout = dice.choice(["rows", "rows", "columns", "long", "standard"])
        heading = "SPECTRAL_{}" if layout == "standard" else dice.choice(["{}", "R{}", "{} nm"])
        text = written(spoilt(rows_of(truth, layout, heading), dice), layout, dice.choice([";", "\t", ","]))
        plugin = measurement_table if layout == "standard" else instrument_csv
        source = in_memory("a.csv", text.encode())
        seen = plugin.preview_table(source, TOLD)
        try:
            found = [one for one in plugin.read_table(source, TOLD) if isinstance(one, TableReading)]
        except SprayoutError:
            assert not seen.ready
            continue
        assert seen.ready
        taken += 1
        for reading in found:
            if layout == "columns" and reading.label in {"x", "7", "0.5"}:
                continue  # the column put in beside the samples is as good a sample as they are
            for band, value in zip(reading.wavelengths, reading.values, strict=True):
                assert truth.get(reading.label, {}).get(band) == value, f"{reading}\n{text}"
    return taken


def test_a_few_spoilt_tables():
    assert check(250, 1) > 10


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2, 8))
def test_many_spoilt_tables(seed):
    assert check(3000, seed) > 100
