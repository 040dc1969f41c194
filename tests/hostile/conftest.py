"""Make the doors of this folder importable, and keep searches short and repeatable."""

import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# Needs atheris, which is run by hand and not installed with the tests.
collect_ignore = ["fuzz.py"]

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile(
    "hostile",
    deadline=None,
    max_examples=80,
    derandomize=True,
    database=None,
    suppress_health_check=list(HealthCheck),
)


@pytest.fixture(scope="session")
def shop(tmp_path_factory):
    """Return a folder with a copy of the example parts, and nothing beside it."""
    import doors

    with doors.opened(tmp_path_factory.mktemp("shop")) as found:
        yield found
