"""What a band holds: percentiles of every headline, chances, and what they hang on."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Share:
    """One input's part in the variance of a result.

    `alone_ratio` is the share that goes when this input alone is known (first order), and
    `with_others_ratio` adds what it does only together with others (total). `of` names the part
    or place, the tolerance is the half width in which nearly every part falls (as a share, or in
    kelvin for the room), and `source` says where that is from: the catalogue, or judgement.
    """

    code: str
    name: str
    of: str
    tolerance_ratio: float | None
    tolerance_k: float | None
    source: str
    alone_ratio: float
    with_others_ratio: float


@dataclass(frozen=True)
class Band:
    """Percentiles of one result over the builds the tolerances allow.

    `low`, `middle` and `high` are the 10th, 50th and 90th percentile, `nominal` is what the answer
    says, and the `*_error` are one standard error of sampling, all in `unit`, which is the ending
    that names of numbers have (h, a, d, lm, c, ratio). `shares` lists what the band hangs on, the
    most important first; jumps and the like are `unexplained_ratio`. Of dots it is the logarithm
    whose variance is shared out.
    """

    code: str
    of: str
    unit: str
    nominal: float
    low: float
    middle: float
    high: float
    low_error: float
    middle_error: float
    high_error: float
    shares: tuple[Share, ...]
    unexplained_ratio: float


@dataclass(frozen=True)
class Chance:
    """How many of all builds meet what was asked; `asked` is in `unit`."""

    code: str
    of: str
    asked: float
    unit: str
    chance_ratio: float
    error_ratio: float


@dataclass(frozen=True)
class Ending:
    """How many of all builds end their charge in one way."""

    supply: str
    ended_by: str
    chance_ratio: float


@dataclass(frozen=True)
class Spread:
    """How sure an answer is: bands, chances, and ways a charge ends, over `samples_count` builds.

    `measure_first` names the input on which most of the hours hang; None when nothing does.
    """

    samples_count: int
    common_share_ratio: float
    bands: tuple[Band, ...]
    chances: tuple[Chance, ...]
    endings: tuple[Ending, ...]
    measure_first: Share | None
