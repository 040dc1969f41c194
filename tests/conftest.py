"""One core for each process: workers side by side gain nothing from sums over several threads."""

import os

if "PYTEST_XDIST_WORKER" in os.environ:
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")
