"""A catalogue of many strips and packs, made up from the rows of the example one."""

import random
from dataclasses import replace
from pathlib import Path

from lightcalc.answers.answer import answer
from lightcalc.answers.finder.demands import demands_of
from lightcalc.design.find import Find
from lightcalc.design.read import read_design

DEMO = Path(__file__).parents[2] / "catalog_examples" / "hall-bench.toml"


def demo_with(strips_count, packs_count, most_packs, seed=1):
    """Return the demo with as many strips and packs, its catalogue, and what it asks."""
    design, catalogue = read_design(DEMO)
    pick = random.Random(seed)
    drawn = design.runs[0].strip, design.supplies[0].pack
    white = [strip for strip in catalogue.strips.values() if strip.channels == ("white",)]
    catalogue = replace(
        catalogue,
        strips=_many(white, drawn[0], strips_count, lambda strip: _strip(pick, strip)),
        packs=_many(list(catalogue.packs.values()), drawn[1], packs_count,
                    lambda pack: _pack(pick, pack)),
    )  # fmt: skip
    design = replace(design, find=Find(most_packs=most_packs, any_colour=True))
    drawn_lm = sum(run.light_lm for run in answer(design, catalogue).runs)
    return design, catalogue, demands_of(design, drawn_lm)


def _many(rows, kept, count, change):
    """Return a table of so many rows: the one drawn as it is, the others changed in turn."""
    first = next(row for row in rows if row.name == kept)
    made = [first]
    for number in range(count - 1):
        row = change(rows[number % len(rows)])
        made.append(replace(row, name=f"{row.name} {number}"))
    return {row.name: row for row in made}


def _strip(pick, strip):
    """Return a strip of another make: more or less power, light, copper and price."""
    power = pick.choice([0.5, 0.75, 1.0, 1.25, 1.5])
    return replace(
        strip,
        power_w_per_m=strip.power_w_per_m * power,
        light_lm_per_m=strip.light_lm_per_m * power * pick.uniform(0.8, 1.25),
        rail_ohm_per_m=strip.rail_ohm_per_m * pick.uniform(0.7, 1.4),
        price=round(strip.price * power**0.7 * pick.uniform(0.7, 1.5), 2),
        mass_kg_per_m=strip.mass_kg_per_m * pick.uniform(0.9, 1.1),
    )


def _pack(pick, pack):
    """Return a pack of another make, of more or less capacity."""
    size = pick.choice([0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 3.0])
    maker = pick.uniform(0.85, 1.3)
    fast = None if pack.fast_capacity_coulomb is None else pack.fast_capacity_coulomb * size
    return replace(
        pack,
        capacity_coulomb=pack.capacity_coulomb * size,
        slow_current_a=pack.slow_current_a * size,
        fast_capacity_coulomb=fast,
        fast_current_a=None if fast is None else pack.fast_current_a * size,
        resistance_ohm=pack.resistance_ohm / size,
        max_amps=pack.max_amps * size**0.5,
        prospective_a=pack.prospective_a * size**0.5,
        price=round(pack.price * size**0.9 * maker, 2),
        mass_kg=pack.mass_kg * size * pick.uniform(0.95, 1.05),
    )
