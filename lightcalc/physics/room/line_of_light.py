"""Whether an eye tells a line of light, such as a row of LEDs in a floor, from what is around it.

::

      around it      ________________________
                     ======= line ===========   height: an LED's, or what the eye's blur makes of it
      around it      ------------------------
"""

from __future__ import annotations

import math

import numpy as np

from lightcalc.physics.dots.vision import LEAST_LUMINANCE_CD_M2, pattern_multiple

# An eye that fixes a line judges it against so much around it.
FIELD_DEG = 1.0
_WAVES = 48
_LEAST_DEG = 1e-3


def line_multiple(
    line_cd_m2: float, around_cd_m2: float, height_deg: float, length_deg: float
) -> float:
    """How many times above what can just be seen a bright line stands.

    `line_cd_m2` is what the line adds to the luminance around it, in the mean over its height and
    length [degrees]. Its waves across one degree, ``2 h / X * L / mean * sinc(n h / X)`` for the
    n-th of X degrees, are held against Barten's threshold (see `vision.pattern_multiple`). Finer
    detail than the eye resolves is its blur: give a height of a minute of arc or more. An eye
    that sums up edges finds some lines several times fainter than this says (S. Hecht, E. U.
    Mintz, J. Gen. Physiol. 22 (1939) 593: a dark wire of half a second, from memory).

    >>> round(line_multiple(1.0, 100.0, 0.02, 20.0), 2), line_multiple(0.0, 100.0, 0.02, 20.0)
    (0.15, 0.0)
    """
    if line_cd_m2 <= 0.0:
        return 0.0
    share = min(height_deg / FIELD_DEG, 1.0)
    mean = max(around_cd_m2, LEAST_LUMINANCE_CD_M2) + line_cd_m2 * share
    order = np.arange(1, _WAVES + 1)
    waves = 2.0 * share * line_cd_m2 / mean * np.abs(np.sinc(order * share))
    length = max(min(length_deg, 170.0), _LEAST_DEG)
    multiple = pattern_multiple(
        waves, np.array(1.0 / FIELD_DEG), np.array(mean), np.array(FIELD_DEG), np.array(length)
    )
    return float(multiple) if math.isfinite(float(multiple)) else 0.0
