"""The page run without a browser, in a folder of its own."""

from functools import cache
from pathlib import Path

import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from lightcalc.screens.page.desk import FOLDER_VARIABLE

SCRIPT = Path(__file__).parents[3] / "lightcalc" / "screens" / "page" / "script.py"


class Tab:
    """One tab of the page, as a maker uses it."""

    def __init__(self, folder):
        self.folder = folder
        self.screen = "answers"
        self.test = AppTest.from_file(str(SCRIPT), default_timeout=60)
        self.run()

    def run(self):
        self.test.run()
        assert not self.test.exception, [error.message for error in self.test.exception]
        return self

    def go(self, screen):
        # Streamlit's own switch knows screens that are files only.
        self.test._page_hash = calc_hash(screen)
        self.screen = screen
        return self.run()

    def field(self, place):
        """Return the widget at a place, such as `runs/0/length`; `other` ones with their side."""
        side, _, rest = place.rpartition(" ")
        key = f"field {self.screen} {side or 'mine'} {rest}"
        for kind in ("text_input", "selectbox", "checkbox", "text_area"):
            for widget in getattr(self.test, kind):
                if widget.key == key:
                    return widget
        raise AssertionError(f"no field {key}")

    def type(self, place, value):
        widget = self.field(place)
        if hasattr(widget, "check") and isinstance(value, bool):
            widget.check() if value else widget.uncheck()
        else:
            widget.set_value(value)
        return self.run()

    def press(self, label):
        for button in self.test.button:
            if button.label == label:
                button.click()
                return self.run()
        raise AssertionError(f"no button {label}")

    @property
    def numbers(self):
        """The large numbers of the four answers, as shown."""
        return [header.value.replace("\\", "") for header in self.test.header]

    @property
    def words(self):
        """All that is said on the screen, markup taken off."""
        said = [*self.test.markdown, *self.test.caption, *self.test.warning, *self.test.info]
        return "\n".join(element.value for element in said).replace("\\", "").replace("\u2060", "")

    @property
    def mistakes(self):
        """What is said beside fields that cannot be read."""
        return [
            element.value.replace("\\", "")
            for element in self.test.markdown
            if element.value.startswith(":red[:material/error:")
        ]


@pytest.fixture(scope="session", autouse=True)
def packages_seen_once():
    """Streamlit's server looks through all installed packages once, its tests at every opening."""
    with pytest.MonkeyPatch.context() as patch:
        looked = cache(manifest_scanner.scan_component_manifests)
        patch.setattr(manifest_scanner, "scan_component_manifests", looked)
        yield


@pytest.fixture
def folder(tmp_path, monkeypatch):
    place = tmp_path / "my designs"
    monkeypatch.setenv(FOLDER_VARIABLE, str(place))
    return place


@pytest.fixture
def tab(folder):
    return Tab(folder)


@pytest.fixture
def another_tab(folder):
    return lambda: Tab(folder)
