"""The watched folder with the system's own words: real files, real writers, a real observer, a real kill."""

import random
import signal
import subprocess
import sys
import threading
import time

import pytest

from sprayout_library.inbox import Outcome
from sprayout_library.inbox.observing import Observed, keep_watching, once

QUIET = 0.4  # seconds: longer than a loaded machine leaves a thread waiting between a file's making and its writing


class Running:
    """A watch that runs in a thread of its own until it is left."""

    def __init__(self, shop, observed=Observed, **more):
        self.told = []
        self._stop = threading.Event()
        self._ended = []
        watch = shop.watch(**more)
        self._observed = observed(watch.folder) if observed else None
        words = (watch, self._observed, self._stop, self.told.append, time.monotonic)

        def work():
            keep_watching(*words)
            watch._store.close()

        self._thread = threading.Thread(target=work)

    def __enter__(self):
        self._thread.start()
        return self

    def __exit__(self, *_):
        self._stop.set()
        self._thread.join(60)
        if self._observed:
            self._observed.stop()
        assert not self._thread.is_alive()

    def wait_for(self, count, seconds=120):
        """Wait until so many files were told of; what is waited for is an event, no time."""
        end = time.monotonic() + seconds
        while len(self.told) < count and time.monotonic() < end:
            time.sleep(0.02)
        return self.told


def test_a_new_file_and_a_renamed_in_one_are_heard_of(shop, tmp_path):
    shop.put("there.csv", shop.table(("KF-1", 10)))
    with Running(shop, quiet=QUIET) as running:
        assert shop.sorts(running.wait_for(1)) == [("taken", "there.csv", 1, 0, 0)]
        shop.put("new/deep.csv", shop.table(("KF-2", 20)))
        assert shop.sorts(running.wait_for(2))[1:] == [("taken", "deep.csv", 1, 0, 0)]
        outside = tmp_path / "outside.csv"
        outside.write_text(shop.table(("KF-2", 30)), encoding="utf-8")
        outside.rename(shop.folder / "moved.csv")
        assert shop.sorts(running.wait_for(3))[2:] == [("taken", "moved.csv", 1, 0, 0)]
    assert len(shop.readings()) == 3


@pytest.mark.skipif(sys.platform != "linux", reason="only here the system tells of closing")
def test_a_writer_with_pauses_longer_than_the_quiet_time_is_taken_whole(shop):
    with Running(shop, quiet=QUIET, patience=60.0) as running:
        with (shop.folder / "slow.csv").open("w", encoding="utf-8") as file:
            file.write(shop.table(("KF-1", 10)))
            for level in (20, 30):
                file.flush()
                time.sleep(1.5 * QUIET)
                file.write(shop.row(f"KF-2/{level}", level))
        told = running.wait_for(1)
    assert len(told) == 1 and len(told[0].fresh) + told[0].waiting_count == 3


def test_a_network_share_is_looked_through_again_and_again(shop):
    with Running(shop, observed=None, quiet=QUIET) as running:
        shop.put("a.csv", shop.table(("KF-1", 10)))
        running.wait_for(1)
        shop.put("b.csv", shop.table(("KF-2", 10)))
        assert [one.name for one in running.wait_for(2)] == ["a.csv", "b.csv"]


def test_the_loop_outlives_a_fault_of_one_turn(shop, monkeypatch):
    from sprayout_library.inbox import Watch

    real, failed = Watch.step, []

    def failing(self, now):
        if not failed:
            failed.append(now)
            raise ZeroDivisionError("once")
        return real(self, now)

    monkeypatch.setattr(Watch, "step", failing)
    shop.put("a.csv", shop.table(("KF-1", 10)))
    with Running(shop, observed=None, quiet=0.1) as running:
        told = running.wait_for(2)
    assert "ZeroDivisionError" in told[0].reason and isinstance(told[1], Outcome)


@pytest.mark.long
def test_a_thousand_files_at_once_and_more_while_they_are_taken(shop):
    def put(numbers):
        for number in numbers:
            shop.put(f"{number % 7}/n{number}.csv", shop.table(("KF-1", 10 + number / 20), ("KF-2", 11 + number / 25)))

    put(range(700))
    with Running(shop, quiet=0.2) as running:
        put(range(700, 1000))
        told = running.wait_for(1000, 400)
    assert len(told) == 1000 and sum(len(one.fresh) for one in told) == 2000
    assert len(shop.readings()) == 2000
    watch, seen = shop.watch(quiet=0.1), []
    once(watch, threading.Event(), seen.append, time.monotonic)
    assert seen == [] and watch.refused() == 0


CHILD = """
import sys
from sprayout_library.cli.main import run
sys.exit(run(["--library", sys.argv[1], "--by", "ada", "watch", sys.argv[2], "--quiet", "0.1",
              "--set", "scale=percent", "--set", "geometry=45:0", "--set", "stage=bare"]))
"""


def watching(shop):
    """A process of its own that watches the folder, from the moment it says so."""
    process = subprocess.Popen(
        [sys.executable, "-c", CHILD, str(shop.library), str(shop.folder)],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    assert "Watching" in process.stdout.readline()
    return process


@pytest.mark.long
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs a kill that cannot be caught")
def test_killed_again_and_again_each_reading_is_there_once(shop):
    dice = random.Random(5)
    files, rows = 150, 12
    names = [f"P-{place}" for place in range(rows)]
    shop.panel(*names[::2])
    for number in range(files):
        shop.put(
            f"n{number}.csv", shop.table(*((name, 2 + number / 2 + place / 50) for place, name in enumerate(names)))
        )
    for _ in range(14):
        running = watching(shop)
        time.sleep(dice.uniform(0.0, 0.9))
        running.kill()
        running.communicate()
    running = watching(shop)
    end = time.monotonic() + 120
    while time.monotonic() < end and len(shop.inbox().files) < files:
        time.sleep(0.2)
    running.send_signal(signal.SIGINT)
    rest, _ = running.communicate(timeout=60)
    assert running.returncode == 0 and "Stopped" in rest
    inbox = shop.inbox()
    assert len(inbox.rows) == files * rows // 2, "every row without a panel waits, once"
    assert len(shop.readings()) == files * rows // 2
    shop.panel(*names[1::2])
    assert shop.sorts(shop.run(shop.watch(), 4)) == [("placed", files * rows // 2)]
    assert len(shop.readings()) == files * rows


def test_ctrl_c_stops_cleanly(shop):
    if sys.platform == "win32":
        pytest.skip("a child cannot be sent Ctrl-C alone there")
    shop.put("a.csv", shop.table(("KF-1", 10)))
    running = watching(shop)
    lines = []
    for line in iter(running.stdout.readline, ""):
        lines.append(line)
        if "taken in" in line:
            break
    running.send_signal(signal.SIGINT)
    rest, _ = running.communicate(timeout=60)
    assert running.returncode == 0, lines
    assert "Stopped: 1 reading taken in" in rest
