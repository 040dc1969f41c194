"""The verb `look`: what it prints, writes and refuses."""

import io
import json
import math

import numpy as np
import pytest
from PIL import Image

VIEWERS = """
[[viewers]]
name = "sofa"
at = ["75 cm", "-2 m", "1.15 m"]

[room]
"""


@pytest.fixture
def small(shop):
    """The demo with one viewer, so that pictures are few."""
    return shop.changed(("\n[room]\n", VIEWERS))


def pixels(path):
    return np.asarray(Image.open(io.BytesIO(path.read_bytes())).convert("RGB"), dtype=float)


def test_a_look_writes_a_picture_for_each_eye_and_the_light_on_floor_and_wall(shop, small):
    result = shop.run("look", small.name)
    assert result.exit_code == 0, result.output
    folder = shop.folder / "bench-look"
    names = sorted(path.name for path in folder.iterdir())
    assert names == ["light-on-floor.csv", "light-on-wall.csv", "sofa.png"]
    assert pixels(folder / "sofa.png").shape == (480, 640, 3)
    assert result.stderr == "Pictures and maps are in bench-look.\n"
    assert result.stdout.startswith("Hall bench with a resin seam\nAt 100 %")
    assert max(map(len, result.stdout.splitlines())) <= 80


def test_mounts_are_compared_at_one_exposure(shop, small):
    assert shop.run("look", small.name, "--compare", "--out", "seen").exit_code == 0
    first, second = (pixels(shop.folder / "seen" / f"mount-{n}" / "sofa.png") for n in (1, 2))
    shop.run("look", small.name, "--mount", "1", "--out", "one")
    shop.run("look", small.name, "--mount", "2", "--out", "two")
    assert (first == pixels(shop.folder / "one" / "sofa.png")).all()
    # Alone the second is shown as an eye adapted to it sees it: brighter or darker.
    alone = pixels(shop.folder / "two" / "sofa.png")
    assert (second != alone).any()
    # The wall high up gets next to no light of the runs, so it looks the same in both.
    high = np.s_[:40, 280:360]
    assert (
        abs(first[high].mean() - second[high].mean())
        < abs(first[high].mean() - alone[high].mean()) + 8.0
    )


def test_no_pictures_writes_nothing(shop, small):
    before = sorted(shop.folder.rglob("*"))
    result = shop.run("look", small.name, "--no-pictures", "--compare")
    assert result.exit_code == 0
    assert sorted(shop.folder.rglob("*")) == before
    assert "mount 1" in result.stdout
    assert result.stderr == ""


def test_json_holds_finite_numbers_of_every_mount(shop, small):
    def refuse(text):
        raise AssertionError(text)

    printed = shop.run("look", small.name, "--json", "--no-pictures", "--compare").stdout
    looks = json.loads(printed, parse_constant=refuse)["looks"]
    assert [look["mounts"][0] for look in looks] == [
        "front rail: on the rail",
        "front rail: under the seat",
    ]
    for look in looks:
        glow = look["glow"]
        names = ("floor_lm", "wall_lm", "piece_lm", "inserts_lm", "left_lm")
        assert math.fsum(glow[n] for n in names) == pytest.approx(glow["emitted_lm"], rel=0.01)


def test_what_cannot_be_looked_at_is_told(shop, small):
    assert "has no mount 3; it has 2" in shop.refused("look", small.name, "--mount", "3")
    flat = shop.run("look", "bedside-shelf.toml")
    assert flat.exit_code == 2
    assert "[[blocks]]" in flat.stderr
    assert "[[blocks]]" in shop.refused("look", "bedside-shelf.toml", "--compare")
    assert "is not there" in shop.refused("look", "none.toml")
    bad = shop.changed(('colour = "ash"', 'colour = "asch"'))
    assert "7 problems:" in shop.refused("look", bad.name)


def test_a_folder_that_cannot_be_made_is_told(shop, small):
    (shop.folder / "taken").write_text("x", encoding="utf-8")
    result = shop.run("look", small.name, "--out", "taken/inside")
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_eyes_of_like_names_get_files_of_their_own(shop):
    more = VIEWERS.replace(
        "[room]", '[[viewers]]\nname = "Sofa"\nat = ["0 m", "-2 m", "1 m"]\n\n[room]'
    )
    odd = more.replace('"sofa"', '"../sofa"')
    path = shop.changed(("\n[room]\n", odd))
    assert shop.run("look", path.name, "--out", "seen").exit_code == 0
    names = {path.name for path in (shop.folder / "seen").glob("*.png")}
    assert names == {"sofa.png", "sofa-2.png"}


def test_the_answer_says_which_leds_are_seen_and_where_to_look(shop, small):
    text = shop.run("answer", small.name).stdout
    assert "\nLEDS SEEN\n" in text
    assert "run back rail, eye sofa: Its LEDs show in the floor" in " ".join(text.split())
    assert "`lightcalc look` shows it" in text
    assert "LEDS SEEN" not in shop.run("answer", "bedside-shelf.toml").stdout
