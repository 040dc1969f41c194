"""What is left out of a list of designs is what nobody would miss."""

from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.finder.notice import steps_worse, worth_telling
from lightcalc.answers.finder.results import Merits

figures = st.floats(0.5, 2.0)


def made(price=100.0, hours_h=8.0, fall=0.05, mass_kg=0.5):
    return Merits(price, hours_h, fall, mass_kg, 1000.0, False)


merits = st.lists(
    st.builds(
        made,
        price=st.one_of(st.none(), figures.map(lambda share: 100.0 * share)),
        hours_h=figures.map(lambda share: 8.0 * share),
        fall=st.floats(0.0, 0.2),
        mass_kg=st.one_of(st.none(), figures),
    ),
    max_size=12,
)


def test_what_is_a_little_cheaper_and_clearly_less_even_is_left_out():
    assert worth_telling([made(price=99.0, fall=0.08), made()]) == [1]


def test_of_two_that_nobody_can_tell_apart_the_first_is_told():
    assert worth_telling([made(price=100.0), made(price=101.0, mass_kg=0.49)]) == [0]


def test_what_costs_more_and_lasts_longer_is_told():
    assert worth_telling([made(), made(price=120.0, hours_h=10.0)]) == [0, 1]


def test_an_unknown_price_is_worse_than_any():
    assert worth_telling([made(price=None), made()]) == [1]


@given(merits)
def test_of_some_one_is_always_told(some):
    told = worth_telling(some)
    assert bool(told) == bool(some)
    assert told == sorted(set(told))


@given(merits)
def test_each_that_is_told_is_better_than_each_other_in_something_one_would_notice(some):
    told = [some[place] for place in worth_telling(some)]
    for one in told:
        for other in told:
            assert one is other or min(steps_worse(one, other)) <= -1.0


@given(merits)
def test_what_is_told_stays_so_when_the_rest_is_forgotten(some):
    told = [some[place] for place in worth_telling(some)]
    assert worth_telling(told) == list(range(len(told)))
