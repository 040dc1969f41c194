"""What a search tries can be built: leads to other feeds reach, and are as short as may be."""

import math

import pytest
from designs import feed, run
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.finder.choices import SPARE_M, lead_m, nearest
from lightcalc.design.space import Mount

RUN_M = 3.0
ALONG = (Mount("below", ((0.0, 0.1, 0.4), (RUN_M, 0.1, 0.4)), "down"),)
lengths = st.floats(0.05, 4.0)
places = st.floats(0.0, RUN_M)
packs = st.tuples(st.floats(-1.0, 4.0), st.floats(-0.5, 0.5), st.floats(0.0, 1.0))


def lit(*feeds, mounts=ALONG):
    made = run(length_m=RUN_M, feeds=feeds)
    return made.__class__(**{**vars(made), "mounts": mounts})


def test_a_pack_under_the_middle_has_a_short_lead_to_it():
    made = lit(feed(lead_m=1.6))
    # The pack lies 20 cm below the line: 1.7 m by the edges to the start, so nothing was to spare.
    told_m = lead_m(made, (1.5, 0.1, 0.2), made.feeds[0], 1.5)
    assert told_m == pytest.approx(0.2 + SPARE_M)


def test_without_places_a_lead_goes_along_the_run():
    drawn = lit(feed(lead_m=0.4), mounts=())
    for made, pack_m in ((drawn, (1.5, 0.1, 0.2)), (lit(feed(lead_m=0.4)), None)):
        assert lead_m(made, pack_m, made.feeds[0], 2.0) == pytest.approx(0.4 + 2.0)


@given(pack_m=packs, length_m=lengths, drawn_m=places, at_m=places)
def test_a_new_lead_reaches_and_is_no_longer_than_along_the_run(pack_m, length_m, drawn_m, at_m):
    made = lit(feed(at_m=drawn_m, lead_m=length_m))
    told_m = lead_m(made, pack_m, made.feeds[0], at_m)
    assert told_m <= length_m + abs(at_m - drawn_m)
    # Whatever reached its old place reaches the new one.
    if length_m >= math.dist(pack_m, ALONG[0].at(drawn_m)):
        assert told_m >= math.dist(pack_m, ALONG[0].at(at_m)) - 1e-9


@given(pack_m=packs, leads=st.tuples(lengths, lengths), at_m=places)
def test_a_new_lead_starts_where_it_takes_the_least_wire(pack_m, leads, at_m):
    made = lit(feed(lead_m=leads[0]), feed(at_m=RUN_M, lead_m=leads[1], name="other"))
    near = nearest(made, pack_m, at_m)
    told = [lead_m(made, pack_m, one, at_m) for one in made.feeds]
    assert lead_m(made, pack_m, near, at_m) == min(told)
