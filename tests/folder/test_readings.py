"""Readings lie in a file beside their design; what another program wrote is never lost."""

from shop_folder import BENCH

from lightcalc.folder.readings import readings_text, save_readings
from lightcalc.folder.work import open_work

NAME = "bench-readings.toml"


def test_readings_are_those_that_were_saved_and_the_design_stays(folder):
    assert readings_text(folder, "bench.toml") == ""
    save_readings(folder, "bench.toml", "a = 1", "")
    assert readings_text(folder, "bench.toml") == "a = 1"
    assert (folder / NAME).read_text() == "a = 1"
    assert open_work(folder, "bench.toml").text == BENCH


def test_the_readings_before_a_save_are_kept(folder):
    save_readings(folder, "bench.toml", "a = 1", "")
    save_readings(folder, "bench.toml", "a = 2", "a = 1")
    save_readings(folder, "bench.toml", "a = 2", "a = 2")
    assert (folder / ".lightcalc" / "before" / NAME).read_text() == "a = 1"


def test_readings_that_another_wrote_meanwhile_are_left_alone(folder, refused):
    save_readings(folder, "bench.toml", "a = 1", "")
    (folder / NAME).write_text("theirs")
    told = refused(save_readings, folder, "bench.toml", "mine", "a = 1")
    assert "changed by another program" in told
    assert (folder / NAME).read_text() == "theirs"
