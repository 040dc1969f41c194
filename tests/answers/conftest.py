"""Make the designs of this folder importable, and keep searches short and repeatable."""

import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), *(str(HERE / topic) for topic in ("band", "bench", "look"))]

settings.register_profile(
    "answers",
    deadline=None,
    max_examples=15,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
