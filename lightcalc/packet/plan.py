"""The drawings that a piece is built by: plan and elevations, and every strip laid flat."""

from __future__ import annotations

from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design
from lightcalc.packet.drawing import A4_FRAME_MM, Drawing
from lightcalc.packet.piece_drawing import piece_drawing
from lightcalc.packet.strip_drawing import strip_drawings
from lightcalc.parts.kinds import Catalogue


def plan_drawings(
    design: Design,
    catalogue: Catalogue,
    answer: Answer,
    frame_mm: tuple[float, float] = A4_FRAME_MM,
) -> tuple[Drawing, ...]:
    """Draw a piece to standard scales, each drawing within a frame of (width, height).

    First plan and elevations, for a piece whose blocks the design gives; then the strips, on as
    many drawings as they take. `answer` is the answer to the same design and catalogue.
    """
    piece = (piece_drawing(design, catalogue, answer, frame_mm),) if design.space.blocks else ()
    return (*piece, *strip_drawings(design, catalogue, answer, frame_mm))
