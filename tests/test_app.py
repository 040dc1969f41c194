"""The page does not claim to be there before it is."""

import subprocess
import sys
from pathlib import Path


def test_the_page_says_that_it_is_not_there_yet():
    app = Path(__file__).parents[1] / "app.py"
    done = subprocess.run([sys.executable, app], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "no page yet" in done.stderr
