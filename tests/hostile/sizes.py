"""Texts that are far too much of something, by the door they are thrown at."""

import zipfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import doors

from lightcalc.design.check import MOST_FEEDS_OF_A_SUPPLY, MOST_SUPPLIES
from lightcalc.design.read import read_design_table

STRIP = "strip-12v-60-warm"

KB = 1000
_PACKS = [
    line
    for line in (doors.EXAMPLES / "packs.csv").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
]
_HEAD = _PACKS[0]


def _lines(made, count):
    return "\n".join(made(number) for number in range(count))


def _packs(count):
    rows = (f"p{number},{_PACKS[1].partition(',')[2]}" for number in range(count))
    return "\n".join((_HEAD, *rows))


def _dots(parts):
    return ".".join("a" * parts)


def a_bomb(size):
    """Return a zip of a file of so many zeros."""
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as target:
        target.writestr("catalogue.toml", b"0" * size)
    return packed.getvalue()


TOML = {
    "a megabyte": "a" * 1000 * KB,
    "arrays of numbers": _lines(lambda n: f"a{n}=[{','.join('1' * 900)}]", 100),
    "many keys": _lines(lambda n: f"a{n}=1", 22_000),
    "many keys and bare values": _lines(lambda n: f"a{n}=1", 20_000)
    + "\n"
    + _lines(lambda n: f"b{n} = 1.6 m", 50),
    "many unknown keys": "[piece]\n" + _lines(lambda n: f"{'k' * 50}{n}=1", 3_500),
    "bare values with spaces": _lines(lambda n: f"b{n} = 1.6 m{' ' * 1900}x", 50),
    "long bare words": _lines(lambda n: f"b{n}{'a' * 1900}", 50),
    "dotted keys": _lines(lambda n: f"b{n}.{_dots(970)}=1", 100),
    "one dotted key": f"{_dots(90_000)}=1",
    "dotted headings": _lines(lambda n: f"[[b{n}.{_dots(970)}]]", 100),
    "dotted keys in quotes": _lines(lambda n: f"b{n}." + ".".join(['"a"'] * 480) + "=1", 100),
    "dotted keys in a table": _lines(lambda n: f"b{n}={{{_dots(960)}=1}}", 100),
    "keys as deep as are read": _lines(lambda n: f"b{n}.{_dots(14)}=1", 5_000),
    "headings that grow": _lines(lambda n: f"[a{'.a' * n}]", 600),
    "nested arrays": "a=" + "[" * 1900,
    "nested arrays over lines": "a=" + ("[" * 1900 + "\n") * 100,
    "closed nested arrays": "runs=" + "[" * 400 + "]" * 400,
    "nested tables": "a=" + "{a=" * 600,
    "thousand deep": "a = " + "[" * 1000 + "]" * 1000,
    "digits": "format=" + "1" * 1900,
    "digits over lines": "a=[\n" + ("1" * 1900 + ",\n") * 100 + "]",
    "an exponent": "format=1e999999999",
    "runs without end": "[[runs]]\n" * 20_000,
    "feeds without end": "[[runs]]\nname='a'\n" + "[[runs.feeds]]\n" * 10_000,
    "quotes without end": '"' * 1900 + "\n" + "'" * 1900,
    "empty lines": "\n" * 199_000,
    "comments": "#\n" * 99_000,
    "escapes": 'a="""' + "\\\n" * 90_000 + '"""',
}
TABLES = {
    "megabytes": "a" * 6000 * KB,
    "megabytes of comments": "#\n" * 8_000_000,
    "a million columns": "," * 1000 * KB,
    "many columns": "," * 290 * KB,
    "rows of many columns": "\n".join([_HEAD, *("," * 190 + "a" for _ in range(1_500))]),
    "as many packs as are read": _packs(2_000),
    "more packs than are read": _packs(2_500),
    "one open quote": f'{_HEAD}\n"' + "a\n" * 140_000,
    "one large cell": f'{_HEAD}\n"{"a" * 130_000}"',
    "unknown units": ",".join(f"nominal (kV{n})" for n in range(199)) + "\na",
    "unknown headings": ",".join(f"{'nominal' * 8} {n}" for n in range(199)) + "\na",
    "comments": "#\n" * 149_000,
    "quotes": '"' * 290 * KB,
    "carriage returns": "\r" * 290 * KB,
    "exponents": "\n".join([_HEAD, *(",".join(["1e999999999"] * 29) for _ in range(700))]),
    "many pairs": f"{_HEAD}\n" + ";" * 120_000,
}
ZIPS = {
    "a bomb": a_bomb(190_000_000),
    "just over": a_bomb(2_000_001),
    "many megabytes": b"PK\3\4" + b"\0" * 5_000_000,
}


def a_design(catalogue, *, runs=1, feeds=1, supplies=1, length="1 m", strip=STRIP):
    """Read a design of so many parts."""
    table = {
        "piece": {"name": "much"},
        "runs": [
            {
                "name": f"run {n}",
                "strip": strip,
                "length": length,
                "supply": f"box {n % supplies}",
                "feeds": [{"at": f"{10 * m} cm", "lead": "1 m"} for m in range(feeds)],
            }
            for n in range(runs)
        ],
        "supplies": [
            {"name": f"box {n}", "pack": "liion-4s-6800", "converter": "buck-12v-5a"}
            for n in range(supplies)
        ],
        "use": {"evening": [{"level": "60 %", "time": "3 h"}]},
    }
    return read_design_table(table, catalogue, Path("much.toml"))


def cut_every(catalogue, cut_unit_m):
    """Return a catalogue whose strip may be cut this often, from reels of 100 m."""
    strip = catalogue.strips[STRIP]
    fine = replace(strip, cut_unit_m=cut_unit_m, pitch_m=min(strip.pitch_m, cut_unit_m))
    return replace(catalogue, strips={**catalogue.strips, STRIP: replace(fine, reel_m=100.0)})


# The size of a design and of its cut units, where both are all that is worked out.
LARGEST = {
    "feeds on one supply": ({"runs": MOST_FEEDS_OF_A_SUPPLY}, 0.05),
    "feeds of one run": ({"feeds": MOST_FEEDS_OF_A_SUPPLY, "length": "5 m"}, 0.05),
    "one run of all cut units": ({"length": "99.9 m"}, 0.005),
    "cut units on one supply": ({"runs": MOST_FEEDS_OF_A_SUPPLY, "length": "2 m"}, 0.005),
    "supplies": ({"runs": MOST_SUPPLIES, "supplies": MOST_SUPPLIES, "length": "3 m"}, 0.005),
}
