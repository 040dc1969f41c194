"""Results as JSON that any reader takes."""

import dataclasses
import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers.findings.finding import Finding
from lightcalc.screens.json_door import to_json

PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


@dataclasses.dataclass(frozen=True)
class Inner:
    volts_v: tuple[float, ...]


@dataclasses.dataclass(frozen=True)
class Outer:
    run: str
    inner: Inner


def strict(text):
    """Read JSON by the standard (RFC 8259), which knows no NaN and no Infinity."""

    def refuse(word):
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


@given(PLAIN)
def test_whatever_comes_in_is_json_by_the_standard(value):
    strict(to_json(value))


@given(PLAIN)
def test_it_is_plain_ascii_so_that_no_terminal_can_spoil_it(value):
    assert to_json(value).isascii()


def test_what_has_no_end_is_null():
    assert strict(to_json({"a_h": math.inf, "b_h": -math.inf, "c_h": math.nan})) == {
        "a_h": None,
        "b_h": None,
        "c_h": None,
    }


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e300, max_value=1e300))
def test_numbers_keep_nine_digits(value):
    assert strict(to_json([value]))[0] == pytest.approx(value, rel=1e-8, abs=1e-300)


def test_results_keep_the_names_and_order_of_their_fields():
    text = to_json(Outer("front", Inner((12.0, np.float64(11.5)))))
    assert strict(text) == {"run": "front", "inner": {"volts_v": [12.0, 11.5]}}
    assert text.index("run") < text.index("inner")


def test_a_finding_keeps_its_stable_code():
    found = strict(to_json(Finding("light-fall", "stop", "run", "Why.", "Do.", {"hours_h": 1.0})))
    assert found["code"] == "light-fall"
    assert found["figures"] == {"hours_h": 1.0}


def test_what_json_has_no_form_for_is_a_mistake_of_the_program():
    with pytest.raises(TypeError):
        to_json({"folder": object()})
