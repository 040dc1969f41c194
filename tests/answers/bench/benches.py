"""Simulated benches: pieces whose parts and faults are drawn at random, and read with a meter.

What is shown is worked out with the whole model at the true figures; nothing of the straight models
that the refit uses goes into it.
"""

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from designs import design, evening, feed, run, supply
from example_parts import EXAMPLES, parts

from lightcalc.answers.bench.bench import named_fault, refitter_for, verdict_of
from lightcalc.answers.bench.built import built_supplies
from lightcalc.answers.bench.figures import figure_found, weights_of
from lightcalc.answers.bench.model import BenchModel
from lightcalc.answers.bench.words import worth_taking
from lightcalc.design.piece import Feed, Lead
from lightcalc.design.read import read_design
from lightcalc.design.readings import USUAL_ACCURACY, Probe, Reading, Readings

# A fault counts as one that can be told when it moves some reading by more than this many
# deviations of meter and tolerances, and lies as far from what every other fault could show.
TOLD_DEVIATIONS = 4.0
RIVAL_PLACES = 41
FAULTY_SHARE = 0.6


def example(name):
    return read_design(EXAMPLES / f"{name}.toml")[0]


def long_counter():
    """Two long runs of 24 V strip on long leads: plenty of copper to get wrong."""
    return design(
        run("strip-24v-120-neutral", 4.0, name="left", feeds=(feed(0.0, 3.0, name="left lead"),)),
        run("strip-24v-120-neutral", 2.5, name="right", feeds=(feed(0.0, 4.0, name="right lead"),)),
        supplies=(supply("lifepo4-8s-12000", "buckboost-24v-4a", controller="dimmer-smooth-1ch"),),
    )


def lit_by_a_bank():
    return design(
        run("strip-5v-60-warm", 1.2, name="edge", feeds=(feed(0.0, 0.6, name="edge lead"),)),
        supplies=(supply("usb-20000-stays-on", None),),
    )


def straight_on_lithium():
    """Two different strips straight on a pack, one of them fed at both ends."""
    both = (
        Feed(0.0, Lead("desk left", 0.5, "22 AWG")),
        Feed(1.25, Lead("desk right", 2.0, "22 AWG")),
    )
    return design(
        run("strip-12v-120-warm", 1.25, name="desk", feeds=both),
        run("strip-12v-60-warm", 1.0, name="shelf", feeds=(feed(0.0, 1.5, name="shelf lead"),)),
        supplies=(supply("liion-3s-10400", None),),
        use=evening(1.0),
    )


DESIGNS = {
    "hall bench": lambda: example("hall-bench"),
    "cabinet": lambda: example("display-cabinet"),
    "shelf": lambda: example("bedside-shelf"),
    "long counter": long_counter,
    "bank": lit_by_a_bank,
    "straight": straight_on_lithium,
}


def everything(model):
    """Every reading that the design offers."""
    found = []
    for built in model.built:
        light = Probe("time", built.supply.name, "light", until="half light")
        found += worth_taking(built, float(model.predict(model.as_drawn, [light])[0, 0]))
    return found


def volts_and_amps(model):
    """What is read in ten minutes: volts at feeds and far ends, and the current of each run."""
    return [p for p in everything(model) if p.quantity != "time" and not p.lit_s]


def at_the_strips(model):
    """Only what a meter shows on the strips, and no amps."""
    return [p for p in everything(model) if p.place == "pad"]


def without_joints(model):
    """Everything but the volts just before the joints, which few would think of."""
    return [p for p in everything(model) if p.place != "lead"]


LAYOUTS = (everything, volts_and_amps, without_joints, at_the_strips)
GROUPS = [(name, layout) for name in DESIGNS for layout in LAYOUTS]


class Remembering(BenchModel):
    """A model that works nothing out twice: sets of readings share probes and many of the cases.

    A probe is read for itself, and a case as if alone, so columns of one batch serve another.
    """

    def __init__(self, built):
        super().__init__(built)
        self.known = {}

    def predict(self, cases, probes):
        key = cases.tobytes()
        new = [probe for probe in dict.fromkeys(probes) if (key, probe) not in self.known]
        for probe, column in zip(new, super().predict(cases, new).T if new else (), strict=True):
            self.known[key, probe] = column
        return np.stack([self.known[key, probe] for probe in probes], axis=1)


@cache
def model_of(name):
    return Remembering(built_supplies(DESIGNS[name](), parts()))


def refitter_of(name, layout):
    model = model_of(name)
    probes = layout(model)
    taken = tuple(Reading("", p, 0.0, USUAL_ACCURACY[p.quantity]) for p in probes)
    return refitter_for(model, parts(), Readings(taken))


@dataclass(frozen=True)
class Simulated:
    """One bench: its true fault and numbers, and what was read."""

    fault: int
    numbers: np.ndarray
    read: np.ndarray


def simulate(refitter, count, rng):
    """Draw parts, faults and meters, and read the whole model with them."""
    faults = refitter.faults
    codes = sorted({fault.code for fault in faults[1:]})
    drawn = []
    for _ in range(count):
        number = 0
        if rng.random() < FAULTY_SHARE:
            code = codes[rng.integers(len(codes))]
            number = int(rng.choice([n for n, f in enumerate(faults) if f.code == code]))
        mean, sd = refitter.prior(faults[number])
        drawn.append((number, rng.normal(mean, sd)))
    numbers = np.stack([one for _, one in drawn])
    shown = refitter.shown([faults[number] for number, _ in drawn], numbers)
    read = shown + rng.normal(0.0, refitter.noise_sd, shown.shape)
    return [Simulated(n, x, y) for (n, x), y in zip(drawn, read, strict=True)]


class Told:
    """Says which faults could be told from these readings, by the definition above."""

    def __init__(self, refitter):
        self.refitter = refitter
        points, self.owner = [], []
        for number, fault in enumerate(refitter.faults):
            mean, _ = refitter.prior(fault)
            for place in np.linspace(-3.0, 3.0, RIVAL_PLACES) if fault.sd else (0.0,):
                points.append([*mean[:-1], mean[-1] + place * fault.sd])
                self.owner.append(number)
        self.owner = np.array(self.owner)
        each = [refitter.faults[number] for number in self.owner]
        self.rivals = refitter.shown(each, np.array(points))

    def can_be_told(self, benches):
        """Whether each bench's fault moves a reading enough and is like no other fault."""
        refitter = self.refitter
        faults = [refitter.faults[bench.fault] for bench in benches]
        points = np.zeros((len(benches), refitter.size))
        points[:, -1] = [bench.numbers[-1] for bench in benches]
        straight = refitter.straight(faults, points)
        none = refitter.straight([refitter.faults[0]], 0.0 * points[:1])
        sd = refitter.sd[:-1]
        usual = none.slopes[0][:, :-1] * sd
        spread = np.sqrt((usual**2).sum(axis=1) + refitter.noise_sd**2)
        moved = np.abs(straight.shown - none.shown[0]) / spread > TOLD_DEVIATIONS
        return [
            bench.fault != 0
            and moved[n].any()
            and self._like_no_other(bench.fault, straight.shown[n], straight.slopes[n][:, :-1] * sd)
            for n, bench in enumerate(benches)
        ]

    def _like_no_other(self, fault, shown, slopes):
        inverse = np.linalg.inv(slopes @ slopes.T + np.diag(self.refitter.noise_sd**2))
        return all(
            nearest(shown, self.rivals[self.owner == other], inverse) > TOLD_DEVIATIONS
            for other in range(1, len(self.refitter.faults))
            if other != fault
        )


def nearest(shown, path, inverse):
    """Least distance, in deviations, from a point to a path of straight pieces."""
    starts = path[:-1] if len(path) > 1 else path
    ways = np.diff(path, axis=0) if len(path) > 1 else np.zeros_like(path)
    rest = shown - starts
    along = np.einsum("pr,rs,ps->p", ways, inverse, rest)
    size = np.einsum("pr,rs,ps->p", ways, inverse, ways)
    share = np.clip(along / np.maximum(size, 1e-12), 0.0, 1.0)
    left = rest - share[:, None] * ways
    return math.sqrt(np.einsum("pr,rs,ps->p", left, inverse, left).min())


@dataclass(frozen=True)
class Judged:
    """How the refit did on one bench: named, told, and each figure's error in deviations."""

    true: str
    named: str
    told: bool
    errors: np.ndarray
    narrowed: np.ndarray


def judge(refitter, benches):
    told = Told(refitter).can_be_told(benches)
    refits = refitter.refit(np.stack([bench.read for bench in benches]))
    return [_judge(refitter, *each) for each in zip(benches, refits, told, strict=True)]


def _judge(refitter, bench, refit, told):
    fault = refitter.faults[bench.fault]
    named = named_fault(refitter, refit)
    trusted = verdict_of(refit, len(refitter.probes)) != "unexplained"
    if not trusted:
        named = replace(named, code="unexplained", place="", detail="")
    errors, narrowed = [], []
    for number, parameter in enumerate(refitter.parameters):
        stated = (0.0, parameter.sd)
        mean, sd = figure_found(number, refitter, refit) if trusted else stated
        true = weights_of(number, refitter, fault) @ bench.numbers
        errors.append((true - mean) / sd)
        narrowed.append(sd / parameter.sd)
    return Judged(
        true=_label(fault),
        named=_label(named),
        told=told,
        errors=np.array(errors),
        narrowed=np.array(narrowed),
    )


def _label(fault):
    return " ".join(f"{fault.code} {fault.place} {fault.detail}".split())


def run_benches(count, seed):
    """Simulate and judge benches, spread over every design and set of readings."""
    rng = np.random.default_rng(seed)
    each, more = divmod(count, len(GROUPS))
    found = []
    for number, (name, layout) in enumerate(GROUPS):
        refitter = refitter_of(name, layout)
        found.append(judge(refitter, simulate(refitter, each + (number < more), rng)))
    return found
