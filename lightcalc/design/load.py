"""Read the text of a design file, and turn it into raw tables.

The commonest slip in such a file is a quantity with no quotes, `length = 1.6 m`. It is noted with
its fix and reading goes on as if it were fixed, so that all else is still checked.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from lightcalc.design.fields import clean
from lightcalc.files import TooLargeError, read_plain_file
from lightcalc.problems import BadInput, Problem, Problems
from lightcalc.toml_text import BeyondBounds, loads

LARGEST_FILE_BYTES = 200_000
MOST_REPAIRS = 50
# Each repair reads the text again, so that a large one is repaired a few times only.
MOST_LETTERS_AGAIN = 1_000_000
LONGEST_LINE_SHOWN = 200

_PLACE = re.compile(r" \(at (?:line ([0-9]+), column [0-9]+|end of document)\)$")
# A text in quotes, a comment, or `key = value` with a bare value up to where it may end.
_PIECE = re.compile(
    r"""(?P<skip>"(?:[^"\\]|\\.)*"|'[^']*'|\#.*)
    |(?P<key>[A-Za-z0-9_-]+)(?P<equals>\s*=\s*)
    (?P<bare>[^\s"'\[\]{},\#=][^"'\[\]{},\#=]*?)(?=\s*(?:[,}\]\#]|$))""",
    re.VERBOSE,
)
_QUOTES = 'texts and quantities stand in quotes, such as length = "1.6 m".'
_TWICE = "this key stands in its part already; take one of the two out."
_BEGUN = (
    "this part was begun before in another way; write [[runs]] for each run and [[supplies]] for "
    "each supply, and [piece], [use] and [ask] once."
)
_BACKSLASH = "a backslash in double quotes means something else; use / or single quotes."
_EQUALS = 'a key and its value stand on either side of =, such as length = "1.6 m".'
_HEADING = "a part begins with its name in brackets, such as [use] or [[runs]]."
# What the parser's messages begin with, and what a maker should do.
_REASONS = {
    "Cannot overwrite": _TWICE,
    "Duplicate inline": _TWICE,
    "Cannot declare": _BEGUN,
    "Cannot mutate": _BEGUN,
    "Cannot redefine": _BEGUN,
    "Unclosed array": "a [ has no ] that closes it, or a comma is missing.",
    "Unclosed inline": "a { has no } that closes it on the same line, or a comma is missing.",
    "Invalid initial": "after { or a comma comes a key, on the same line.",
    "Expected '\"": "a quote is opened and never closed.",
    "Expected \"'": "a quote is opened and never closed.",
    "Unterminated": "a quote is opened and never closed.",
    "Illegal character '\\n'": "a quote is opened and not closed on its line.",
    "Unescaped": _BACKSLASH,
    "Invalid hex": _BACKSLASH,
    "Escaped": _BACKSLASH,
    "Expected '=' after": _EQUALS,
    "Expected ']": _HEADING,
    "Invalid statement": _EQUALS,
}
# An inch mark within double quotes, which closes them: "63"", "5' 3"".
_INCHES = re.compile(r"""(?<!")"([0-9][0-9 ./'\u2019\u2032\xbc-\xbe\u2150-\u215e-]*)""(?!")""")
_CURLY = str.maketrans("", "", "\u201c\u201d\u201e")


def load_toml(path: Path, problems: Problems) -> dict[str, Any]:
    """Return the raw tables of a TOML file, values with no quotes noted and read as if in quotes.

    Raises BadInput, with what was noted before, when the file cannot be read as TOML.
    """
    return parse_toml(_read_text(path, problems), problems)


def parse_toml(text: str, problems: Problems) -> dict[str, Any]:
    """Return the raw tables in the text of a TOML file, as `load_toml` does."""
    most = min(MOST_REPAIRS, MOST_LETTERS_AGAIN // max(1, len(text)))
    repairs = 0
    while True:
        try:
            return loads(text)
        except BeyondBounds as problem:
            problems.fail(problem.where, str(problem))
        except tomllib.TOMLDecodeError as error:
            repairs += 1
            if repairs > most:
                problems.fail("", f"has more of the same than is shown here; {_QUOTES}")
            text = _with_quotes(text, str(error), problems)


def _read_text(path: Path, problems: Problems) -> str:
    try:
        raw = read_plain_file(path, LARGEST_FILE_BYTES)
    except IsADirectoryError:
        raise BadInput([Problem(str(path), "", "is a folder; name a design file in it.")]) from None
    except FileNotFoundError:
        raise BadInput([Problem(str(path), "", "is not there; check its name.")]) from None
    except OSError as error:
        raise BadInput([Problem(str(path), "", f"cannot be read: {error.strerror}.")]) from None
    except TooLargeError:
        problems.fail(
            "", f"is larger than {LARGEST_FILE_BYTES // 1000} kB; a design is a few pages."
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        problems.fail("", "is no text in UTF-8; save it from a text editor as UTF-8.")


def _with_quotes(text: str, error: str, problems: Problems) -> str:
    """Return the text with quotes around the bare values of the line that cannot be read."""
    lines = text.split("\n")
    place = _PLACE.search(error)
    number = int(place[1]) if place and place[1] else len(text.rstrip().split("\n"))
    line = lines[number - 1]
    fixed = _INCHES.sub(_spelt, line)
    if fixed == line:
        fixed = _PIECE.sub(_quoted, line)
    if fixed == line:
        problems.fail(
            f"line {number}",
            f"found {clean(line) or 'signs that cannot be shown'}; {_reason(error)}",
        )
    problems.add(
        f"line {number}",
        f"found {clean(line, LONGEST_LINE_SHOWN)} and cannot read it; write it like this: "
        f"{clean(fixed, LONGEST_LINE_SHOWN)}",
    )
    lines[number - 1] = fixed
    return "\n".join(lines)


def _spelt(marked: re.Match[str]) -> str:
    """Write feet and inches in letters, so that no mark closes the quotes."""
    feet, mark, inches = re.sub("[\u2019\u2032]", "'", marked[1]).partition("'")
    if not mark:
        return f'"{feet.strip()} in"'
    return f'"{feet.strip()} ft {inches.strip(" -")} in"'


def _quoted(piece: re.Match[str]) -> str:
    """Put quotes around a bare value that TOML has no other reading for."""
    if piece["skip"]:
        return piece[0]
    bare = piece["bare"]
    if bare in ("True", "False"):
        return f"{piece['key']}{piece['equals']}{bare.lower()}"
    try:
        tomllib.loads(f"x = {bare}")
    except ValueError:
        return f'{piece["key"]}{piece["equals"]}"{bare.translate(_CURLY)}"'
    return piece[0]


def _reason(error: str) -> str:
    for start, reason in _REASONS.items():
        if error.startswith(start):
            return reason
    return _QUOTES
