"""How drawings name the feeds of a run."""

from __future__ import annotations

from string import ascii_lowercase

from lightcalc.answers.results import FeedAnswer, RunAnswer
from lightcalc.packet.dimensions import SAME_M, measure


def letters(count: int) -> list[str]:
    """Return so many names of letters: a to z, then aa, ab and so on.

    >>> letters(28)[-3:]
    ['z', 'aa', 'ab']
    """
    found = list(ascii_lowercase)
    for first in ascii_lowercase:
        if len(found) >= count:
            break
        found += [first + second for second in ascii_lowercase]
    return found[:count]


def is_between(feed: FeedAnswer, run: RunAnswer) -> bool:
    """Whether a feed is at neither end of its run."""
    return SAME_M < feed.at_m < run.cut_length_m - SAME_M


def place_words(feed: FeedAnswer, run: RunAnswer, system: str) -> str:
    """Say where along its run a feed is."""
    if is_between(feed, run):
        return f"at {measure(feed.at_m, system)}"
    return "at the start" if feed.at_m <= SAME_M else "at the end"
