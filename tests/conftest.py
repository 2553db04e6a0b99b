"""Property tests draw the same examples at each run, so that a red run means a changed program.

Give `--hypothesis-profile=searching` to draw new ones: for the long tier and for whoever looks for trouble.
"""

import contextlib
import os
import shutil
import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

settings.register_profile("steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("searching", derandomize=False, deadline=None, max_examples=1000)
settings.load_profile("steady")

# Its examples would take in constants of our modules that are imported by then: of those that earlier tests needed.
with contextlib.suppress(ImportError):
    from hypothesis.internal.conjecture import providers

    providers.is_local_module_file = lambda path: False

MEMORY, ROOM = Path("/dev/shm"), 4_000_000_000


def pytest_configure(config):
    """Make the everyday tests quick; kills and benchmarks keep to the disk and to every core, which they are about."""
    if "not long and not benchmark" not in config.option.markexpr:
        return
    # Sets go in one order in every worker and at every run; the long tier has them in any.
    os.environ.setdefault("PYTHONHASHSEED", "0")
    # The matrices are small: threads of their own wait for each other, the more so where every core has a worker.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Hundreds of commands start in processes of their own, and pytest rewrites every test: once is enough.
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    # Every save is written through to the disk; in memory nobody waits for that.
    if MEMORY.is_dir() and _fits(MEMORY):
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def _fits(folder):
    """Whether the tests may write there, have room there, and may start the hooks they put there."""
    runs = not os.statvfs(folder).f_flag & getattr(os, "ST_NOEXEC", 0)
    return runs and os.access(folder, os.W_OK) and shutil.disk_usage(folder).free > ROOM
