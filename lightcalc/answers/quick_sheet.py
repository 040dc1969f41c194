"""What a sheet or resin passes, from two readings at the maker's bench, and how good that is."""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.physics.dots.sheet_readings import (
    Bench,
    SheetReading,
    sheet_from_readings,
    sheet_from_target,
)


@dataclass(frozen=True)
class QuickSheet:
    """Both shares with their standard errors, as the columns of sheets.csv want them."""

    straight_ratio: float
    straight_error_ratio: float
    scattered_ratio: float
    scattered_error_ratio: float
    straight_can_be_told: bool


def from_meter(near_ratio: float, far_ratio: float, bench: Bench, thickness_m: float) -> QuickSheet:
    """Derive both shares from two readings of a light meter; ValueError for impossible ones."""
    return _quick(sheet_from_readings(near_ratio, far_ratio, bench, thickness_m))


def from_target(
    near_ratio: float, contrast_ratio: float, screen_deg: float, thickness_m: float
) -> QuickSheet:
    """Derive both shares from a near reading and a photo of printed bars; ValueError as above."""
    return _quick(sheet_from_target(near_ratio, contrast_ratio, screen_deg, thickness_m))


def _quick(found: SheetReading) -> QuickSheet:
    return QuickSheet(
        straight_ratio=found.straight,
        straight_error_ratio=found.straight_error,
        scattered_ratio=found.scattered,
        scattered_error_ratio=found.scattered_error,
        straight_can_be_told=not found.straight_is_nil,
    )
