"""A browser before a page of its own: the real server, started by the real verb, each tab watched.

Each worker starts one server on a free port and one chromium; each test has a design of its own in
the server's folder. Where a browser is missing the tests say so and are skipped; with
LIGHTCALC_REQUIRE=all in the environment they fail instead.
"""

import contextlib
import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from maker import ARGUMENTS, CHROMIUM, DESK, Maker, missing
from served import Served, skip_or_fail


@pytest.fixture(scope="session")
def chromium():
    """The browser itself."""
    if missing():
        skip_or_fail(missing())
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def served(tmp_path_factory):
    """The server of this worker, on a folder that was not there before."""
    if missing():
        skip_or_fail(missing())
    found = Served(tmp_path_factory.mktemp("page") / "my designs")
    yield found
    found.kill()


@pytest.fixture(scope="session")
def warm(chromium):
    """A browser that has seen the page before, so that a test's first tab opens at once."""
    return chromium.new_context()


@contextlib.contextmanager
def _tabs(chromium, warm, served):
    """Open tabs, each after the first in a browser of its own; watched, and closed in the end."""
    opened = []

    def open_tab(size=DESK, at=served, strict=True, **options):
        first = not opened and not options
        page = (warm if first else chromium.new_context(**options)).new_page()
        page.set_viewport_size({"width": size[0], "height": size[1]})
        maker = Maker(page, at)
        opened.append((maker, strict))
        return maker

    yield open_tab
    for maker, _ in opened:
        context = maker.page.context
        maker.page.close()
        if context is not warm:
            context.close()
    for maker, strict in opened:
        if strict:
            maker.watch.check()


@pytest.fixture
def tab(chromium, warm, served):
    """What opens tabs for one test."""
    with _tabs(chromium, warm, served) as open_tab:
        yield open_tab


@pytest.fixture(scope="module")
def lasting_tab(chromium, warm, served):
    """What opens tabs for all tests of a module that only look."""
    with _tabs(chromium, warm, served) as open_tab:
        yield open_tab


@pytest.fixture
def maker(tab):
    """One tab on a wide screen."""
    return tab()


@pytest.fixture
def bench(served, request):
    """The name of a design of this test alone, a copy of the hall bench."""
    name = re.sub(r"\W+", " ", request.node.name).strip()[:60].strip() + ".toml"
    served.design(name)
    return name
