"""The verb `page`: starts the page in a browser, on this computer alone."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import click

from lightcalc.problems import BadInput, Problem
from lightcalc.screens.layout import printable
from lightcalc.screens.options import example

DEFAULT_PORT = 8501
# Blues that are told from the red of mistakes; the same are in .streamlit/config.toml. One colour
# for both themes would keep the page light in a browser that asks for dark.
ACCENT, ACCENT_ON_DARK = "#1f6fb2", "#6fb1ea"
SCRIPT = Path(__file__).with_name("page") / "script.py"


@click.command(
    epilog=example("lightcalc page", 'lightcalc page "my designs" --no-browser --port 8600')
)
@click.argument("folder", required=False, type=click.Path(path_type=Path, file_okay=False))
@click.option("--port", default=DEFAULT_PORT, show_default=True, type=click.IntRange(1024, 65535))
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def page(folder: Path | None, port: int, no_browser: bool) -> None:
    """Show answers in a browser, and change the designs of a FOLDER.

    The page is on this computer alone and reads and writes nothing but that folder; without one,
    "lightcalc designs" beside you. A folder that holds no design gets the examples. Ctrl-C ends it.
    """
    try:
        import streamlit  # noqa: F401, PLC0415 - only to say how to get it
    except ImportError:
        # Never the bare name of this program: what a registry has under it may be another's.
        sentence = (
            "needs more to run; in lightcalc's folder: .venv/bin/python -m pip install '.[page]'"
        )
        raise BadInput([Problem("lightcalc page", "", sentence)]) from None
    # Only the page needs this, and other verbs must start at once.
    from lightcalc.screens.page.desk import DEFAULT_FOLDER, FOLDER_VARIABLE  # noqa: PLC0415
    from lightcalc.screens.page.seed import seed  # noqa: PLC0415

    place = (folder or Path(DEFAULT_FOLDER)).resolve()
    if seed(place):
        click.echo(printable(f"The example designs and parts were put into {place}."))
    click.echo(
        f"Designs: {printable(str(place))}\nPage:    http://localhost:{port}   (Ctrl-C ends it)"
    )
    # With -P nothing that lies in the folder one is in is taken for a part of the program.
    done = subprocess.run(
        [
            sys.executable,
            "-P",
            "-m",
            "streamlit",
            "run",
            str(SCRIPT),
            *server_flags(port, no_browser),
        ],
        env={**os.environ, FOLDER_VARIABLE: str(place)},
        check=False,
    )
    click.get_current_context().exit(done.returncode)


def server_flags(port: int, no_browser: bool) -> list[str]:
    """Return how the server is started: on loopback, asks and tells nothing, small uploads."""
    options = {
        "server.address": "localhost",
        "server.port": port,
        "server.headless": str(no_browser).lower(),
        "server.showEmailPrompt": "false",
        "server.maxUploadSize": 2,
        "server.fileWatcherType": "none",
        "server.enableStaticServing": "false",
        "browser.gatherUsageStats": "false",
        "browser.serverAddress": "localhost",
        "theme.light.primaryColor": ACCENT,
        "theme.dark.primaryColor": ACCENT_ON_DARK,
        # The server's own greeting goes with offers of its own, which lie over the answers and
        # write into the folder; the address is told above.
        "logger.hideWelcomeMessage": "true",
        "client.toolbarMode": "minimal",
        "client.showErrorDetails": "none",
    }
    return [f"--{name}={value}" for name, value in options.items()]
