"""What holds for every test: one core for each process, and searches that end the same each time.

`pytest --hypothesis-profile=explore` searches elsewhere at every run.
"""

import os

from hypothesis import settings

if "PYTEST_XDIST_WORKER" in os.environ:
    # Workers side by side gain nothing from sums over several threads.
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")

# A busy machine must not fail a test, so no example has a deadline.
settings.register_profile("steady", deadline=None, derandomize=True, database=None)
settings.register_profile("explore", deadline=None)
settings.load_profile("steady")
