"""Save in a loop and be killed at random moments, again and again: run as a program of its own.

Each text repeats its number on every line, so that a mixture of two texts shows. The child that
saves tells over a pipe when a save begins and when it has ended; what has ended must be there.
"""

import json
import os
import random
import signal
import sys
import time
from dataclasses import replace
from pathlib import Path

from lightcalc.folder.place import design_names
from lightcalc.folder.saving import save_text
from lightcalc.folder.work import keep_work, open_work, save_design

NAME = "bench.toml"
LINES = 3000


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


def child(folder, save, number, pipe):
    while True:
        number += 1
        os.write(pipe, b"b%010d\n" % number)
        save(folder, number)
        os.write(pipe, b"e%010d\n" % number)


def told(pipe):
    """Return the last save that was begun and the last that ended."""
    data = b""
    while part := os.read(pipe, 65536):
        data += part
    lines = data.decode().split()
    begun = [int(line[1:]) for line in lines if line[0] == "b"]
    ended = [int(line[1:]) for line in lines if line[0] == "e"]
    return begun[-1] if begun else 0, ended[-1] if ended else 0


def kill_once(folder, save, read, counts):
    """Let a child save, kill it, and check what is there; return the number that is."""
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
    time.sleep(random.uniform(0.002, 0.03))
    os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    begun, ended = told(out)
    os.close(out)
    counts["killed"] += os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
    counts["mid save"] += begun > ended
    counts["left half written"] += any((folder / ".lightcalc" / "saving").iterdir())
    counts["saves"] += max(0, ended - before)
    now = read(folder)
    good = now is not None and now in {begun, ended, before} and now >= max(before, ended)
    counts["went wrong"] += not good or design_names(folder) != (NAME,)
    counts["new one there"] += begun > ended and now == begun
    return now


def read_file(folder):
    return number_of((folder / NAME).read_text())


def read_kept(folder):
    work = open_work(folder, NAME)
    number = number_of(work.text)
    return number if not work.notice and work.state.get("n", "0") == str(number) else None


def read_saved(folder):
    work = open_work(folder, NAME)
    file = read_file(folder)
    return file if not work.notice and work.text == work.saved == text_of(file) else None


if __name__ == "__main__":
    place, kills, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    random.seed(seed)
    result = {}
    for which, how, look in (
        ("file", save_text_in_loop, read_file),
        ("work", keep_in_loop, read_kept),
        ("design", save_design_in_loop, read_saved),
    ):
        inside = place / which
        inside.mkdir()
        save_text(inside, NAME, text_of(0))
        result[which] = dict.fromkeys(
            ("killed", "mid save", "left half written", "saves", "went wrong", "new one there"), 0
        )
        for _ in range(kills):
            kill_once(inside, how, look, result[which])
    print(json.dumps(result))  # noqa: T201
