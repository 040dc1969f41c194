"""A name is refused, or it names one file in the folder on every computer."""

import os
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shop_folder import ANY_TEXT

from lightcalc.folder.names import (
    LONGEST_NAME,
    check_design_name,
    check_name,
    free_name,
    is_design_name,
    is_name,
    tidy_stem,
)
from lightcalc.problems import BadInput


@pytest.mark.parametrize(
    "name",
    [
        "",
        ".",
        "..",
        "../bench.toml",
        "a/b/c.toml",
        "/etc/passwd.toml",
        "a\\b.toml",
        "C:\\bench.toml",
        "C:bench.toml",
        "bench.toml:stream",
        ".hidden.toml",
        " bench.toml",
        "bench.toml.",
        "bench.toml ",
        "be\0nch.toml",
        "be\nnch.toml",
        "be\x1b[2Jnch.toml",
        "be\u202enit.toml",
        "be\ud800nch.toml",
        "CON",
        "con.toml",
        "Nul .toml",
        "lpt1.old.toml",
        "COM\u00b9.toml",
        "x" * 76 + ".toml",
        "\U0001f4a1" * 60 + ".toml",
        "bench?.toml",
    ],
)
def test_names_that_lead_elsewhere_or_do_not_open_everywhere_are_refused(name, refused):
    assert not is_name(name)
    refused(check_name, name)
    refused(check_design_name, name)


@pytest.mark.parametrize(
    "name",
    [
        "bench.toml",
        "Hall bench 2.toml",
        "B\u00e4nk \u00f6.toml",
        "x" * 75 + ".toml",
        "a..b.toml",
        "console.toml",
    ],
)
def test_names_that_a_maker_would_choose_are_taken(name):
    assert check_design_name(name) == name
    assert is_design_name(name)


@pytest.mark.parametrize("name", ["bench.txt", "bench", "catalogue.toml", "Catalogue.TOML", "toml"])
def test_a_design_is_a_toml_file_and_no_catalogue(name, refused):
    assert is_name(name)
    assert not is_design_name(name)
    refused(check_design_name, name)


@given(ANY_TEXT)
@example("nul")
def test_any_name_is_refused_or_is_one_part_of_a_path(name):
    try:
        check_name(name)
    except BadInput:
        assert not is_name(name)
        return
    assert Path(name).name == name
    assert name not in ("", ".", "..")
    assert not Path(name).is_absolute()
    assert name.isprintable()
    assert len(name) <= LONGEST_NAME
    assert len(os.fsencode(name)) < 250


@given(ANY_TEXT, st.sampled_from(["design", "parts"]))
def test_whatever_an_upload_is_called_it_gets_a_name_that_is_taken(file_name, otherwise):
    stem = tidy_stem(file_name, otherwise)
    taken = set()
    for _ in range(3):
        name = free_name(stem, ".toml", taken)
        assert is_design_name(name)
        assert name.casefold() not in {other.casefold() for other in taken}
        # Some letters have capitals that belong to others; such a name is no longer this one.
        capitals = name.upper()
        taken.add(capitals if capitals.casefold() == name.casefold() else name)


def test_the_name_of_an_upload_is_kept_where_it_can_be():
    assert tidy_stem("Hall bench.toml", "design") == "Hall bench"
    assert tidy_stem("/home/oak/Hall bench.toml", "design") == "Hall bench"
    assert tidy_stem("parts.v2.zip", "parts") == "parts.v2"


def test_counting_on_starts_from_the_name_that_was_counted():
    assert free_name("bench", ".toml", {"bench.toml"}) == "bench 2.toml"
    assert free_name("bench 2", ".toml", {"bench.toml", "bench 2.toml"}) == "bench 3.toml"
    # 1200 is a length here: there is no "shelf" that it would be a number of.
    assert free_name("shelf 1200", ".toml", {"shelf 1200.toml"}) == "shelf 1200 2.toml"
