"""What an answer holds. Every number's name ends in its unit, on screen and in JSON alike.

Units here are those a maker reads (hours, amp hours, square millimetres); physics is in SI.
"""

from __future__ import annotations

from dataclasses import dataclass

from lightcalc.answers.findings.cautions import Caution
from lightcalc.answers.findings.finding import Finding
from lightcalc.answers.look.results import RemoteAnswer, SightAnswer


@dataclass(frozen=True)
class Profile:
    """One run cut unit by cut unit, at full level: tuples of one entry for each cut unit.

    `light_ratio` is light over the strip's rated light; volts and light are means over channels.
    """

    position_m: tuple[float, ...]
    unit_v: tuple[float, ...]
    unit_a: tuple[float, ...]
    light_ratio: tuple[float, ...]


@dataclass(frozen=True)
class ChannelAnswer:
    """One colour channel of a run at full level."""

    channel: str
    amps_a: float
    dimmest_light_ratio: float


@dataclass(frozen=True)
class FeedChannelAnswer:
    """What a meter finds at a feed at full level, between its + and the return of one channel.

    The colours of a pixel strip share one return; its `channel` is "all".
    """

    channel: str
    volts_v: float
    amps_a: float


@dataclass(frozen=True)
class FeedAnswer:
    """A feed of a run at full level: the solder pad it is at, counted from the start of the run.

    `volts_v` is the least over its channels. `amps_a` flows in its +, and is negative where
    current goes out of a run again, to one of its other feeds.
    """

    lead: str
    at_m: float
    volts_v: float
    amps_a: float
    channels: tuple[FeedChannelAnswer, ...]


@dataclass(frozen=True)
class RunAnswer:
    """A run at full level, with the pack at its nominal volts."""

    run: str
    supply: str
    strip: str
    where: str
    cut_units_count: int
    cut_length_m: float
    asked_length_m: float
    amps_a: float
    strip_w: float
    light_lm: float
    dimmest_light_ratio: float
    brightest_light_ratio: float
    light_fall_ratio: float
    volts_fall_ratio: float
    fed_v: float
    dimmest_v: float
    dimmest_at_m: float
    channels: tuple[ChannelAnswer, ...]
    feeds: tuple[FeedAnswer, ...]
    profile: Profile


@dataclass(frozen=True)
class LevelAnswer:
    """One level of an evening, held without a break from a full pack."""

    level_ratio: float
    hours_h: float
    ended_by: str
    strip_w: float
    pack_start_w: float
    pack_start_a: float
    pack_end_a: float
    light_lm: float


@dataclass(frozen=True)
class BalanceAnswer:
    """Where the power goes at full level, half way through a charge; zeros without one.

    `cells_w` is what the cells give at their open-circuit volts; it equals the sum of the rest.
    `lead_heat_w` is of leads with their connectors and of the jumpers between parts.
    """

    cells_w: float
    pack_heat_w: float
    pack_lead_heat_w: float
    converter_heat_w: float
    standby_w: float
    controller_heat_w: float
    lead_heat_w: float
    rail_heat_w: float
    strip_heat_w: float
    strip_light_w: float


@dataclass(frozen=True)
class SeriesAnswer:
    """One charge at full level, from full to its end: tuples of one entry for each moment."""

    time_h: tuple[float, ...]
    pack_v: tuple[float, ...]
    pack_a: tuple[float, ...]
    light_ratio: tuple[float, ...]


@dataclass(frozen=True)
class SupplyAnswer:
    """How long one supply lasts, and what its pack goes through.

    `hours_h` is light as the evenings use it; for a strip straight on its pack it counts until the
    light is half of what it was. `full_level_h` is without a break, to the end of the charge.
    `switched_off_h` is what the evenings would get with a hard switch at the pack, and
    `standby_share_ratio` the share of a charge that goes between evenings, self-discharge too.
    `stranded_ratio` is the share left in the pack when the converter lets go. `standby_a` flows
    at the terminals (a bank's socket) between evenings. `output_v` is held for the runs when
    the charge starts; `output_peak_a` flows there at most, all channels and the controller
    together, and `channel_peak_a` in the channel that carries most. `socket_peak_a` is what a
    USB bank's socket must give, None for other packs. Without light no wear is counted.
    """

    supply: str
    pack: str
    packs_count: int
    chemistry: str
    converter: str
    controller: str
    runs: tuple[str, ...]
    hours_h: float
    hours_low_h: float
    hours_high_h: float
    switched_off_h: float
    standby_share_ratio: float
    stranded_ratio: float
    ended_by: str
    evenings_per_charge_count: float
    charges_per_year_count: float
    full_level_h: float
    half_light_h: float | None
    days_until_flat_unlit_d: float
    years_until_worn_years: float | None
    standby_a: float
    pack_peak_a: float
    output_v: float
    output_peak_a: float
    channel_peak_a: float
    socket_peak_a: float | None
    levels: tuple[LevelAnswer, ...]
    balance: BalanceAnswer
    series: SeriesAnswer


@dataclass(frozen=True)
class WireAnswer:
    """The wire for one lead: what was chosen, what decided it, and both systems of sizes.

    `peak_a` is the most it was found to carry, with the pack at its worst. `full_level_a` flows in
    its + at full level with the pack at its nominal volts, and from `start_v` to `end_v` are then
    the volts between its conductors, the least over the channels; those of a pack lead take in
    the fuse and the connectors in it.

    `drop_v` and `drop_ratio` are lost there and back at `peak_a`, in copper and connectors;
    `contact_drop_v` of it in the connectors, and `contact_share_ratio` is their share of it.
    """

    lead: str
    supply: str
    length_m: float
    loop_length_m: float
    peak_a: float
    wire: str
    size: str
    area_mm2: float
    chosen_by: str
    smallest_awg: str | None
    smallest_mm2: str | None
    decided_by: str
    drop_v: float
    drop_ratio: float
    contact_drop_v: float
    contact_share_ratio: float
    ampacity_a: float
    heat_w: float
    full_level_a: float
    start_v: float
    end_v: float


@dataclass(frozen=True)
class FuseAnswer:
    """The fuse at one place, and each thing asked of it.

    `fuse` is the one named, or the smallest that does. It is `fitted`, and counts, where it is
    named or where the source does not limit itself to what the wires may carry.
    """

    place: str
    supply: str
    fuse: str | None
    rating_a: float | None
    fitted: bool
    protected_by: str
    continuous_a: float
    least_rating_a: float
    wire_ampacity_a: float
    volts_v: float
    prospective_a: float
    far_end_short_a: float
    fits: bool
    trouble: str


@dataclass(frozen=True)
class DotsAnswer:
    """Whether the LEDs of a run show as dots on one surface."""

    run: str
    surface: str
    distance_m: float
    viewer_distance_m: float
    contrast_ratio: float
    threshold_ratio: float
    multiple_ratio: float
    verdict: str
    hiding_distance_m: float | None
    straight_multiple_ratio: float | None
    remedy: str


@dataclass(frozen=True)
class HeatAnswer:
    """How warm a run gets where it is stuck."""

    run: str
    mounting: str
    heat_w_per_m: float
    shed_w_per_m: float
    rise_k: float
    strip_c: float
    limit_c: float
    limited_by: str


@dataclass(frozen=True)
class Answer:
    """Everything lightcalc says about one design.

    `price` is None when the parts named in `unpriced` have none in the catalogue.
    `sights` is empty for a piece that is not drawn in space, and so is `remotes`, or where no
    infrared receiver has a place for its eye. `eyes` names all that were asked what they see, none
    for a piece that is not drawn in space.
    """

    piece: str
    units: str
    currency: str
    price: float | None
    unpriced: tuple[str, ...]
    mass_kg: float | None
    asked_h: float | None
    findings: tuple[Finding, ...]
    supplies: tuple[SupplyAnswer, ...]
    runs: tuple[RunAnswer, ...]
    wires: tuple[WireAnswer, ...]
    fuses: tuple[FuseAnswer, ...]
    dots: tuple[DotsAnswer, ...]
    heat: tuple[HeatAnswer, ...]
    eyes: tuple[str, ...]
    sights: tuple[SightAnswer, ...]
    remotes: tuple[RemoteAnswer, ...]
    cautions: tuple[Caution, ...]

    @property
    def stops(self) -> bool:
        """Whether there is a finding of grade stop."""
        return any(finding.grade == "stop" for finding in self.findings)


@dataclass(frozen=True)
class BuildAnswer:
    """One way to power the same runs: its packs, hours, light, cost, and what empties first.

    `feeds` says which runs each pack feeds. `reason` says why a build is impossible, or gives no
    light.
    """

    build: str
    feeds: tuple[str, ...]
    possible: bool
    reason: str
    packs_count: int
    cells: str
    hours_h: float
    hours_low_h: float
    hours_high_h: float
    full_level_h: float
    first_empty: str
    dimmest_light_ratio: float
    light_fall_ratio: float
    price: float | None
    mass_kg: float | None
    stops_count: int


@dataclass(frozen=True)
class Comparison:
    """One shared pack, two packs, and one pack of twice the cells, for the same evenings."""

    piece: str
    units: str
    currency: str
    asked_h: float | None
    builds: tuple[BuildAnswer, ...]
    advice: str
