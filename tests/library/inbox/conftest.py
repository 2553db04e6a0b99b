"""A machine with a library of invented panels, a watched folder, and a clock that only goes when asked."""

from datetime import UTC, datetime

import pytest

from sprayout_library.inbox import Asked, Inbox, Outcome, Placed, Refused, Same, Watch
from sprayout_library.record import Writer
from sprayout_library.store import Store

BANDS = range(400, 701, 20)
OPTIONS = {"scale": "percent", "geometry": "45:0", "stage": "bare"}
HEAD = "Piece;" + ";".join(map(str, BANDS)) + "\n"
NOW = datetime(2026, 3, 2, 9, 10, tzinfo=UTC)


def row(label, level):
    return f"{label};" + ";".join(f"{level + place / 10:.2f}" for place, _ in enumerate(BANDS)) + "\n"


def table(*rows):
    return HEAD + "".join(row(label, level) for label, level in rows)


class Shop:
    """Everything a test needs to put files down and see what comes of them."""

    def __init__(self, folder):
        self.folder = folder / "exports"
        self.folder.mkdir()
        self.library = folder / "library"
        Store.create(self.library, NOW).close()
        self.now = 0.0
        self._opened = []
        self.panel("KF-1", "KF-2")

    def store(self):
        self._opened.append(Store.open(self.library))
        return self._opened[-1]

    def close(self):
        for store in self._opened:
            store.close()

    def panel(self, *labels, **facts):
        store = self.store()
        writer = Writer(store, "ada", clock=lambda: NOW)
        writer.save([writer.new("panel", {"label": label, **facts}) for label in labels], "Panels")

    def put(self, name, text):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def inbox(self):
        return Inbox(self.store(), lambda: NOW)

    def watch(self, options=None, quiet=1.0, patience=10.0, **asked):
        store = self.store()
        writer = Writer(store, "ada", clock=lambda: NOW)
        return Watch(
            writer,
            Inbox(store, writer.clock),
            self.folder,
            Asked(OPTIONS if options is None else options, **asked),
            quiet,
            patience,
        )

    def run(self, watch, seconds=2.0):
        """Look through the folder and let time pass; return what was told."""
        watch.scan()
        told = []
        end = self.now + seconds
        while self.now <= end:
            told += watch.step(self.now)
            self.now += 0.5
        return told

    def readings(self):
        store = self.store()
        return sorted(
            (reading.provenance.source_place, reading.measured[0].spectrum.values[0])
            for reading in store.documents("reading")
        )


def sorts(told):
    """Return told things in short: (sort, name, fresh, known, waiting)."""
    short = []
    for one in told:
        if isinstance(one, Outcome):
            short.append(("taken", one.name, len(one.fresh), len(one.known), one.waiting_count))
        elif isinstance(one, Refused):
            short.append(("refused", one.name))
        elif isinstance(one, Placed):
            short.append(("placed", one.count))
        elif isinstance(one, Same):
            short.append(("same", one.name, one.other))
    return short


@pytest.fixture
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("SPRAYOUT_HOME", str(tmp_path / "machine"))
    shop = Shop(tmp_path)
    shop.table, shop.row, shop.sorts, shop.options = table, row, sorts, OPTIONS
    yield shop
    shop.close()
