"""The design as the maker drew it: piece, runs, leads, supplies, use, and what is asked of it.

All quantities are SI floats. Parts are named, not held: the names are looked up in a catalogue
when the design is answered, so that one design can be answered with another catalogue.

    supply ──trunk lead──┬──feed lead──▶ run A, start
                         └──feed lead──▶ run B, 40 cm from its start
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from lightcalc.design.find import Find
from lightcalc.design.service import Crossing, Joint, Service
from lightcalc.design.space import Mount, Place, Space


@dataclass(frozen=True)
class Piece:
    """The furniture itself."""

    name: str
    height_m: float | None = None
    notes: str = ""


@dataclass(frozen=True)
class Lead:
    """A pair of wires. `length_m` is the length of the cable; its loop is twice that.

    `parent` names the trunk lead it branches from; None means straight from the supply.
    `wire` is a size such as "20 AWG" or the name of a wire; None lets the answer choose.
    `crossing` says which joints of the piece it goes across.
    """

    name: str
    length_m: float
    wire: str | None = None
    parent: str | None = None
    crossing: Crossing = field(default_factory=Crossing)


@dataclass(frozen=True)
class Feed:
    """A place where a run is soldered to its lead; `at_m` counts from the start of the run."""

    at_m: float
    lead: Lead


@dataclass(frozen=True)
class Seen:
    """The surface on which the maker wonders whether the LEDs will show as dots.

    Either a surface that reflects (a floor, a wall) or, when `sheet` names one, a sheet or resin
    that the light passes through.
    """

    surface: str
    distance_m: float
    viewer_distance_m: float
    sheet: str | None = None
    thickness_m: float | None = None
    reflectance_ratio: float = 0.3


@dataclass(frozen=True)
class Run:
    """One continuous length of strip and where it goes. `length_m` is as asked, before cutting."""

    name: str
    strip: str
    length_m: float
    feeds: tuple[Feed, ...]
    supply: str
    where: str = ""
    mounting: str = "bare on wood"
    seen: tuple[Seen, ...] = ()
    mounts: tuple[Mount, ...] = ()


@dataclass(frozen=True)
class Supply:
    """A pack and everything between it and the runs it feeds.

    `pack_multiple` is how many times the cells of the catalogue's pack it holds, built as one
    pack by its maker. `output_v` is where an adjustable converter is set. `at_m` is where the
    pack lies in the piece, `sensor_at_m` where the controller is worked: the eye or aerial of a
    receiver, the knob or touch pad of a dimmer; None is not said. `crossing` is that of the pack
    lead.
    """

    name: str
    pack: str
    converter: str | None = None
    controller: str | None = None
    output_v: float | None = None
    pack_multiple: int = 1
    pack_lead_m: float = 0.15
    pack_wire: str | None = None
    pack_fuse: str | None = None
    fuse: str | None = None
    connectors: tuple[str, ...] = ()
    health_ratio: float = 1.0
    near: tuple[str, ...] = ()
    switched_off: bool = False
    at_m: Place | None = None
    sensor_at_m: Place | None = None
    crossing: Crossing = field(default_factory=Crossing)
    service: Service = field(default_factory=Service)


@dataclass(frozen=True)
class Stretch:
    """Part of an evening at one level. `mix` dims single channels further, by channel name."""

    level_ratio: float
    duration_s: float
    mix: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Use:
    """How the piece is lit: the stretches of one evening, and how often."""

    stretches: tuple[Stretch, ...]
    evenings_a_week: float = 7.0
    temperature_c: float = 20.0
    room_lux: float = 50.0


@dataclass(frozen=True)
class Ask:
    """What the maker wants of the design; None means not asked."""

    charge_s: float | None = None
    light_fall_ratio: float = 0.10
    lead_drop_ratio: float = 0.03


@dataclass(frozen=True)
class Design:
    """Everything the maker wrote in one design file."""

    piece: Piece
    runs: tuple[Run, ...]
    supplies: tuple[Supply, ...]
    use: Use
    ask: Ask = field(default_factory=Ask)
    find: Find = field(default_factory=Find)
    trunks: tuple[Lead, ...] = ()
    joints: tuple[Joint, ...] = ()
    space: Space = field(default_factory=Space)
    system: str = "metric"
    file: Path | None = None

    def supply(self, name: str) -> Supply:
        """Return the supply of that name; KeyError when there is none."""
        for supply in self.supplies:
            if supply.name == name:
                return supply
        raise KeyError(name)

    def runs_of(self, supply: str) -> tuple[Run, ...]:
        """Return the runs that the named supply feeds, in the order of the file."""
        return tuple(run for run in self.runs if run.supply == supply)
