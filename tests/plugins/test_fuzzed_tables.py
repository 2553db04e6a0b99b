"""Mutated tables: no traceback, no hang, and no value that does not stand in its own line."""

import json
import random
import re
from pathlib import Path
from time import process_time

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.tables import TableReading, in_memory, tree
from sprayout_plugins import instrument_csv, measurement_table

SHAPES = [
    json.loads(path.read_text(encoding="utf-8")) for path in sorted((Path(__file__).parent / "shapes").glob("*.json"))
]
MEASUREMENT = """CGATS.17
ORIGINATOR "Tern Lane co-op, invented"
MEASURING_GEOMETRY "45:0"
PANEL_STAGE "bare"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SPECTRAL_DEC_400 SPECTRAL_DEC_420 SPECTRAL_DEC_440 SPECTRAL_DEC_460
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
kelp 0.11 0.125 0.1375 0.15
fern 0.21 0.225 0.2375 0.25
END_DATA
"""
TOLD = {"scale": "unit", "geometry": "45:0", "stage": "bare", "quantity": "reflectance"}
MARKS = [
    ";",
    ",",
    "\t",
    " ",
    '"',
    "\n",
    "\r",
    "\r\n",
    ".",
    "-",
    "#",
    "%",
    "nm",
    "400",
    "1e9",
    "\0",
    "é",
    "\ufeff",
    "=",
    "Mean",
]
NUMBERS = [re.compile(rf"[-+]?(?:\d+{mark}?\d*|{mark}\d+)(?:[eE][-+]?\d{{1,3}})?", re.ASCII) for mark in (r"\.", ",")]


def starting_points():
    for shape in SHAPES:
        text = shape["line_end"].join(shape["text"]) + (shape["last_line_end"] and shape["line_end"])
        yield text, shape["encoding"], TOLD | shape["options"]
    for _ in range(10):
        yield MEASUREMENT, "utf-8", {}


def mutated(text, dice):
    for _ in range(dice.randint(1, 4)):
        lines = text.splitlines(keepends=True) or [""]
        at = dice.randrange(len(text) + 1)
        kind = dice.randrange(9)
        if kind == 0:
            text = text[:at]
        elif kind == 1:
            text = text[:at] + dice.choice(MARKS) + text[at:]
        elif kind == 2:
            text = text[:at] + text[at + dice.randint(1, 6) :]
        elif kind == 3:
            text = "".join(lines[: (line := dice.randrange(len(lines)))] + lines[line + 1 :])
        elif kind == 4:
            line = dice.randrange(len(lines))
            text = "".join([*lines[:line], lines[line], *lines[line:]])
        elif kind == 5:
            text = text.replace(*dice.sample([";", ",", ".", "\t", " "], 2))
        elif kind == 6:
            dice.shuffle(lines)
            text = "".join(lines)
        elif kind == 7:
            text = text[:at] + text[at : at + 40] * dice.randint(2, 5) + text[at + 40 :]
        else:
            text = text[:at] + chr(dice.randrange(1, 0x2FFF)) + text[at + 1 :]
    return text


def encoded(text, encoding, dice):
    content = text.encode(encoding, "replace")
    if dice.random() < 0.2 and content:
        at = dice.randrange(len(content))
        content = content[:at] + bytes([dice.randrange(256)]) + content[at + 1 :]
    return content


def look(content, told):
    source = in_memory("panels.csv", content)
    taken = []
    for plugin in (instrument_csv, measurement_table):
        seen = plugin.preview_table(source, told)
        if seen is None:
            continue
        json.dumps(tree(seen), allow_nan=False)
        if seen.ready:
            found = list(plugin.read_table(source, told))
            taken = [one for one in found if isinstance(one, TableReading)]
            assert len(taken) == seen.readings
        else:
            with pytest.raises(SprayoutError):
                list(plugin.read_table(source, told))
    return taken


def numbers_of(content, line, encodings=("utf-8-sig", "utf-16", "utf-16-le", "cp1252")):
    for encoding in encodings:
        try:
            text = content.decode(encoding)
        except UnicodeError:
            continue
        lines = re.split("\r\n|\r|\n", text)
        if line <= len(lines):
            for number in NUMBERS:
                yield {float(found.replace(",", ".")) for found in number.findall(lines[line - 1])}


def check(cases, seed):
    dice = random.Random(seed)
    starts = list(starting_points())
    whole = [start for start in starts if look(start[0].encode(start[1]), start[2])]
    taken = 0
    for _ in range(cases):
        text, encoding, told = dice.choice(whole if dice.random() < 0.7 else starts)
        content = encoded(mutated(text, dice), encoding, dice)
        begun = process_time()
        readings = look(content, told)
        assert process_time() - begun < 10
        taken += bool(readings)
        for reading in readings:
            if reading.values and not reading.column and "Reflectance" not in text:
                scale = {"unit": 1, "percent": 100, "thousandths": 1000}[reading.conditions.scale]
                wanted = {round(value * scale, 9) for value in reading.values}
                assert any(
                    wanted <= {round(number, 9) for number in line} for line in numbers_of(content, reading.line)
                ), (
                    reading,
                    content,
                )
    return taken


HOSTILE = {
    "one endless line": b"1" * 3_000_000,
    "endless blanks": b"Sample;400;410;420;430;440\n" + b" " * 500_000 + b";.1;.2;.3;.4;.5\n",
    "endless dashes": b"Sample;400;410;420;430;440\n" + (b"-" * 100_000 + b";.1;.2;.3;.4;.5\n") * 5,
    "an endless heading": b"Sample;" + b"R 400 nm " * 50_000 + b";410\na;.1;.2\n",
    "very many columns": b"Sample;" + b";".join(b"%d" % n for n in range(400, 60_000)) + b"\n",
    "very many numbers": b"\n".join(b";".join([b"0.5"] * 5000) for _ in range(20)),
    "an open quotation": b'Sample;400;410\na;.1;.2\n"' + b"x;.1\n" * 200_000,
    "only separators": b";" * 900_000 + b"\n",
    "only line ends": b"\r\n" * 300_000,
    "section marks": b"BEGIN_DATA_FORMAT\n" * 50_000,
    "endless fields": b"BEGIN_DATA_FORMAT\n" + b"F%d " * 3000 + b"\nEND_DATA_FORMAT\nBEGIN_DATA\n",
    "zeros": b"\0" * 100_000,
    "nothing": b"",
    "a mark and nothing": b"\xef\xbb\xbf",
}


@pytest.mark.parametrize("what", HOSTILE)
def test_hostile_files_are_refused_in_time(what):
    begun = process_time()
    assert look(HOSTILE[what], TOLD) == []
    assert process_time() - begun < 10


def test_a_few_mutated_tables():
    assert check(300, 1) > 10


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2, 12))
def test_many_mutated_tables(seed):
    assert check(1000, seed) > 60
