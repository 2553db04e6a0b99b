"""Property tests draw the same examples at each run, so that a red run means a changed program.

Give `--hypothesis-profile=searching` to draw new ones: for the long tier and for whoever looks for trouble.
"""

import os

from hypothesis import HealthCheck, settings

# The matrices here are small: threads of their own only wait for each other, the more so where every core has a worker.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

settings.register_profile("steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("searching", derandomize=False, deadline=None, max_examples=1000)
settings.load_profile("steady")
