"""How fast commands start, as ratios to a bare interpreter in the same run."""

import os
import statistics
import subprocess
import sys
import time

import pytest

pytestmark = pytest.mark.benchmark


def median(command, env):
    taken = []
    for _ in range(7):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, env=env)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def test_start(tmp_path, figure):
    env = {**os.environ, "SPRAYOUT_HOME": str(tmp_path / "machine")}
    sprayout = [sys.executable, "-c", "from sprayout_library.cli.main import main; main()"]
    subprocess.run([*sprayout, "demo", str(tmp_path / "demo")], check=True, capture_output=True, env=env)
    bare = median([sys.executable, "-c", "pass"], env)
    for words, aim in ((["--help"], 6), (["show", "Kelp glass"], 20), (["list"], 20), ([], 20)):
        taken = median([*sprayout, *words], env)
        named = f"sprayout {' '.join(words) or '(bare)'}"
        figure(
            f"start of `{named}`", taken / bare, "bare interpreter starts", f"{1e3 * taken:.0f} ms", f"at most {aim}"
        )
