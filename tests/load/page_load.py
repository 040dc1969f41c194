"""The page under load: many makers edit at once for minutes, and nothing is lost, mixed or leaked.

```text
python tests/load/page_load.py --makers 20 --seconds 300
```

starts the page by its own verb and prints what was done and what the server held in memory. Ends
with status 1 when an error was shown or logged, when a maker saw what another one typed, when a
value that was typed is in no kept file, or when the server's memory goes on growing.
"""

import argparse
import re
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))
sys.path.insert(0, str(Path(__file__).parent))

from maker import ARGUMENTS, CHROMIUM, DESK, Maker
from makers import BACK, FRONT, HOURS, LEVEL, Busy, Ledger
from served import Served, lasts

from lightcalc.folder.work import open_work

LOGGED = re.compile(r"Traceback|Error|Exception|WARNING|CRITICAL", re.IGNORECASE)
# Shared by those who share: one field each, and one that two of them both change.
SHARES = ((FRONT,), (BACK,), (LEVEL,), (LEVEL,))
MAKERS_A_BROWSER = 5
SAMPLE_S = 1.0
MOST_RSS_MB, MOST_GROWTH_MB = 900, 60


class Memory(threading.Thread):
    """Memory of the server and what it started (resident, MB), each second."""

    def __init__(self, pid):
        super().__init__(daemon=True)
        self.pid, self.samples, self.ended = pid, [], threading.Event()

    def run(self):
        while not self.ended.wait(SAMPLE_S):
            self.samples.append(resident_mb(self.pid))


def resident_mb(pid):
    """Return the resident memory of a process and its children, as Linux tells it."""
    found = 0
    for children in Path(f"/proc/{pid}/task").glob("*/children"):
        found += sum(resident_mb(int(child)) for child in children.read_text().split())
    status = Path(f"/proc/{pid}/status").read_text()
    return found + int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024


class Workshop(threading.Thread):
    """A browser with some makers, who act together and then look at what came of it."""

    def __init__(self, served, ledger, parts, seconds):
        super().__init__()
        self.served, self.ledger, self.parts, self.seconds = served, ledger, parts, seconds
        self.busy, self.faults, self.waits_s = [], [], []

    def run(self):
        from playwright.sync_api import sync_playwright

        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=str(CHROMIUM), args=list(ARGUMENTS)
            )
            try:
                self._work(browser)
            except Exception as wrong:
                doing = "; ".join(f"{busy.number} {busy.doing}" for busy in self.busy)
                self.faults.append(f"{type(wrong).__name__}: {wrong} ({doing})")
            browser.close()

    def _work(self, browser):
        for number, labels in self.parts:
            page = browser.new_context().new_page()
            page.set_viewport_size({"width": DESK[0], "height": DESK[1]})
            busy = Busy(Maker(page, self.served), number, self.ledger, labels)
            busy.begin()
            self.busy.append(busy)
        end = time.monotonic() + self.seconds
        while time.monotonic() < end:
            start = time.monotonic()
            for busy in self.busy:
                busy.act()
            for busy in self.busy:
                busy.rest()
            self.waits_s.append((time.monotonic() - start) / len(self.busy))
        for busy in self.busy:
            self.faults += [*busy.faults, *_as_printed(busy)]
            watch = busy.tab.watch
            self.faults += [*watch.boxes, *watch.errors, *watch.elsewhere]


def _as_printed(busy):
    """Hold the hours on a maker's page against those printed for the saved file."""
    if busy.labels:
        return []
    name = f"{busy.stem}.toml"
    tab = busy.tab.open(name)
    kept = open_work(tab.served.folder, name)
    if kept.text != kept.saved:
        tab.save()
    printed, on_page = lasts(tab.served.printed("answer", name))[0], tab.number(HOURS)
    return [] if on_page == printed else [f"{busy.stem}: {on_page} shown, {printed} printed"]


def work_at_once(served, makers, seconds):
    """Let so many makers work for so long; return their workshops and the ledger.

    The first four makers, or half of them when they are fewer than eight, share one design.
    """
    ledger = Ledger()
    sharing = min(len(SHARES), makers // 2)
    parts = [(number, SHARES[number] if number < sharing else ()) for number in range(makers)]
    count = -(-makers // MAKERS_A_BROWSER)
    if sharing:
        served.design("shared design.toml", ("Hall bench with a resin seam", "shared design"))
    shops = [Workshop(served, ledger, parts[first::count], seconds) for first in range(count)]
    for shop in shops:
        shop.start()
    for shop in shops:
        shop.join()
    return shops, ledger


def faults_of(served, shops, ledger):
    """Return everything that went wrong, as sentences."""
    found = [fault for shop in shops for fault in shop.faults]
    found += [f"typed and kept nowhere: {lost}" for lost in ledger.missing(served.folder)]
    log = served.log.read_text(encoding="utf-8", errors="replace")
    return found + [f"logged: {line}" for line in log.splitlines() if LOGGED.search(line)]


def growth_mb(samples):
    """Return by how much the median of the last sixth is above that of the sixth before half."""
    sixth = max(1, len(samples) // 6)
    middle = samples[2 * sixth : 3 * sixth] or samples
    return statistics.median(samples[-sixth:]) - statistics.median(middle)


def main():
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--makers", type=int, default=20)
    told.add_argument("--seconds", type=float, default=300)
    asked = told.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        served = Served(Path(folder) / "designs")
        try:
            return _report(served, asked.makers, asked.seconds)
        finally:
            served.kill()


def _report(served, makers, seconds):
    memory = Memory(served.process.pid)
    at_first = resident_mb(memory.pid)
    memory.start()
    shops, ledger = work_at_once(served, makers, seconds)
    memory.ended.set()
    memory.join()
    samples = memory.samples
    faults = faults_of(served, shops, ledger)
    grown, waits = growth_mb(samples), [wait for shop in shops for wait in shop.waits_s]
    if max(samples) > MOST_RSS_MB:
        faults.append(f"the server held {max(samples):.0f} MB; at most {MOST_RSS_MB} MB is asked")
    if grown > MOST_GROWTH_MB:
        faults.append(f"in the second half it grew by {grown:.0f} MB; asked {MOST_GROWTH_MB} MB")
    screens = sum(busy.changed_screens for shop in shops for busy in shop.busy)
    print(f"{makers} makers, {seconds:g} s: {ledger.count} values typed, {screens} screens changed")
    print(f"{len(ledger.standing)} values standing in the end, each looked for in the kept files")
    print(f"a change and its answer, with all at it: {statistics.median(waits):.2f} s (median)")
    minutes = [f"{mb:.0f}" for mb in samples[:: max(1, round(60 / SAMPLE_S))]]
    print(
        f"memory: {at_first:.0f} MB at first, at most {max(samples):.0f} MB, {samples[-1]:.0f} MB "
        f"in the end; each minute {', '.join(minutes)}; second half {grown:+.0f} MB"
    )
    for fault in faults[:40]:
        print("FAULT", fault)
    print(f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
