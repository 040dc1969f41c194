"""What a maker does on the page and reads from it, found by what is written there."""

import contextlib
import importlib.util
import os
import re
import time
from pathlib import Path
from urllib.parse import quote, urlsplit

ROOT = Path(__file__).parents[2]
CHROMIUM = Path(os.environ.get("LIGHTCALC_CHROMIUM", "/usr/bin/chromium"))
AXE = ROOT / ".axe" / "node_modules" / "axe-core" / "axe.min.js"
SCREENS = ("", "design", "charts", "packs", "find", "look", "bench", "safety", "files")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
DESK, PHONE = (1280, 800), (390, 844)
# A sign that is not seen and keeps names from being read as links.
JOINER = "\u2060"
ANSWERS = "document.querySelectorAll('.st-key-answers h2').length >= 4"
AT_REST = "document.querySelector('.stApp')?.dataset.testScriptState === 'notRunning'"
# What the server sent before a frame is drawn by the next one.
DRAWN = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
# What was replaced fades away, and axe would find it pale.
FADED = "document.getAnimations().every(a => a.playState !== 'running')"
# What draws a part of the page, the page's own style among them, may come after the run has ended.
WHOLE = """!document.querySelector("[data-testid$='Skeleton'], [data-stale='true']")
    && [...document.querySelectorAll(".stApp style")].some(e => e.textContent.includes(".st-key-"))
    && document.fonts.status === 'loaded'"""
# Only what never comes is waited for so long; a machine may have much else to do.
WAIT_MS, LOOK_AGAIN_MS = 60_000, 40


def missing():
    """Say what these tests need and is not there; empty when all is there."""
    for module in ("playwright", "streamlit"):
        if importlib.util.find_spec(module) is None:
            return f"needs {module}: pip install -e '.[test]'"
    return "" if CHROMIUM.exists() else f"needs {CHROMIUM}: apt-get install chromium"


class Watch:
    """What a tab did beside showing the page: boxes, errors, and what it asked of other hosts."""

    def __init__(self, page, host):
        self.host = host
        self.boxes, self.errors, self.elsewhere = [], [], []
        page.on("dialog", self._box)
        page.on("request", self._request)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("console", self._console)

    def _box(self, box):
        self.boxes.append(box.message)
        box.dismiss()

    def _request(self, request):
        parts = urlsplit(request.url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.netloc != self.host:
            self.elsewhere.append(request.url)

    def _console(self, message):
        # Streamlit looks for its server beside each screen before it finds it at the root.
        looked_for = re.search(r"/\w+/_stcore/(health|host-config)$", message.location["url"])
        if message.type == "error" and not looked_for:
            self.errors.append(message.text)

    def check(self):
        assert not self.boxes, self.boxes
        assert not self.elsewhere, self.elsewhere
        assert not self.errors, self.errors


class Runs:
    """How often the server told a tab that its script has run to the end.

    The page shows no sign of it when its browser, short of time, draws both ends of a run at once.
    """

    def __init__(self, page):
        self.page, self.ended, self.seen = page, 0, 0
        page.on("websocket", lambda socket: socket.on("framereceived", self._frame))

    def _frame(self, data):
        from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

        message = ForwardMsg.FromString(data)
        whole = (ForwardMsg.FINISHED_SUCCESSFULLY, ForwardMsg.FINISHED_FRAGMENT_RUN_SUCCESSFULLY)
        if message.WhichOneof("type") == "script_finished" and message.script_finished in whole:
            self.ended += 1

    def wait(self):
        """Wait until a run has ended since `seen` was set."""
        end = time.monotonic() + WAIT_MS / 1000
        while self.ended == self.seen and time.monotonic() < end:
            # Lets what the browser tells come in.
            self.page.wait_for_timeout(LOOK_AGAIN_MS)
        assert self.ended > self.seen, "the page did not run"


class Maker:
    """One tab, with what one does in it."""

    def __init__(self, page, served):
        self.page, self.served = page, served
        self.watch, self.runs = Watch(page, urlsplit(served.url).netloc), Runs(page)
        page.set_default_timeout(WAIT_MS)

    def open(self, design="", screen="", answered=True):
        query = f"?design={quote(design)}" if design else ""
        self.page.goto(f"{self.served.url}/{screen}{query}")
        self.rest(answered)
        return self

    def rest(self, answered=True):
        """Wait until everything is shown."""
        if answered:
            self.until(ANSWERS)
        self.until(f"{AT_REST} && {WHOLE}")
        return self

    def until(self, true):
        """Wait until an expression is true; looking at every frame would slow the page down."""
        self.page.wait_for_function(true, polling=LOOK_AGAIN_MS)

    def field(self, label):
        return self.page.get_by_label(label, exact=True)

    def type(self, label, text):
        """Type into a field and press Enter; wait until the page has taken it."""
        self.field(label).fill(text)
        self.ran(lambda: self.field(label).press("Enter"))

    def holds(self, label, text):
        """Hold that a field has such a text in it, as soon as it is drawn."""
        from playwright.sync_api import expect

        expect(self.field(label)).to_have_value(text, timeout=WAIT_MS)

    def choose(self, label, start):
        """Choose the option that starts so; wait until the page has taken it."""
        self.ran(self.choice(label, start).click)

    def choice(self, label, start):
        """Open a list and return its first option that starts so."""
        field = self.page.get_by_role("combobox", name=label, exact=True)
        option = self.page.get_by_role("option", name=re.compile(f"^{re.escape(start)}")).first
        for _ in range(5):
            field.fill("")
            field.fill(start)
            with contextlib.suppress(Exception):
                # A page that is drawn again meanwhile closes the list.
                option.wait_for(timeout=4000)
                break
        return option

    def button(self, name):
        # Before the words of a button stands the name of its sign.
        return self.page.get_by_role("button", name=re.compile(f"(^| ){re.escape(name)}$"))

    def press(self, name):
        """Press a button; wait until the page has done it."""
        self.ran(self.button(name).click)

    def ran(self, act):
        """Do something, and wait until the page has run from beginning to end because of it."""
        self.begin(act)
        self.finish()

    def begin(self, act):
        """Do something that the page runs for; `finish` waits for it."""
        self.runs.seen = self.runs.ended
        act()

    def finish(self):
        self.runs.wait()
        self.page.evaluate(DRAWN)
        self.until(f"{AT_REST} && {WHOLE}")

    def save(self):
        """Write the design to its file, where the command line reads it."""
        self.sees("kept, not yet saved to its file")
        self.press("Save")
        self.sees(re.compile(r"toml, saved"))

    def sees(self, text):
        """Wait until a text is to be seen."""
        self.page.get_by_text(text).first.wait_for()

    def text(self):
        """Return all that is written on the screen, as it is read."""
        return shown(self.page.locator(".stMain").inner_text())

    def card(self, question):
        """Return one of the four answers, all of its text in one line."""
        boxes = self.page.locator(".st-key-answers [data-testid='stVerticalBlock']")
        return shown(boxes.filter(has_text=question).last.inner_text())

    def number(self, question):
        """Return the large number of one of the four answers."""
        boxes = self.page.locator(".st-key-answers [data-testid='stVerticalBlock']")
        return shown(boxes.filter(has_text=question).last.locator("h2").inner_text())

    def table(self, heading):
        """Return the rows of the first table that has such a heading, without headings."""
        table = self.page.locator("table").filter(has_text=heading).first
        rows = table.locator("tbody tr").all()
        return [[shown(cell) for cell in row.locator("th, td").all_inner_texts()] for row in rows]

    def download(self, name):
        """Press the first download button of that name; return the file's name and its bytes."""
        with self.page.expect_download() as given:
            self.button(name).first.click()
        return given.value.suggested_filename, Path(given.value.path()).read_bytes()


def shown(text):
    """Return text in one line without the signs that are not seen."""
    return " ".join(text.replace(JOINER, "").split())
