"""Several makers at one page at once; tests/load lets more of them work for longer."""

import sys
from pathlib import Path

import pytest
from maker import missing
from served import Served, skip_or_fail

sys.path.insert(0, str(Path(__file__).parents[1] / "load"))

from makers import Entered, Ledger
from page_load import faults_of, work_at_once

MAKERS, WORK_S = 4, 10


@pytest.fixture
def crowded(tmp_path):
    """A server of this test alone, so that all of its log is of this test."""
    if missing():
        skip_or_fail(missing())
    found = Served(tmp_path / "designs of many")
    yield found
    found.kill()


def test_makers_at_once_lose_nothing_and_see_nothing_of_each_other(crowded):
    shops, ledger = work_at_once(crowded, MAKERS, WORK_S)
    assert faults_of(crowded, shops, ledger) == []
    assert ledger.count >= MAKERS


def test_a_value_kept_nowhere_would_be_missed(tmp_path):
    ledger = Ledger()
    (tmp_path / "shared design.toml").write_text(
        'runs = [{ length = "1 m" }, { length = "2 m" }]\n'
        'supplies = [{ pack = "one" }]\nuse = { evening = [{ level = "3 %" }] }\n'
    )
    ledger.enter("shared design", "Length of front rail", "1 m", saw="")
    assert ledger.missing(tmp_path) == set()
    ledger.enter("shared design", "Length of back rail", "1 m", saw="")
    assert ledger.missing(tmp_path) == {Entered("shared design", "Length of back rail", "1 m")}
    # Who saw a value may write another over it.
    ledger.enter("shared design", "Length of back rail", "2 m", saw="1 m")
    assert ledger.missing(tmp_path) == set()
