"""Read what a design says of joints that come apart, and of how packs are reached, held, worked."""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.design.fields import Limits, Section, shown, suggest
from lightcalc.design.service import BOTH_SIDES, BOXES, SIDES, Crossing, Joint, Service
from lightcalc.tables.fasteners import fasteners

# From a patch as large as a thumbnail to one as large as a sheet of paper.
AREA = Limits(0.5e-4, 0.1)
COUNT = Limits(1, 100)
JOINT = '[[joints]] on a line, and under it name = "seat to base"'


def read_joints(top: Section) -> tuple[Joint, ...]:
    """Read the joints of a piece."""
    return tuple(_read_joint(section) for section in top.sections("joints", JOINT))


def _read_joint(section: Section) -> Joint:
    joint = Joint(
        name=section.text("name", "seat to base"),
        removable=section.flag("removable", default=True),
        reached_from=section.choice("reached_from", (*SIDES, BOTH_SIDES), BOTH_SIDES),
    )
    section.close()
    return joint


def read_crossing(section: Section, own_connector: bool = True) -> Crossing:
    """Read what a lead goes across; a pack lead has its connectors with its supply."""
    return Crossing(
        joints=section.texts("crosses", "seat to base"),
        connector=section.optional_text("connector", "plug-small-2") if own_connector else None,
        side=_optional_choice(section, "connector_side", SIDES),
    )


def read_service(section: Section) -> Service:
    """Read how the parts of a supply are reached, held and worked."""
    count = section.count("held_count", COUNT, 0)
    return Service(
        reach=section.optional_text("reach", "lift off the seat"),
        sealed=section.flag("sealed"),
        held_by=_optional_choice(section, "held_by", tuple(fasteners())),
        held_area_m2=section.quantity("held_area", "area", "40 cm2", AREA, default=None),
        held_count=int(count) if count else None,
        overhead=section.flag("overhead"),
        box=_optional_choice(section, "box", BOXES),
        sees_user=_optional_flag(section, "sees_user"),
        remote=section.text("remote", "hall remote", default=""),
        remote_code=section.optional_text("remote_code", "A"),
    )


def _optional_flag(section: Section, key: str) -> bool | None:
    """Return true or false, or None when the field is left out."""
    section.used.add(key)
    return section.flag(key) if key in section.table else None


def _optional_choice(section: Section, key: str, allowed: Sequence[str]) -> str | None:
    """Return one of the allowed words in whatever capitals, or None when the field is left out."""
    value = section.optional_text(key, allowed[0])
    if not value:
        return None
    by_fold = {word.casefold(): word for word in allowed}
    if value.casefold() not in by_fold:
        section.note(key, f"found {shown(value)}; {suggest(value, allowed)}")
    return by_fold.get(value.casefold())
