"""A generated library: dyes, mixes of two, a panel of each, ten readings of each panel at three angles."""

import subprocess

import numpy as np

from sprayout_core.documents import proof, read
from sprayout_core.documents.text import stored
from sprayout_library.store import path_of
from sprayout_library.store.git import environment

ANGLES = ("45as110", "45as15", "45as45")
AT = {"at": "2026-03-02T09:10:00Z", "tool": "a benchmark"}
HEAD = {"format": "sprayout/1.0", "provenance": AT, "seen": {"k7f3q2": 1}, "made": "k7f3q2.1"}
DYES = 50
REPEAT = 200
"""After so many, the same mixes come again under other titles."""
_SPECTRA = 5000
"""Spectra are taken from so many that were made once: making a million would be most of the time."""


def name(kind, number):
    version = "8" if kind == "r" else "7"
    return f"01926f39-{ord(kind):04x}-{version}e8a-b6c7-{(number * 0x9E3779B97F4A7) % 2**48:012x}"


def document(kind, identity, **said):
    return stored({**HEAD, "id": identity, "kind": kind, **said})


def formula(number, word="kelp"):
    one, two = name("m", number % DYES), name("m", (number * 7 + 1 + number % DYES) % DYES)
    two = two if two != one else name("m", (number + 1) % DYES)
    items = {one: {"kind": "material", "ratio": 2 * (number % 40) + 1}, two: {"kind": "material", "ratio": 2}}
    title = f"{word} {number} fern {number % 97}"
    return document("formula", name("f", number), title=title, mix={"basis": "volume", "items": items})


def documents(panels):
    """Yield kind, id and stored form of every document."""
    for number in range(DYES):
        yield "material", name("m", number), document("material", name("m", number), title=f"dye {number}", role="dye")
    proofs = [proof(read(formula(number))) for number in range(REPEAT)]
    for number in range(panels):
        yield "formula", name("f", number), formula(number)
    for number in range(panels):
        mix = name("f", number)
        said = {"coats": [{"formula": mix, "count": "3"}], "proofs": {mix: proofs[number % REPEAT]}}
        yield "panel", name("p", number), document("panel", name("p", number), label=f"P{number}", **said)
    yield from readings(panels)


def readings(panels):
    """Yield ten readings of each panel: one written out, the others by putting other values into its text."""
    random = np.random.default_rng(6)
    spectra = [
        ", ".join(f"{value:g}" for value in row).encode()
        for row in np.round(random.uniform(0.05, 0.6, (_SPECTRA, 31)), 5).tolist()
    ]
    marks = dict(zip(ANGLES, (0.61, 0.62, 0.63), strict=True))
    measured = [
        {"geometry": at, "spectrum": {"start_nm": 400, "end_nm": 700, "step_nm": 10, "values": [mark]}}
        for at, mark in marks.items()
    ]
    said = {"panel": "its panel", "stage": {"surface": "bare"}, "grade": "spectrum", "measured": measured}
    text = document("reading", "its own", **said).replace(b'"its own"', b'"%s"').replace(b'"its panel"', b'"%s"')
    for mark in marks.values():
        text = text.replace(f"[{mark}]".encode(), b"[%s]")
    for number, chosen in enumerate(random.integers(0, _SPECTRA, (10 * panels, 3)).tolist()):
        own, panel = name("r", number), name("p", number % panels)
        yield "reading", own, text % (own.encode(), *(spectra[one] for one in chosen), panel.encode())


def imported(store, many, parent=None):
    """Put documents in by fast-import, as one commit on this copy's branch; return how many and their bytes."""
    ref = f"refs/heads/shops/{store.copy_id}"
    size = count = 0
    command = ["git", f"--git-dir={store.folder}", "fast-import", "--quiet"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, env=environment()) as child:
        pipe = child.stdin
        pipe.write(f"commit {ref}\ncommitter a <a@example.org> 1772442600 +0000\ndata 4\nmade\n".encode())
        if parent:
            pipe.write(f"from {parent}\n".encode())
        for kind, identity, text in many:
            pipe.write(f"M 100644 inline {path_of(kind, identity)}\ndata {len(text)}\n".encode() + text + b"\n")
            size += len(text)
            count += 1
        pipe.close()
    assert child.returncode == 0
    store.refresh()
    return count, size
