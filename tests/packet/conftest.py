"""Make the helpers of this folder and the designs of the answers importable."""

import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

HERE = Path(__file__).parent
for folder in (HERE, HERE.parent / "answers"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))

# The same searches as those of the answers, whose designs are drawn here.
settings.register_profile(
    "answers",
    deadline=None,
    max_examples=15,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
