"""Whether whoever holds an infrared remote has a straight line to the eye of its receiver."""

from __future__ import annotations

from lightcalc.answers.look.results import RemoteAnswer, StoppedBy
from lightcalc.answers.look.space import scene_of
from lightcalc.design.piece import Design, Supply
from lightcalc.parts.kinds import Catalogue
from lightcalc.physics.room.remote import HAND_SIDE_M, remote_line


def remote_answers(
    supply: Supply, design: Design, catalogue: Catalogue
) -> tuple[RemoteAnswer, ...]:
    """Follow the lines of every viewer to the eye of a supply's receiver, which has a place.

    The viewers are those of the design, or those that stand and sit round any piece.
    """
    if supply.controller is None or supply.sensor_at_m is None:
        return ()
    scene = scene_of(design, (), catalogue).scene
    found = []
    for viewer in scene.eyes:
        line = remote_line(scene, viewer.place, supply.sensor_at_m)
        found.append(
            RemoteAnswer(
                supply=supply.name,
                controller=supply.controller,
                viewer=viewer.name,
                free_ratio=line.free_share,
                middle_free=line.middle_free,
                stopped_by=tuple(StoppedBy(*one) for one in line.stopped_by),
                hand_m=HAND_SIDE_M,
            )
        )
    return tuple(found)
