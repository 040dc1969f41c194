"""Text from files shows letter by letter."""

import re

from hypothesis import given
from hypothesis import strategies as st

from lightcalc.screens.page.plain import plain

# Every sign that CommonMark lets a backslash take the meaning from (0.31, section 2.4).
PUNCTUATION = set("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")
MEANT = PUNCTUATION - set("%,;?")


def unescaped(text):
    return re.sub(r"\\(.)", r"\1", text).replace("\u2060", "")


@given(st.text(max_size=80))
def test_no_sign_keeps_a_meaning_and_none_is_lost(text):
    shown = plain(text)
    kept = "".join(sign if sign.isprintable() else " " for sign in text)
    assert unescaped(shown) == kept.replace("\u2060", "")
    bare = re.sub(r"\\.", "", shown)
    assert not set(bare) & MEANT


def test_links_and_icons_are_parted():
    for text in ("www.example.org", "http://example.org", "a@example.org", ":smile:"):
        assert re.search(r"(www|http|@|:)\\?\u2060|\\[:@]\u2060", plain(text)) or "\u2060" in plain(
            text
        )
