"""Save in a loop and be killed at random moments, again and again: run as a program of its own.

Each text repeats its number on every line, so that a mixture of two texts shows. The child that
saves tells over a pipe when a save begins and when it has ended; what has ended must be there.

    python tests/folder/killed_saves.py FOLDER KILLS SEED

prints, for each way of saving, what came of so many kills.
"""

import json
import os
import random
import shutil
import signal
import sys
import time
from dataclasses import replace
from pathlib import Path

from lightcalc.folder.place import design_names
from lightcalc.folder.readings import readings_name, readings_text, save_readings
from lightcalc.folder.saving import save_text
from lightcalc.folder.uploads import take_design
from lightcalc.folder.work import keep_work, open_work, save_design

NAME = "bench.toml"
LINES = 3000
# The number in designs from elsewhere, which are counted by their files.
TAKEN = 7


def text_of(number):
    return f"{number:08d}\n" * LINES


def number_of(text):
    """Return the number of a whole text; None when it is not whole."""
    number = text[:8]
    return int(number) if number.isdecimal() and text == text_of(int(number)) else None


def save_text_in_loop(folder, number):
    save_text(folder, NAME, text_of(number))


def keep_in_loop(folder, number):
    work = open_work(folder, NAME)
    keep_work(folder, replace(work, text=text_of(number), state={"n": str(number)}))


def save_design_in_loop(folder, number):
    work = open_work(folder, NAME)
    save_design(folder, replace(work, text=text_of(number)))


def save_readings_in_loop(folder, number):
    save_readings(folder, NAME, text_of(number), readings_text(folder, NAME))


def take_in_loop(folder, number):
    take_design(folder, NAME, text_of(TAKEN).encode())


def child(folder, save, number, pipe):
    while True:
        number += 1
        os.write(pipe, b"b%010d\n" % number)
        save(folder, number)
        os.write(pipe, b"e%010d\n" % number)


def told(data, pipe):
    """Return the last save that was begun, the last that ended, and how many did."""
    while part := os.read(pipe, 65536):
        data += part
    lines = data.decode().split()
    begun = [int(line[1:]) for line in lines if line[0] == "b"]
    ended = [int(line[1:]) for line in lines if line[0] == "e"]
    return begun[-1] if begun else 0, ended[-1] if ended else 0, len(ended)


def kill_once(folder, save, read, longest_s, counts):
    """Let a child save for up to so long, kill it, check what is there, and return its number."""
    before = read(folder)
    out, into = os.pipe()
    pid = os.fork()
    if not pid:
        os.close(out)
        try:
            child(folder, save, before, into)
        finally:
            os._exit(3)
    os.close(into)
    # The child is there once it has told of its first save.
    first = os.read(out, 1)
    time.sleep(random.uniform(0, longest_s))
    os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    begun, ended, saves = told(first, out)
    os.close(out)
    counts["killed"] += os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
    counts["mid save"] += begun > ended
    counts["left half written"] += any_half(folder)
    counts["saves"] += saves
    now = read(folder)
    good = now is not None and now in {begun, ended, before} and now >= max(before, ended)
    counts["went wrong"] += not good
    counts["new one there"] += begun > ended and now == begun
    return now


def any_half(folder):
    """Return whether a half-written file or folder is left; those in no one's way are cleared."""
    halves = [*folder.glob(".lightcalc/saving/*"), *folder.rglob(".*.half")]
    for path in folder.glob(".*.half"):
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    return bool(halves)


def time_of_a_save(folder, save, read):
    """Return how long one of a few saves took, in seconds."""
    start = time.perf_counter()
    for _ in range(5):
        save(folder, read(folder) + 1)
    return (time.perf_counter() - start) / 5


def read_file(folder, name=NAME):
    return number_of((folder / name).read_text()) if design_names(folder) == (NAME,) else None


def read_kept(folder):
    work = open_work(folder, NAME)
    number = number_of(work.text)
    alone = design_names(folder) == (NAME,)
    whole = not work.notice and work.state.get("n", "0") == str(number)
    return number if alone and whole else None


def read_saved(folder):
    work = open_work(folder, NAME)
    file = read_file(folder)
    return file if not work.notice and work.text == work.saved == text_of(file) else None


def read_readings(folder):
    return read_file(folder, readings_name(NAME))


def read_taken(folder):
    texts = [(folder / name).read_text() for name in design_names(folder)]
    return len(texts) if all(number_of(text) == TAKEN for text in texts) else None


def run(ways, place, kills, seed):
    """Kill each way of saving so often; print what came of it, by its name."""
    random.seed(seed)
    result = {}
    for which, (begin, how, look) in ways.items():
        inside = place / which
        inside.mkdir()
        begin(inside)
        counts = ("killed", "mid save", "left half written", "saves", "went wrong", "new one there")
        result[which] = dict.fromkeys(counts, 0)
        save_s = time_of_a_save(inside, how, look)
        for _ in range(kills):
            kill_once(inside, how, look, 4 * save_s, result[which])
    print(json.dumps(result))  # noqa: T201


def begin(folder):
    save_text(folder, NAME, text_of(0))
    save_readings(folder, NAME, text_of(0), "")


WAYS = {
    "file": (begin, save_text_in_loop, read_file),
    "work": (begin, keep_in_loop, read_kept),
    "design": (begin, save_design_in_loop, read_saved),
    "readings": (begin, save_readings_in_loop, read_readings),
    "from elsewhere": (lambda folder: take_in_loop(folder, 0), take_in_loop, read_taken),
}

if __name__ == "__main__":
    run(WAYS, Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
