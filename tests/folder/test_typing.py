"""However tabs, saves and other programs follow each other, all that was typed is on the disk."""

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from lightcalc.folder.place import design_names
from lightcalc.folder.saving import save_text
from lightcalc.folder.work import (
    ChangedElsewhere,
    keep_both,
    keep_work,
    open_work,
    save_design,
    start_again,
)

TABS = st.sampled_from(["left", "right", "phone"])


class Typing(RuleBasedStateMachine):
    """Three tabs and an editor type words, each word once; every word must stay on the disk."""

    def __init__(self):
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        save_text(self.folder, "bench.toml", "word0 ")
        self.words = ["word0 "]
        self.tabs = {
            tab: open_work(self.folder, "bench.toml") for tab in ("left", "right", "phone")
        }

    def new_word(self):
        self.words.append(f"word{len(self.words)} ")
        return self.words[-1]

    def or_both(self, tab, call):
        try:
            self.tabs[tab] = call(self.folder, self.tabs[tab])
        except ChangedElsewhere:
            self.tabs[tab] = keep_both(self.folder, self.tabs[tab])

    @rule(tab=TABS)
    def types(self, tab):
        work = self.tabs[tab]
        self.tabs[tab] = replace(work, text=work.text + self.new_word())
        self.or_both(tab, keep_work)

    @rule(tab=TABS)
    def types_for_the_other_side(self, tab):
        work = self.tabs[tab]
        other = work.state.get("other", "") + self.new_word()
        self.tabs[tab] = replace(work, state={"other": other})
        self.or_both(tab, keep_work)

    @rule(tab=TABS)
    def saves(self, tab):
        self.or_both(tab, save_design)

    @rule(tab=TABS)
    def gives_up(self, tab):
        self.or_both(tab, start_again)

    @rule(tab=TABS)
    def copies(self, tab):
        self.tabs[tab] = keep_both(self.folder, self.tabs[tab])

    @rule(tab=TABS, number=st.integers(0, 20))
    def opens(self, tab, number):
        names = design_names(self.folder)
        self.tabs[tab] = open_work(self.folder, names[number % len(names)])

    @rule(number=st.integers(0, 20))
    def editor_adds_to_a_file(self, number):
        names = [name for name in design_names(self.folder) if (self.folder / name).exists()]
        file = self.folder / names[number % len(names)]
        file.write_text(file.read_text() + self.new_word())

    @invariant()
    def every_word_is_on_the_disk(self):
        on_disk = "".join(path.read_text() for path in self.folder.rglob("*") if path.is_file())
        assert [word for word in self.words if word not in on_disk] == []

    def teardown(self):
        shutil.rmtree(self.folder)


Typing.TestCase.settings = settings(
    max_examples=40,
    stateful_step_count=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
TestTyping = Typing.TestCase
