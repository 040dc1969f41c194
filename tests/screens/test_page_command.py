"""The page starts on this computer alone, tells no one, and takes in little, however started."""

import tomllib
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
    assert found["server.enableStaticServing"] == "false"
    assert int(found["server.maxUploadSize"]) <= 2  # MB
    assert found["client.showErrorDetails"] == "none"


def test_the_file_says_the_same_as_the_verb():
    assert configured().items() <= flags().items()


def test_every_setting_is_one_that_streamlit_has():
    from streamlit import config

    for name in flags():
        assert config.get_option(name) is not None or name.startswith("theme."), name
