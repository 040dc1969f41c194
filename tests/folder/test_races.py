"""Two who change the same design at the same moment never lose what either did."""

import subprocess
import sys
import threading
from pathlib import Path

from race_for_work import count_up

from lightcalc.folder.place import design_names
from lightcalc.folder.uploads import take_design
from lightcalc.folder.work import keep_both, open_work

TIMES = 150


def test_two_pages_that_count_up_together_lose_no_count(folder):
    program = [sys.executable, Path(__file__).with_name("race_for_work.py"), folder, str(TIMES)]
    pages = [
        subprocess.Popen(program, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    for page in pages:
        assert page.stdout.readline() == "ready\n"
    for page in pages:
        page.stdin.write("go\n")
        page.stdin.flush()
    conflicts = [int(page.communicate(timeout=60)[0]) for page in pages]
    assert [page.returncode for page in pages] == [0, 0]
    assert open_work(folder, "bench.toml").state["count"] == str(2 * TIMES)
    # They did get in each other's way.
    assert sum(conflicts) > 0


def together(calls):
    """Run calls at the same time; return what they gave."""
    given, failed = [], []
    start = threading.Barrier(len(calls))

    def run(call):
        start.wait(10)
        try:
            given.append(call())
        except Exception as problem:
            failed.append(problem)

    threads = [threading.Thread(target=run, args=(call,)) for call in calls]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert failed == []
    return given


def test_tabs_of_one_page_lose_no_count_either(folder):
    conflicts = together([lambda: count_up(folder, 40)] * 4)
    assert open_work(folder, "bench.toml").state["count"] == "160"
    assert sum(conflicts) > 0


def test_new_names_chosen_at_the_same_moment_are_all_different(folder):
    work = open_work(folder, "bench.toml")
    names = together(
        [lambda: keep_both(folder, work).name] * 5
        + [lambda: take_design(folder, "bench.toml", b"a = 1")] * 5
    )
    assert len(set(names)) == 10
    assert set(design_names(folder)) == {"bench.toml", *names}


def test_a_design_that_is_saved_all_the_time_can_be_read_all_the_time(folder):
    done = threading.Event()
    read = []

    def save():
        try:
            return count_up(folder, 60)
        finally:
            done.set()

    def look():
        while not done.is_set():
            read.append(int(open_work(folder, "bench.toml").state.get("count", "0")))

    together([save, look])
    assert read == sorted(read)
    assert len(set(read)) > 1
