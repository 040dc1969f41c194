"""What takes more than a second shows on a terminal how far it is, and Ctrl-C ends it in words."""

import os
import re
import signal
import subprocess

import pytest

from lightcalc.screens.cli import STOPPED, STOPPED_STATUS

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs a terminal of POSIX")
# So many builds of the demo take more than a minute.
LONG = ("answer", "hall-bench.toml", "--builds", "1000000")


def shown(terminal, wanted, process):
    """Read a terminal until it shows what is wanted."""
    seen = ""
    while not re.search(wanted, seen):
        seen += os.read(terminal, 1000).decode()
        assert process.poll() is None or re.search(wanted, seen), seen
    return seen


def test_a_terminal_shows_how_far_it_is_and_ctrl_c_ends_it_with_a_sentence(shop):
    terminal, its_end = os.openpty()
    with shop.start(*LONG, errors=its_end) as work:
        os.close(its_end)
        seen = shown(terminal, r"Trying builds, [1-9][0-9,]* of 1,000,000 \([0-9]+ s\)", work)
        assert "Ctrl-C stops." in seen
        assert all(len(line) < 80 for line in seen.split("\r"))
        work.send_signal(signal.SIGINT)
        told = shown(terminal, re.escape(STOPPED), work)
        assert work.wait(60) == STOPPED_STATUS
        assert work.stdout.read() == b""
    os.close(terminal)
    # The line of how far it was is taken away before the sentence.
    assert re.search(rf"\r {{79}}\r{re.escape(STOPPED)}", seen + told)
    assert "Traceback" not in told


def test_nothing_is_shown_where_errors_go_to_a_pipe_and_ctrl_c_ends_it_as_well(shop):
    with shop.start(*LONG) as work:
        with pytest.raises(subprocess.TimeoutExpired):
            work.wait(3)
        work.send_signal(signal.SIGINT)
        output, errors = work.communicate(timeout=60)
    assert work.returncode == STOPPED_STATUS
    assert (output, errors.decode().strip()) == (b"", STOPPED)


def test_what_is_done_at_once_shows_nothing_on_a_terminal(shop):
    terminal, its_end = os.openpty()
    with shop.start("wire", "--amps", "3 A", "--length", "2 m", "--volts", "12 V", errors=its_end):
        os.close(its_end)
        with pytest.raises(OSError, match="Input/output"):  # nothing came before it hung up
            os.read(terminal, 1000)
    os.close(terminal)


def test_mistakes_are_wrapped_on_a_terminal_and_a_line_each_in_a_pipe(shop):
    text = 'hours_a_charge = "6 h"'
    design = shop.changed((text, 'hours_a_charge = "6 furlongs and 200 ages of a long evening"'))
    terminal, its_end = os.openpty()
    with shop.start("answer", str(design), errors=its_end) as work:
        os.close(its_end)
        assert work.wait(60) == 2
    lines = os.read(terminal, 10_000).decode().splitlines()
    os.close(terminal)
    assert all(len(line) <= 80 for line in lines)
    assert len(lines) > 2
    assert all(line.startswith("    ") for line in lines[2:])
    piped = shop.refused("answer", design).splitlines()
    assert len(piped) == 2
    assert " ".join(" ".join(lines).split()) == " ".join(" ".join(piped).split())
