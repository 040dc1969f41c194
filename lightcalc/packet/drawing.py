"""A drawing that is ready to be printed."""

from __future__ import annotations

from dataclasses import dataclass

# What is left of an A4 sheet within usual margins, upright: width and height.
A4_FRAME_MM = (180.0, 255.0)


@dataclass(frozen=True)
class Drawing:
    """One drawing as SVG text, sized so that it prints in true millimetres.

    `reduction` is how many times as large as its drawing the piece is, and `scale` says so in
    words; None and "" for a diagram, which is to no scale.
    """

    title: str
    svg: str
    width_mm: float
    height_mm: float
    reduction: int | None = None
    scale: str = ""
