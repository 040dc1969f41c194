"""Letters take no more room than is counted for them, and lines break where they fit."""

import string

import pytest
from drawn import HOSTILE
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from lightcalc.packet.lettering import clip, width_mm, wrap
from lightcalc.packet.svg import clean

# The sans-serif font that Pillow brings along: a typical one, which the table was not made from.
FONT = ImageFont.load_default(size=1000)
TYPED = st.text(string.ascii_letters + string.digits + string.punctuation + " ", max_size=80)


@given(TYPED)
def test_a_usual_font_needs_no_more_than_is_counted(text):
    needed = FONT.getlength(text) / 1000.0
    # Of its signs J and * alone are wider by more than a fiftieth of their size, by a seventeenth.
    odd = 0.06 * sum(text.count(sign) for sign in "J*")
    assert needed <= width_mm(text, 1.0) + 0.02 * text.count("L") + odd + 0.003 * len(text)
    assert width_mm(text, 1.0) <= 1.7 * needed + 0.7


@given(st.text(), st.text())
def test_widths_add_up(one, other):
    if clean(one) + clean(other) == clean(one + other):
        assert width_mm(one + other, 3.0) == pytest.approx(
            width_mm(one, 3.0) + width_mm(other, 3.0)
        )


@given(st.text() | st.sampled_from(HOSTILE), st.floats(5.0, 200.0), st.booleans())
def test_wrapped_lines_fit_and_lose_nothing_but_spaces(text, room, bold):
    lines = wrap(text, 3.0, room, bold)
    assert all(width_mm(line, 3.0, bold) <= room or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(clean(text).split())


@given(st.text() | st.sampled_from(HOSTILE), st.floats(5.0, 200.0))
def test_a_clipped_text_fits_and_shows_that_it_is_clipped(text, room):
    shown = clip(text, 3.0, room)
    if shown == clean(text):
        assert width_mm(shown, 3.0) <= room
    else:
        assert shown.endswith("\u2026")
        assert width_mm(shown, 3.0) <= room or len(shown) <= 2
        assert clean(text).startswith(shown[:-1])


def test_lines_break_between_words_first():
    assert wrap("the front rail of the bench", 3.0, 30.0) == ("the front rail of the", "bench")
    assert wrap("", 3.0, 30.0) == ("",)
