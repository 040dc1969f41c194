"""Whatever is killed at whatever moment, the old text or the new one is there, whole."""

import json
import subprocess
import sys
from pathlib import Path

KILLS = 70


def test_a_kill_at_any_moment_leaves_the_old_text_or_the_new_one(tmp_path):
    done = subprocess.run(
        [sys.executable, Path(__file__).with_name("killed_saves.py"), tmp_path, str(KILLS), "1"],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    for which, counts in json.loads(done.stdout).items():
        assert counts["went wrong"] == 0, which
        assert counts["killed"] == KILLS
        # The kills came when they could have done harm.
        assert counts["mid save"] > KILLS / 2
        assert counts["left half written"] > 0
        assert counts["saves"] > 0
