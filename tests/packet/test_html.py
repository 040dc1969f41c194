"""HTML is safe by construction: whatever a text holds, it stays a text."""

import pytest
from drawn import HOSTILE
from hypothesis import given
from hypothesis import strategies as st
from sheets import parse

from lightcalc.packet.html import document, element, table, to_text
from lightcalc.packet.svg import clean


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_text_is_read_back_as_the_same_text(text):
    page = document(text, "", element("p", text, data_run=text), table([text], [[text]], text))
    root = parse(page)
    assert [one.get("data-run") for one in root.iter("p")] == [clean(text)]
    for tag in ("title", "p", "th", "td", "caption"):
        assert [one.text for one in root.iter(tag)] == [clean(text)]
    assert not list(root.iter("script"))


@given(st.text())
def test_no_text_makes_an_element(text):
    written = to_text(element("p", text, data_run=text))
    inner = written.removeprefix('<p data-run="').removesuffix("</p>")
    assert "<" not in inner
    assert inner.count('"') == 1
    assert inner.count(">") == 1


@pytest.mark.parametrize("tag", ["script", "a", "img", "iframe", "link", "object"])
def test_what_could_load_or_run_is_no_element(tag):
    with pytest.raises(ValueError, match="no element"):
        element(tag)


@pytest.mark.parametrize("name", ["onclick", "href", "src", "style", "data_", "http-equiv"])
def test_what_could_load_or_run_is_no_attribute(name):
    with pytest.raises(ValueError, match="no attribute"):
        element("p", **{name: "x"})
