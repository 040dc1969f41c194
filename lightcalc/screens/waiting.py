"""What a terminal shows while something takes long: what is done, how far it is, how to stop it.

Nothing is shown where the errors do not go to a terminal, nor of what is done within a second.
"""

from __future__ import annotations

import sys
import threading
import time
from types import TracebackType

from lightcalc.screens.layout import WIDTH, printable

FIRST_S, AGAIN_S = 0.8, 0.5
STOPS = "Ctrl-C stops."


class Waiting:
    """Shows one line on a terminal from the first second on, and takes it away in the end.

    A thread of its own shows it, since what takes long may have nothing to say for seconds.
    """

    def __init__(self, what: str, stops: str = STOPS) -> None:
        self._what, self._stops, self._far = what, stops, ""
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._show, daemon=True)
        self._shows = sys.stderr is not None and sys.stderr.isatty()

    def at(self, done: int, of: int) -> None:
        """Say how many of how many are done."""
        self.says(f"{done:,} of {of:,}")

    def says(self, far: str) -> None:
        """Say how far it is in words."""
        self._far = f", {far}"

    def __enter__(self) -> Waiting:
        """Begin to wait."""
        if self._shows:
            self._began_s = time.monotonic()
            self._thread.start()
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        """Take the line away."""
        if self._shows:
            self._over.set()
            self._thread.join()

    def _show(self) -> None:
        shown, wait_s = False, FIRST_S
        while not self._over.wait(wait_s):
            shown, wait_s = True, AGAIN_S
            seconds = time.monotonic() - self._began_s
            line = f"  {self._what}{self._far} ({seconds:.0f} s). {self._stops}"
            _write("\r" + printable(line)[: WIDTH - 1].ljust(WIDTH - 1))
        if shown:
            _write("\r" + " " * (WIDTH - 1) + "\r")


def _write(text: str) -> None:
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        # A terminal that went away is no reason to stop the work.
        return
