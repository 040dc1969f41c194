"""Fuse kinds hold together with the standards they are taken from."""

from __future__ import annotations

import pytest

from lightcalc.tables.fuses import fuse_behaviours


def test_every_kind_rides_through_less_than_it_may_let_pass() -> None:
    assert set(fuse_behaviours()) == {"blade", "cartridge", "resettable"}
    for behaviour in fuse_behaviours().values():
        assert 0.0 < behaviour.holds_a2s < behaviour.passes_a2s
        assert behaviour.opens_at_ratio > 1.25


def test_blade_fuses_open_as_iso_8820_says() -> None:
    # ISO 8820-3, from memory: 200 % within 5 s; 350 % not before 0.08 s and within 0.5 s.
    blade = fuse_behaviours()["blade"]
    assert (blade.opens_at_ratio, blade.opens_within_s) == (2.0, 5.0)
    assert blade.holds_a2s == pytest.approx(3.5**2 * 0.08)
    assert blade.passes_a2s == pytest.approx(3.5**2 * 0.5, rel=0.01)


def test_cartridge_fuses_open_as_iec_60127_says() -> None:
    # IEC 60127-2, quick-acting, from memory: 210 % within 30 min; 400 % from 0.01 s to 0.3 s.
    cartridge = fuse_behaviours()["cartridge"]
    assert (cartridge.opens_at_ratio, cartridge.opens_within_s) == (2.1, 30 * 60)
    assert cartridge.holds_a2s == pytest.approx(4.0**2 * 0.01)
    assert cartridge.passes_a2s == pytest.approx(4.0**2 * 0.3)
