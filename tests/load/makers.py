"""Many makers at one page at once, and a ledger of all that they typed.

Each has a tab in a browser session of its own. Most work on a design of their own, whose values
carry the maker's number (0.8305 m is maker 5's), so a value in another's sight is seen at once.
The others share one design, each with one field of it, or a field that two of them fight over.
"""

import random
import re
import tomllib
from dataclasses import dataclass

from maker import shown

from lightcalc.folder.place import design_names
from lightcalc.folder.work import open_work

FRONT, BACK, LEVEL = "Length of front rail", "Length of back rail", "Brightness for 2 h 30 min"
PACK, HOURS = "Pack of seat box", "Hours a charge"
PACKS = ("liion-4s-6800", "liion-6s-5200", "lifepo4-8s-12000")
PLACES = {FRONT: ("runs", 0, "length"), BACK: ("runs", 1, "length"), PACK: ("supplies", 0, "pack")}
PLACES[LEVEL] = ("use", "evening", 0, "level")
NAMES = ("Charts", "Design", "One pack or two", "Safety", "Files", "Look")
SHOWN_NAME = "design of maker {:02d}"
SHARED = "shared design"
CRASHED = "[data-testid='stException'], [data-testid='stAlertContentError']"
VALUES = "[...document.querySelectorAll('.stMain input')].map(e => e.value)"


@dataclass(frozen=True)
class Entered:
    """A value that someone put into a field of a design, or of a copy made to keep both."""

    stem: str
    label: str
    value: str


class Ledger:
    """What was entered and not since replaced by someone who saw it."""

    def __init__(self):
        self.standing, self.count = set(), 0

    def enter(self, stem, label, value, saw):
        self.standing.discard(Entered(stem, label, saw))
        self.standing.add(Entered(stem, label, value))
        self.count += 1

    def missing(self, folder):
        """Return what was entered and is in no kept text; all of them are read as they are."""
        kept = set()
        for name in design_names(folder):
            stem = re.match(rf"{SHARED}|design of maker \d\d|", name)[0]
            if not stem:
                continue
            tables = tomllib.loads(open_work(folder, name).text)
            kept |= {Entered(stem, label, _at(tables, place)) for label, place in PLACES.items()}
        return self.standing - kept


def _at(tables, place):
    for step in place:
        tables = tables[step]
    return tables


class Busy:
    """One of the makers: what they type, and what they must never see."""

    def __init__(self, tab, number, ledger, labels=(), seed=1):
        """`labels` are the fields of one who shares; none for one with a design of their own."""
        self.tab, self.number, self.ledger = tab, number, ledger
        self.labels = labels
        self.chance = random.Random(seed * 1000 + number)
        self.stem = SHARED if labels else SHOWN_NAME.format(number)
        self.faults, self.changed_screens = [], 0
        self.screen, self.doing = "Answers", "opening"

    def begin(self):
        """Make the design, unless it is shared and there, and open it."""
        name = f"{self.stem}.toml"
        if not (self.tab.served.folder / name).exists():
            piece = ("Hall bench with a resin seam", self.stem)
            self.tab.served.design(name, piece)
        self.tab.open(name)

    def act(self):
        """Begin one thing, without waiting for the page; `rest` waits."""
        dice = self.chance.random()
        if dice < 0.2:
            return self._go(self.chance.choice(NAMES))
        if self.screen != "Answers":
            return self._go("Answers")
        label = self.chance.choice(self.labels or (FRONT, BACK, LEVEL, PACK))
        saw = self.tab.field(label).input_value()
        if label == PACK:
            value = self.chance.choice([pack for pack in PACKS if not saw.startswith(pack)])
            act = self.tab.choice(label, value).click
        else:
            value = self._value(label, saw)
            self.tab.field(label).fill(value)
            act = lambda: self.tab.field(label).press("Enter")  # noqa: E731
        self.doing = f"typing {value} over {saw}"
        self.tab.begin(act)
        self.ledger.enter(self.stem, label, value, saw.partition(":")[0])
        return None

    def _value(self, label, saw):
        """Return a value that the field does not hold already, or the page would have no work."""
        if label == LEVEL:
            values = [f"{percent}.{self.number:02d} %" for percent in range(20, 100)]
        else:
            values = [f"{cm / 100:.2f}{self.number:02d} m" for cm in range(50, 140)]
        return self.chance.choice([value for value in values if value != saw])

    def _go(self, screen):
        if screen == self.screen:
            screen = "Answers"
        self.doing = f"going from {self.screen} to {screen}"
        self.screen = screen
        self.changed_screens += 1
        self.tab.begin(self.tab.page.get_by_role("link", name=screen).first.click)

    def rest(self):
        """Wait until the page has done what was begun, and look at all that it shows."""
        self.tab.finish()
        page = self.tab.page
        self.faults += page.locator(CRASHED).all_inner_texts()
        seen = self.tab.text()
        others = set(re.findall(r"design of maker \d\d", seen)) - {self.stem}
        # The list of designs under Files is everyone's.
        if others and not page.url.split("?")[0].endswith("/files"):
            self.faults.append(f"maker {self.number} saw {others}")
        heading = shown(page.get_by_role("heading", level=1).first.inner_text())
        if heading != self.stem:
            self.faults.append(f"maker {self.number} saw the piece {heading}")
        if not self.labels:
            values = " ".join(page.evaluate(VALUES))
            marks = set(re.findall(r"\b\d\.\d\d(\d\d) m\b|\b\d\d\.(\d\d) %", values))
            strange = {one or two for one, two in marks} - {f"{self.number:02d}"}
            if strange:
                self.faults.append(f"maker {self.number} saw values of makers {strange}")
