"""Colours of the conductors of a lead."""

from dataclasses import replace

import pytest
from designs import parts
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.packet.conductors import MINUS, PLUS, conductors, returns_of

WIRE = next(iter(parts().wires.values()))
COLOURS = st.lists(
    st.sampled_from(["red", "black", "white", "blue", "brown", "green"]), unique=True, max_size=6
)
RETURNS = st.sampled_from(
    [("",), ("warm", "cool"), ("red", "green", "blue"), ("red", "green", "blue", "white")]
)


def colours(offered, returns):
    return [one.colour for one in conductors(replace(WIRE, colours=tuple(offered)), returns)]


@given(COLOURS, RETURNS)
def test_colours_are_told_apart_as_far_as_the_wire_is_sold_in_them(offered, returns):
    found = colours(offered, returns)
    assert len(found) == 1 + len(returns)
    choice = set(offered or ["red", "black"])
    assert set(found) <= choice
    assert len(set(found)) == min(len(choice), len(found))
    if len(choice) > 1:
        assert found[0] not in found[1:]


@given(COLOURS, RETURNS)
def test_signs_and_channels_are_always_there(offered, returns):
    found = conductors(replace(WIRE, colours=tuple(offered)), returns)
    assert [one.sign for one in found] == [PLUS] + [MINUS] * len(returns)
    assert tuple(one.channel for one in found[1:]) == returns


def test_a_pair_is_red_and_black():
    # Common practice on battery voltage.
    assert colours(["white", "black", "red"], ("",)) == ["red", "black"]
    assert [one.colour for one in conductors(None, ("",))] == ["red", "black"]


def test_a_channel_takes_the_colour_of_its_name_if_plus_has_not():
    assert colours(["red", "black", "white", "blue"], ("red", "green", "blue")) == [
        "red", "black", "white", "blue",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("strip", "returns"),
    [
        ("strip-12v-60-warm", ("",)),
        ("strip-24v-tunable-240", ("warm", "cool")),
        ("strip-12v-pixel-60", ("",)),
    ],
)
def test_returns_are_one_for_each_channel_and_one_for_pixels(strip, returns):
    assert returns_of(parts().strips[strip]) == returns
