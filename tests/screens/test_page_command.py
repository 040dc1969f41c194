"""The page starts on this computer alone, tells no one, and takes in little, however started."""

import os
import signal
import socket
import subprocess
import sys
import time
import tomllib
import urllib.request
from pathlib import Path

import pytest

from lightcalc.screens.page_command import server_flags

CONFIG = Path(__file__).parents[2] / ".streamlit" / "config.toml"


def flags():
    """Return the settings that the verb gives, by name, all as text."""
    return dict(flag.removeprefix("--").split("=", 1) for flag in server_flags(8600, True))


def configured():
    """Return the settings of the file for `streamlit run`, by name, all as text."""
    return dict(_flat("", tomllib.loads(CONFIG.read_text(encoding="utf-8"))))


def _flat(before, table):
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(f"{before}{key}.", value)
        else:
            yield f"{before}{key}", str(value).lower() if isinstance(value, bool) else str(value)


@pytest.mark.parametrize("settings", [flags, configured], ids=["verb", "file"])
def test_the_page_is_on_this_computer_alone_and_tells_no_one(settings):
    found = settings()
    assert found["server.address"] == "localhost"
    assert found["browser.gatherUsageStats"] == "false"
    assert found["server.showEmailPrompt"] == "false"
    assert found["server.enableStaticServing"] == "false"
    assert int(found["server.maxUploadSize"]) <= 2  # MB
    assert found["client.showErrorDetails"] == "none"
    assert found["logger.hideWelcomeMessage"] == "true"  # no offers of the server's own either


def test_the_file_says_the_same_as_the_verb():
    assert configured().items() <= flags().items()


def test_every_setting_is_one_that_streamlit_has():
    from streamlit import config

    for name in flags():
        assert config.get_option(name) is not None or name.startswith("theme."), name


def test_one_who_never_had_streamlit_is_asked_nothing_before_the_page(tmp_path):
    """Streamlit asks the first time for an address, and waits; its page would wait with it."""
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        port = probe.getsockname()[1]
    # A home with nothing in it, and no program that would open a window.
    bare = {**os.environ, "HOME": str(tmp_path), "PATH": str(tmp_path), "BROWSER": "true"}
    verb = "from lightcalc.screens.cli import main; main()"
    words = [sys.executable, "-c", verb, "page", "designs", "--port", str(port)]
    started = subprocess.Popen(
        words,
        cwd=tmp_path,
        env=bare,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        assert answers(f"http://localhost:{port}/_stcore/health")
    finally:
        os.killpg(started.pid, signal.SIGTERM)
        printed = started.communicate()[0].decode()
    assert "mail" not in printed


def answers(address, seconds=40.0):
    """Return whether a server answers within the time."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(address, timeout=5) as answer:
                return answer.status == 200
        except OSError:
            time.sleep(0.2)
    return False
