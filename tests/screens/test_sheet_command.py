"""Two readings at the bench give both shares of a sheet, with how good they are."""

import json

import pytest

TINTED = ("sheet", "--thickness", "3 mm", "--near", "30 %", "--far", "28.1 %")


def test_two_readings_of_a_tinted_sheet_give_its_shares_within_their_errors(shop):
    found = json.loads(shop.run(*TINTED, "--json").stdout)
    # A sheet that passes 28 % straight and 2 % scattered reads 30 % near and, but for the
    # little that the opening lets by, 28 % far.
    assert found["straight_ratio"] == pytest.approx(0.28, abs=found["straight_error_ratio"])
    assert found["scattered_ratio"] == pytest.approx(0.02, abs=found["scattered_error_ratio"])
    assert found["straight_can_be_told"] is True


def test_an_opal_sheet_is_said_to_hide_nothing_for_certain(shop):
    words = shop.run("sheet", "--thickness", "3 mm", "--near", "55 %", "--far", "0.1 %").stdout
    assert "cannot be told from none" in words


def test_more_contrast_through_the_sample_means_more_straight_light(shop):
    def straight(contrast):
        words = ("sheet", "--thickness", "3 mm", "--near", "75 %", "--contrast", contrast)
        return json.loads(shop.run(*words, "--json").stdout)["straight_ratio"]

    assert straight("20 %") < straight("40 %") < straight("80 %")


@pytest.mark.parametrize(
    "words",
    [
        ("--far", "40 %"),
        (),
        ("--far", "20 %", "--contrast", "40 %"),
        ("--far", "20 %", "--away", "2 m"),
    ],
)
def test_readings_that_no_sheet_gives_are_refused_in_a_sentence(shop, words):
    result = shop.run("sheet", "--thickness", "3 mm", "--near", "30 %", *words)
    assert result.exit_code == 2
    assert result.stderr.strip().endswith(".")
