"""Nothing typed is lost: not by a refresh, a closed tab, a dead server, or a second tab."""

import csv
import json

import pytest
from served import Served

FRONT, BACK = "Length of front rail", "Length of back rail"
LEVEL = "Brightness for 2 h 30 min"


def test_a_refresh_keeps_what_was_typed(maker, bench):
    maker.open(bench).type(FRONT, "1.17 m")
    maker.type(BACK, "no length")
    maker.page.reload()
    maker.rest()
    maker.holds(FRONT, "1.17 m")
    maker.holds(BACK, "no length")


def test_a_new_tab_goes_on_where_a_closed_one_was_left(tab, bench):
    first = tab()
    first.open(bench).type(FRONT, "1.18 m")
    first.page.close()
    tab().open(bench).holds(FRONT, "1.18 m")


@pytest.fixture
def mortal(tmp_path):
    """A server of one test alone; it outlives the tabs when it is asked for before them."""
    found = Served(tmp_path / "designs of one")
    yield found
    found.kill()


def test_a_server_that_dies_and_starts_again_keeps_what_was_typed(mortal, tab):
    # A browser tells of lost connections as errors.
    maker = tab(at=mortal, strict=False).open()
    maker.type(FRONT, "1.19 m")
    mortal.kill()
    mortal.start()
    tab(at=mortal).open().holds(FRONT, "1.19 m")


def test_two_tabs_that_change_two_fields_of_one_design_keep_both(tab, bench):
    one, two = tab().open(bench), tab().open(bench)
    one.type(FRONT, "1.35 m")
    two.type(LEVEL, "33 %")
    two.sees("also changed in another tab")
    two.save()
    text = (two.served.folder / bench).read_text(encoding="utf-8")
    assert 'length = "1.35 m"' in text
    assert 'level = "33 %"' in text
    one.type(BACK, "1.36 m")
    one.holds(LEVEL, "33 %")
    one.holds(FRONT, "1.35 m")


def test_two_tabs_that_change_one_field_lose_neither(tab, bench):
    one, two = tab().open(bench), tab().open(bench)
    one.type(FRONT, "1.31 m")
    two.type(FRONT, "1.32 m")
    two.sees("Another tab changed the same place")
    two.holds(FRONT, "1.32 m")
    tab().open(bench).holds(FRONT, "1.31 m")
    name = two.page.evaluate("new URLSearchParams(location.search).get('design')")
    assert name != bench
    tab().open(name).holds(FRONT, "1.32 m")


def test_downloads_hold_the_design_the_sheet_and_all_numbers(maker, bench):
    maker.open(bench).type(FRONT, "1.29 m")
    maker.save()
    maker.open(bench, "files")
    served = maker.served
    name, data = maker.download("Design")
    assert (name, data) == (bench, (served.folder / bench).read_bytes())
    name, data = maker.download("All numbers")
    assert name.endswith(".json")
    assert json.loads(data) == served.numbers("answer", bench)
    name, data = maker.download("Answer sheet")
    assert name.endswith(".txt")
    assert data.decode().rstrip() == served.run("answer", bench).rstrip()


def test_the_numbers_of_a_chart_are_those_of_the_command_line(maker, bench):
    maker.open(bench, "charts")
    maker.page.locator(".js-plotly-plot svg.main-svg").first.wait_for()
    maker.rest()
    name, data = maker.download("Numbers as CSV")
    assert name.endswith(".csv")
    headings, *rows = csv.reader(data.decode().splitlines())
    light = next(n for n, heading in enumerate(headings) if heading.startswith("light"))
    for run in maker.served.numbers("answer", bench)["runs"]:
        percent = [float(row[light]) for row in rows if row[0] == run["run"]]
        assert len(percent) == run["cut_units_count"]
        assert min(percent) == pytest.approx(100 * run["dimmest_light_ratio"], rel=1e-5)
        assert max(percent) == pytest.approx(100 * run["brightest_light_ratio"], rel=1e-5)


def test_a_design_and_parts_that_were_taken_away_can_be_brought_in_again(maker, bench):
    maker.open(bench, "files")
    served = maker.served
    _, design = maker.download("Design")
    _, parts = maker.download("These parts")
    maker.page.locator("input[type=file]").last.set_input_files(_file("shop parts.zip", parts))
    maker.press("Put them in the folder")
    maker.sees("The parts are in shop parts")
    maker.rest()
    brought = served.folder / "shop parts"
    for file in brought.iterdir():
        assert file.read_bytes() == (served.folder / "example parts" / file.name).read_bytes()
    assert (brought / "catalogue.toml").exists()
    # A list that scrolls into sight closes again.
    maker.field("Parts of this design").scroll_into_view_if_needed()
    maker.choose("Parts of this design", "shop parts")
    maker.page.locator("input[type=file]").first.set_input_files(_file("back again.toml", design))
    maker.press("Put it in the folder")
    maker.sees("back again.toml, saved")
    maker.rest()
    assert (served.folder / "back again.toml").read_bytes() == design
    maker.field("Open a design").scroll_into_view_if_needed()
    maker.choose("Open a design", bench)
    maker.save()
    assert 'catalogue = "shop parts"' in (served.folder / bench).read_text(encoding="utf-8")
    served.run("answer", bench)


def _file(name, data):
    return {"name": name, "mimeType": "application/octet-stream", "buffer": data}
