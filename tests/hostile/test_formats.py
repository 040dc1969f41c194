"""Each kind of file carries the format it is in: old ones open, newer ones are refused."""

import doors
import pytest

from lightcalc.design import read, read_readings
from lightcalc.parts import catalogue

KINDS = {
    "design": (doors.DEMO, read.FORMAT),
    "readings": (doors.READINGS, read_readings.FORMAT),
    "catalogue.toml": (
        (doors.EXAMPLES / "catalogue.toml").read_text(encoding="utf-8"),
        catalogue.FORMAT,
    ),
}


def opened(shop, kind, text):
    """Return what opening the file gives, with what the command line says of it."""
    demo = str(doors.EXAMPLES / "hall-bench.toml")
    if kind == "catalogue.toml":
        before = (shop.parts / kind).read_bytes()
        shop.write(kind, text)
        result = doors.flags(["answer", demo, "--catalog", str(shop.parts)])
        (shop.parts / kind).write_bytes(before)
        return result
    path = str(shop.write(f"{kind}.toml", text))
    if kind == "readings":
        return doors.flags(["bench", demo, path], seconds=30)
    return doors.flags(["answer", path])


def with_format(text, line):
    return text.replace("format = 1\n", line)


@pytest.mark.parametrize("kind", KINDS)
def test_every_format_up_to_the_newest_opens_and_none_means_the_first(shop, kind):
    text, newest = KINDS[kind]
    assert "format = 1\n" in text
    for number in range(1, newest + 1):
        assert opened(shop, kind, with_format(text, f"format = {number}\n")).exit_code < 2
    assert opened(shop, kind, with_format(text, "")).exit_code < 2


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("ahead", [1, 99])
def test_a_newer_format_is_refused_with_what_to_do(shop, kind, ahead):
    text, newest = KINDS[kind]
    result = opened(shop, kind, with_format(text, f"format = {newest + ahead}\n"))
    assert result.exit_code == 2
    assert (
        f"format: found {newest + ahead}; this lightcalc reads up to {newest}. Get a newer "
        "lightcalc." in result.output
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("value", ["0", "-1", "1.0", "true", '"1"', "[]", "1979-05-27", "nan"])
def test_a_format_that_is_none_is_told_how_to_write_it(shop, kind, value):
    text, newest = KINDS[kind]
    result = opened(shop, kind, with_format(text, f"format = {value}\n"))
    assert result.exit_code == 2
    assert f"write format = {newest}" in result.output
