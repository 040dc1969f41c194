"""Which names files and sub-folders may have, so that they stay inside and open on any computer."""

from __future__ import annotations

from collections.abc import Collection
from itertools import count

from lightcalc.problems import BadInput, Problem

LONGEST_NAME = 80
# File systems stop at 255 bytes, and what is kept about a design adds an ending to its name.
MOST_NAME_BYTES = 200
DESIGN_ENDING = ".toml"
READINGS_ENDING = "-readings.toml"
CATALOGUE_TOML = "catalogue.toml"

# Room is left for a number and an ending.
_LONGEST_STEM = LONGEST_NAME - 12
_MOST_STEM_BYTES = MOST_NAME_BYTES - 12
_SEPARATORS = "/\\"
# Windows takes none of these in a name.
_NO_SIGNS = '<>:"|?*' + _SEPARATORS
# Names of devices on Windows, with any ending: Microsoft, "Naming Files, Paths, and Namespaces".
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", "conin$", "conout$"}
    | {f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789\u00b9\u00b2\u00b3"}
)


def shown(name: str) -> str:
    r"""Return the start of a name with only signs that can be shown.

    >>> shown("oak\n\x1b[31mbench.toml")
    'oak  [31mbench.toml'
    """
    tidy = "".join(sign if sign.isprintable() else " " for sign in name[: LONGEST_NAME + 1])
    return tidy if len(tidy) <= LONGEST_NAME else f"{tidy[:LONGEST_NAME]}..."


def refusal(name: str, sentence: str) -> BadInput:
    """Return the mistake of one file or sub-folder, to be raised."""
    return BadInput([Problem(shown(name), "", sentence)])


def check_name(name: str) -> str:
    """Return the name of one file or sub-folder as it is; BadInput when it may not be used.

    >>> check_name("hall bench.toml")
    'hall bench.toml'
    """
    wrong = _wrong(name)
    if wrong:
        raise refusal(name, wrong)
    return name


def check_design_name(name: str) -> str:
    """Return the name of a design file as it is; BadInput when it may not be used."""
    wrong = _wrong(name) or _wrong_for_design(name)
    if wrong:
        raise refusal(name, wrong)
    return name


def is_name(name: str) -> bool:
    """Return whether a name may be used for a file or sub-folder."""
    return not _wrong(name)


def is_readings_name(name: str) -> bool:
    """Return whether a name is that of readings taken on the piece of a design.

    >>> is_readings_name("hall-bench-readings.toml"), is_readings_name("hall-bench.toml")
    (True, False)
    """
    return name.lower().endswith(READINGS_ENDING)


def is_design_name(name: str) -> bool:
    """Return whether a name may be used for a design.

    >>> is_design_name("hall-bench.toml"), is_design_name("catalogue.toml"), is_design_name("a")
    (True, False, False)
    """
    return not (_wrong(name) or _wrong_for_design(name))


def tidy_stem(file_name: str, otherwise: str) -> str:
    r"""Return a name with no ending, made of what another computer called a file.

    >>> tidy_stem("C:\\drawings\\Oak: hall?.toml", "design")
    'Oak- hall-'
    >>> tidy_stem("../..", "design"), tidy_stem("nul.toml", "design")
    ('design', 'design nul')
    """
    last = file_name.replace("\\", "/").rsplit("/", 1)[-1]
    stem = last.rsplit(".", 1)[0] if "." in last.lstrip(".") else last
    allowed = "".join(
        "-" if sign in _NO_SIGNS else sign if sign.isprintable() else " " for sign in stem
    )
    short = _cut(" ".join(allowed.split()), _LONGEST_STEM, _MOST_STEM_BYTES)
    tidy = short.strip(" .")
    if _is_device(tidy):
        tidy = f"{otherwise} {tidy}"
    return tidy if is_name(tidy) else otherwise


def free_name(stem: str, ending: str, taken: Collection[str]) -> str:
    """Return the first name that is not taken, counting on; capitals make no difference.

    The name of a catalogue's own file is never free.

    >>> free_name("bench", ".toml", {"Bench.toml", "bench 2.toml"})
    'bench 3.toml'
    >>> free_name("bench 2", ".toml", {"bench.toml", "bench 2.toml"})
    'bench 3.toml'
    """
    folded = {CATALOGUE_TOML, *(name.casefold() for name in taken)}
    first, _, number = stem.rpartition(" ")
    if number.isdecimal() and f"{first}{ending}".casefold() in folded:
        stem = first
    stem = _cut(stem, _LONGEST_STEM, _MOST_STEM_BYTES).strip(" .")
    names = (f"{stem} {number}{ending}" if number > 1 else stem + ending for number in count(1))
    return next(name for name in names if name.casefold() not in folded)


def _wrong(name: str) -> str:
    """Say what is wrong with a name; empty when nothing is."""
    no_sign = next((sign for sign in _NO_SIGNS if sign in name), "")
    checks = (
        (not name, "a name has at least one letter."),
        (
            len(name) > LONGEST_NAME,
            f"has {len(name)} letters; a name has at most {LONGEST_NAME}.",
        ),
        (
            not name.isprintable(),
            "has signs that cannot be shown; name it with letters, digits and spaces.",
        ),
        (
            any(sign in _SEPARATORS for sign in name),
            "leads to another folder; only files of the chosen folder are used.",
        ),
        (bool(no_sign), f"has a {no_sign} in it, which not every computer takes; leave it out."),
        (
            len(name.encode("utf-8", "replace")) > MOST_NAME_BYTES,
            "has too many signs that are not plain letters; make it shorter.",
        ),
        (
            name.strip(". ") != name,
            "begins or ends with a dot or a space; leave that out.",
        ),
        (_is_device(name), "is the name of a device on some computers; add a word to it."),
    )
    return next((sentence for is_wrong, sentence in checks if is_wrong), "")


def _wrong_for_design(name: str) -> str:
    if not name.lower().endswith(DESIGN_ENDING):
        return f"is not the name of a design, which ends in {DESIGN_ENDING}."
    if is_readings_name(name):
        return (
            f"holds readings, as names that end in {READINGS_ENDING} do; name a design otherwise."
        )
    if name.lower() == CATALOGUE_TOML:
        return "is the name of a catalogue's own file; name a design otherwise."
    return ""


def _is_device(name: str) -> bool:
    return name.split(".", 1)[0].rstrip(" ").casefold() in _DEVICES


def _cut(text: str, most_signs: int, most_bytes: int) -> str:
    """Return the start of a text that has at most so many signs, and bytes in UTF-8."""
    return text[:most_signs].encode("utf-8", "ignore")[:most_bytes].decode("utf-8", "ignore")
