"""Speed and memory of taking tables in: ratios inside one run, printed, never judged."""

import csv
import hashlib
import io
import json
import random
import subprocess
import sys
import time

import pytest

from sprayout_core.tables import Source, TableReading
from sprayout_plugins import instrument_csv, measurement_table

pytestmark = pytest.mark.benchmark

READINGS, BANDS = 100_000, list(range(400, 701, 10))
TOLD = {"scale": "percent", "geometry": "45:0", "stage": "bare"}
PEAK = r"""
import re, sys
from pathlib import Path
from sprayout_core.tables import Source
from sprayout_plugins import instrument_csv
path = Path(sys.argv[1])
source = Source(path.name, path.stat().st_size, "0" * 64, lambda: path.open("rb"))
told = {"scale": "percent", "geometry": "45:0", "stage": "bare"}
assert instrument_csv.preview_table(source, told).ready
assert sum(1 for _ in instrument_csv.read_table(source, told)) == int(sys.argv[2])
print(int(re.search(r"VmHWM:\s*(\d+)", Path("/proc/self/status").read_text())[1]) // 1024)
"""


@pytest.fixture(scope="module")
def table(tmp_path_factory):
    """Invented percent readings, decimal comma and semicolons."""
    dice = random.Random(7)
    path = tmp_path_factory.mktemp("tables") / "many.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        out.write("Sample;" + ";".join(f"R{band}" for band in BANDS) + "\r\n")
        for number in range(READINGS):
            values = (f"{dice.uniform(2, 95):.3f}".replace(".", ",") for _ in BANDS)
            out.write(f"panel {number};" + ";".join(values) + "\r\n")
    return path


def source_of(path):
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    return Source(path.name, path.stat().st_size, digest, lambda: path.open("rb"))


def timed(work):
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def plain_parse(path):
    with path.open(encoding="utf-8", newline="") as stream:
        rows = csv.reader(stream, delimiter=";")
        next(rows)
        return sum(sum(float(cell.replace(",", ".")) for cell in row[1:]) >= 0 for row in rows)


def fast_import(documents, folder):
    subprocess.run(["git", "init", "--quiet", "--bare", str(folder)], check=True)
    stream = io.BytesIO()
    stream.write(b"commit refs/heads/main\ncommitter a <a@example.org> 0 +0000\ndata 1\nx")
    for number, content in enumerate(documents):
        stream.write(
            f"\nM 100644 inline readings/{number % 256:02x}/{number}.json\ndata {len(content)}\n".encode() + content
        )
    stream.write(b"\ndone\n")
    command = ["git", "-C", str(folder), "fast-import", "--quiet", "--done"]
    return timed(lambda: subprocess.run(command, input=stream.getvalue(), check=True))[0]


def as_document(reading):
    spectrum = {"end_nm": 700, "start_nm": 400, "step_nm": 10, "values": [round(value, 5) for value in reading.values]}
    return json.dumps({"kind": "reading", "label": reading.label, "spectrum": spectrum}, indent=1).encode()


def test_a_large_table_against_writing_its_documents(table, tmp_path, figure):
    source = source_of(table)
    seconds_preview, seen = timed(lambda: instrument_csv.preview_table(source, TOLD))
    assert (seen.ready, seen.readings) == (True, READINGS)
    seconds_read, readings = timed(lambda: list(instrument_csv.read_table(source, TOLD)))
    seconds_plain, _ = timed(lambda: plain_parse(table))
    seconds_written = fast_import([as_document(reading) for reading in readings], tmp_path / "bare")
    both = seconds_preview + seconds_read
    figure(
        f"{READINGS:,} rows x {len(BANDS)} bands previewed and read",
        both / seconds_plain,
        "times a bare csv loop",
        f"preview {seconds_preview:.2f} s, read {seconds_read:.2f} s, loop {seconds_plain:.2f} s; "
        f"{both / seconds_written:.2f} times fast-import of their documents",
    )


@pytest.mark.skipif(sys.platform != "linux", reason="peak memory is read from Linux's own account of a process")
def test_peak_memory_of_a_large_table(table, figure):
    command = [sys.executable, "-c", PEAK, str(table), str(READINGS)]
    peak = int(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    figure(f"{READINGS:,} rows previewed and read, peak memory", peak, "MB", "", "at most 200")


def test_a_large_measurement_table(table, figure):
    readings = [one for one in instrument_csv.read_table(source_of(table), TOLD) if isinstance(one, TableReading)]
    seconds_out, written = timed(lambda: measurement_table.write_table(readings, "iso28178", {}))
    source = Source("many.txt", len(written.content), "0" * 64, lambda: io.BytesIO(written.content))
    seconds_in, count = timed(lambda: sum(1 for _ in measurement_table.read_table(source, {})))
    assert count == READINGS
    figure(
        f"{READINGS:,} rows of a measurement table (ISO 28178) read", seconds_in / seconds_out, "times writing it",
        f"{seconds_in:.1f} s and {seconds_out:.1f} s",
    )  # fmt: skip
