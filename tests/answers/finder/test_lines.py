"""Straight lines between the values of a table stay on one side of its curve."""

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from lightcalc.answers.finder.lines import above, below, read


@given(
    knee=st.floats(0.05, 0.95),
    width=st.floats(0.001, 0.5),
    slopes=st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 5.0)),
    count=st.integers(4, 20),
)
def test_a_curve_with_a_knee_stays_between(knee, width, slopes, count):
    def curve(x):
        soft = width * np.logaddexp(0.0, (x - knee) / width)
        return 1.0 + slopes[0] * x + (slopes[1] - slopes[0]) * soft

    nodes = np.linspace(0.0, 1.0, count)[None]
    at = np.linspace(0.0, 1.0, 301)
    # Such are currents and light: never below nothing, as no value is told to be.
    assume(curve(at).min() > 0.0)
    rows = np.repeat(nodes, len(at), axis=0)
    table = np.repeat(curve(nodes), len(at), axis=0)
    assert np.all(read(rows, below(table), at) <= curve(at) + 1e-9)
    assert np.all(read(rows, above(table), at) >= curve(at) - 1e-9)
