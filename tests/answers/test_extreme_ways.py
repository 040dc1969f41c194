"""What has a finite answer can also be banded, compared, drawn, searched, looked at and printed."""

import json
import math
import re
import time
import warnings
from dataclasses import replace

import pytest
from designs import evening
from extremes import with_parts
from in_space import bench, under
from test_extremes import EXTREMES, numbers, strip

from lightcalc.answers.answer import answer
from lightcalc.answers.band.spread import Case, spread
from lightcalc.answers.compare import compare
from lightcalc.answers.curves import hours, light
from lightcalc.answers.finder.find import find
from lightcalc.answers.look.look import look
from lightcalc.packet.packet import packet_files
from lightcalc.screens.band_sheet import band_json, band_sheet
from lightcalc.screens.compare_table import compare_table
from lightcalc.screens.find_sheet import find_sheet
from lightcalc.screens.json_door import to_json
from lightcalc.screens.look_sheet import look_sheet

BUILDS, SEARCH_S = 100, 0.5


def banded(drawn, catalogue):
    found = answer(drawn, catalogue)
    band = spread(Case(drawn, catalogue, found), samples=BUILDS)
    assert json.loads(to_json(band_json(band)))
    assert band_sheet(found, band)
    return band


def compared(drawn, catalogue):
    found = compare(drawn, catalogue)
    assert compare_table(found)
    return found


def curves(drawn, catalogue):
    drawn_for = (
        *(hours.evening_curves, hours.level_curves, hours.pack_size_curves),
        *(light.wire_curves, light.distance_curves),
    )
    return tuple(draw(drawn, catalogue) for draw in drawn_for)


def printed(drawn, catalogue):
    files = packet_files(drawn, catalogue, answer(drawn, catalogue))
    for name, data in files.items():
        seen = re.sub("<style.*?</style>|<[^>]*>", " ", data.decode(), flags=re.DOTALL)
        assert not re.search(r"\b(nan|inf|infinity|None)\b", seen), name
    return ()


def searched(drawn, catalogue):
    """Search for a moment; stopped then, it holds what it found."""
    end = time.monotonic() + SEARCH_S
    found = find(drawn, catalogue, lambda _: time.monotonic() > end).search
    assert find_sheet(found, 12)
    return found


WAYS = (banded, compared, curves, printed, searched)


def finite(way, drawn, catalogue):
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        found = way(drawn, catalogue)
    assert not [place for place, value in numbers(found) if not math.isfinite(value)]
    return found


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
@pytest.mark.parametrize("made", EXTREMES.values(), ids=EXTREMES)
def test_an_extreme_goes_every_way_with_finite_numbers(made, way):
    drawn, changed = made
    finite(way, drawn, with_parts(**changed))


def looked(drawn, catalogue):
    found = look(drawn, catalogue, faces=False).look
    assert look_sheet(found)
    return found


def lit(**changes):
    made = bench()
    return replace(made, use=replace(made.use, **changes))


LOOKS = {
    "one cut unit": (bench(under(length_m=0.05), m=0.05), {}),
    "0.1 % of the light": (bench(use=evening(0.001, room_lux=50.0)), {}),
    "a dark room": (lit(room_lux=0.0), {}),
    "sunlight": (lit(room_lux=200_000.0), {}),
    "-20 degC": (lit(temperature_c=-20.0), {}),
    "60 degC": (lit(temperature_c=60.0), {}),
    "a strip as good as open": (bench(), {"strips": strip(rail_ohm_per_m=10.0)}),
    "a strip of 1 W/m": (bench(), {"strips": strip(power_w_per_m=1.0, light_lm_per_m=90.0)}),
    "a strip of 30 W/m": (bench(), {"strips": strip(power_w_per_m=30.0)}),
}


@pytest.mark.parametrize("made", LOOKS.values(), ids=LOOKS)
def test_an_extreme_is_looked_at_with_finite_numbers(made):
    drawn, changed = made
    finite(looked, drawn, with_parts(**changed))
