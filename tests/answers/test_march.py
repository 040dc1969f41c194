"""Packs of every kind that go in one march are run down as each is alone."""

import numpy as np
import pytest
from designs import design, evening, parts, run, supply

from lightcalc.answers.answer import build_supply
from lightcalc.answers.draw import draws
from lightcalc.answers.endurance import levels_of
from lightcalc.answers.march import Trial, march

USE = evening(1.0, 0.3)
# Those straight on their cells have many rows of volts; those behind a socket or a converter few.
BOXES = {
    "strip-12v-60-warm": (
        supply("liion-3s-5200", None),
        supply("sla-12v-7ah", None, pack_multiple=2),
        supply("liion-4s-6800", "buck-12v-5a"),
    ),
    "strip-5v-60-warm": (supply("usb-10000", None), supply("liion-1s-10000", "boost-5v-3a")),
}


def trials():
    for strip, boxes in BOXES.items():
        for box in boxes:
            made = design(run(strip, 1.0), supplies=(box,), use=USE)
            built = build_supply(box, made, parts())
            most_a = built.wired.pack.max_amps * box.pack_multiple
            yield Trial(
                built.circuit, built.cells.used, most_a, draws(built.circuit, levels_of(USE))
            )


def test_packs_of_every_kind_run_down_together_as_each_does_alone():
    every = list(trials())
    assert len({trial.tables[0].volts.size for trial in every}) > 1
    for trial, together in zip(every, march(every), strict=True):
        (alone,) = march([trial])
        for one, other in zip(alone, together, strict=True):
            for name in ("time_s", "charge_coulomb", "volts", "amps", "peak_amps"):
                assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-12)
            assert np.array_equal(one.totals.ending, other.totals.ending)
