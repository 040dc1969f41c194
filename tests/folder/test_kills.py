"""Whatever is killed at whatever moment, the old text or the new one is there, whole."""

import json
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.parametrize(
    ("program", "ways", "kills"), [("killed_saves.py", 5, 50), ("killed_verbs.py", 6, 34)]
)
def test_a_kill_at_any_moment_leaves_the_old_text_or_the_new_one(tmp_path, program, ways, kills):
    """Two hundred kills of what the page saves, and as many of what the verbs write."""
    assert ways * kills >= 200
    done = subprocess.run(
        [sys.executable, Path(__file__).with_name(program), tmp_path, str(kills), "1"],
        capture_output=True,
        text=True,
        check=False,
        timeout=180,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert len(found) == ways
    for which, counts in found.items():
        assert counts["went wrong"] == 0, which
        assert counts["killed"] == kills, which
        # The kills came when they could have done harm.
        assert counts["mid save"] > kills / 2, which
        assert counts["saves"] > 0, which
    assert sum(counts["left half written"] for counts in found.values()) > kills
