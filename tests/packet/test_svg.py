"""SVG text is well formed whatever is written, and can do nothing."""

from xml.etree import ElementTree

import pytest
from drawn import HOSTILE
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.packet.svg import clean, element, number, picture, to_text


@given(st.text(), st.text())
def test_any_text_comes_back_as_it_was_but_for_what_xml_cannot_hold(text, value):
    written = to_text(element("text", text, data_run=value))
    read = ElementTree.fromstring(written)
    # A parser turns a carriage return in text into a line feed, and white space in an attribute
    # into spaces (XML 1.0, sections 2.11 and 3.3.3).
    assert (read.text or "") == clean(text).replace("\r\n", "\n").replace("\r", "\n")
    assert read.get("data-run").split() == clean(value).split()
    assert not list(read)


@given(st.text())
def test_no_text_turns_the_direction_of_what_follows_it(text):
    assert not set(clean(text)) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@pytest.mark.parametrize("text", HOSTILE)
def test_marks_of_other_languages_stay_text(text):
    whole = picture((0, 0, 10, 10), (10, 10), text, text, element("text", text, data_name=text))
    root = ElementTree.fromstring(whole)
    assert [one.tag.rpartition("}")[2] for one in root.iter()] == ["svg", "title", "desc", "text"]
    assert all(one.text == clean(text) for one in root)


@pytest.mark.parametrize("tag", ["script", "a", "image", "foreignObject", "style", "use"])
def test_what_can_load_or_run_is_refused(tag):
    with pytest.raises(ValueError, match="no element of a drawing"):
        element(tag)


@pytest.mark.parametrize("name", ["onload", "href", "style", "xlink:href", "data-", "data-X", "id"])
def test_attributes_are_those_of_the_list(name):
    with pytest.raises(ValueError, match="no attribute of a drawing"):
        element("g", **{name: "x"})


@given(st.floats(-1e6, 1e6))
def test_numbers_are_plain_and_keep_a_thousandth(value):
    text = number(value)
    assert float(text) == pytest.approx(value, abs=0.000501)
    assert "e" not in text
    assert text != "-0"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_a_number_without_end_is_refused(value):
    with pytest.raises(ValueError, match="no place on paper"):
        element("line", x1=value)


def test_a_picture_prints_in_its_size():
    text = picture((-5.0, 2.0, 40.0, 30.0), (20.0, 15.0), "a", "b")
    root = ElementTree.fromstring(text)
    assert (root.get("width"), root.get("height")) == ("20mm", "15mm")
    assert root.get("viewBox") == "-5 2 40 30"
