"""Text from files, made safe for Streamlit's Markdown: it shows letter by letter, as typed.

Markdown would turn names into links, pictures, formulas, colours or icons.
"""

from __future__ import annotations

import re

_SIGNS = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~$^=&\"'/:@])")
# Links and icons are also found in text whose signs are escaped; a joiner that is not seen keeps
# their parts apart.
_JOINER = "\u2060"
_STARTS = re.compile(r"(:(?=\S)|@|www(?=\.)|https?(?=:)|ftp(?=:))", re.IGNORECASE)


def plain(text: str) -> str:
    r"""Return text on one line that Markdown shows just as it stands.

    >>> plain("*oak* [a](b)")
    '\\*oak\\* \\[a\\]\\(b\\)'
    >>> plain("2 h 30 min")
    '2 h 30 min'
    """
    line = "".join(sign if sign.isprintable() else " " for sign in text)
    parted = _STARTS.sub(lambda found: found[0] + _JOINER, line)
    return _SIGNS.sub(r"\\\1", parted)


def on_page(text: str) -> str:
    r"""Return what an answer says as `plain`, with the screen in place of the command to type.

    >>> on_page("`lightcalc look` says what hides them.")
    'The screen Look says what hides them\\.'
    """
    return plain(text.replace("`lightcalc look`", "The screen Look"))
