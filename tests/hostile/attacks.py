"""What to throw at a door: words, values, and texts of a maker changed here and there."""

import re

from hypothesis import strategies as st

ESCAPES = "\x1b[31m\x1b]0;x\x07"
C1 = "\x9b31m\x90"
BIDI = "\u202egnp.exe\u2066\u200f"
HTML = '<img src=x onerror=alert(1)>"><script>alert(1)</script>'
FORMULA = "=HYPERLINK(A1;@SUM(B2))"
NAMES = (
    "../../etc/passwd",
    "..\\..\\x",
    "/etc/passwd",
    "C:\\x",
    "con",
    "nul.toml",
    ".",
    "..",
    "",
    "a\0b",
    "a/b/c",
    "~root",
    "catalogue.toml",
    ".lightcalc",
    "x" * 300,
    "\u00e9" * 150,
    HTML,
    FORMULA,
    BIDI,
    C1,
    ESCAPES,
    "-rf",
    "a\nb",
    "\ufeffa",
    "a:b",
    "\ud800",
)
QUANTITIES = (
    "1e999999 m",
    "1e-999999 m",
    "m**99999",
    "10**10**10",
    "1 m**2",
    "10^10^10 m",
    "0 m",
    "-1 m",
    "nan m",
    "inf m",
    "-inf degC",
    "1e308 km 1 m",
    "9" * 63,
    "9" * 70 + " m",
    "1/0 m",
    "1/3 m",
    "1,2,3 m",
    "1 m/m/m/m",
    "1 per per m",
    "1 ()",
    "__import__('os')",
    "1 furlong",
    "5 ft 3 in 2 in",
    "\u00bd m",
    "\u0661 m",
    "1 \u00b5\u03a9",
    "1 m2 2",
    "20 AWG",
    "1e12 m",
    "1 %",
    "-273.16 degC",
    "1e400 degC",
    "\ufdfa m",
    "1 m\u0301",
    "1\u20282 m",
    "''''''''''",
    '1 " 2 "',
)
WORDS = (*NAMES[:-1], *QUANTITIES)
VALUES = (
    "1e400",
    "-1e400",
    "nan",
    "inf",
    "0",
    "-1",
    "1" * 400,
    "true",
    "1979-05-27",
    "07:32:00",
    "[]",
    "{}",
    "[{}]",
    "[[]]",
    '[["1 m"]]',
    '""',
    "''",
    "0x7fffffffffffffffff",
    "1.6 m",
    "1_0",
    "[1, 'a', {}]",
    "{ a.b.c = 1 }",
    "[" * 500 + "]" * 500,
)
_TOKEN = re.compile(r'"[^"\n]*"|[A-Za-z0-9_.%-]+|\[\[?|\]\]?|[{}=,]|#')
_VALUE = re.compile(r"(?<== )[^\n]+|(?<=, )[^,\n}\]]+")


def quoted(word):
    """Write a word as TOML, escapes and all."""
    out = "".join(
        sign if sign.isprintable() and sign not in '"\\' else f"\\U{ord(sign):08x}" for sign in word
    )
    return f'"{out}"'


values = st.one_of(
    st.sampled_from(WORDS).map(quoted),
    st.sampled_from(VALUES),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=20).map(quoted),
    st.integers().map(str),
    st.floats().map(str),
)


@st.composite
def changed(draw, text, most=4):
    """Draw a text of a maker with up to so many changes: values, tokens, lines, sizes."""
    for _ in range(draw(st.integers(1, most))):
        how = draw(st.integers(0, 7))
        if how <= 3:
            places = list((_VALUE if how else _TOKEN).finditer(text))
            if places:
                place = draw(st.sampled_from(places))
                new = draw(values)
                text = text[: place.start()] + new + text[place.end() :]
            continue
        lines = text.split("\n")
        number = draw(st.integers(0, len(lines) - 1))
        other = draw(st.integers(0, len(lines) - 1))
        if how == 4:
            del lines[number : number + draw(st.integers(1, 5))]
        elif how == 5:
            lines.insert(other, lines[number])
        elif how == 6:
            lines[number : number + 1] = lines[number : number + 1] * draw(
                st.sampled_from([2, 30, 120, 2000])
            )
        else:
            start = draw(st.integers(0, len(text)))
            text = text[:start] + draw(st.text(max_size=6)) + text[start + 1 :]
            continue
        text = "\n".join(lines) or "\n"
    return text


@st.composite
def changed_table(draw, text, most=3):
    """Draw a CSV file with up to so many changes of cells, rows and headings."""
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    rows = [line.split(",") for line in lines]
    for _ in range(draw(st.integers(1, most))):
        row = draw(st.sampled_from([0, *range(len(rows))]))
        how = draw(st.integers(0, 5))
        word = draw(
            st.one_of(
                st.sampled_from((*WORDS, *VALUES)),
                st.text(max_size=12),
                st.floats().map(str),
                st.integers().map(str),
            )
        )
        column = draw(st.integers(0, max(0, len(rows[row]) - 1)))
        if how <= 2 and rows[row]:
            rows[row][column] = '"' + word.replace('"', '""') + '"' if how else word
        elif how == 3 and rows[row]:
            del rows[row][column]
        elif how == 4:
            rows.insert(row, list(rows[-1]) * draw(st.sampled_from([1, 3, 50])))
        else:
            rows.append([word])
    return "\n".join(",".join(row) for row in rows)
