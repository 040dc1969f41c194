"""Read the size of a conductor, in AWG or in square millimetres."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from lightcalc.units.reading import LONGEST_TEXT, read
from lightcalc.units.scales import UnitProblem, tidied

# Wire for lamps is sold by "gauge" only where that is AWG. Where it might be SWG, the same number
# is a thicker wire (BS 3737: 20 SWG is 0.66 mm2, 20 AWG 0.52 mm2), so AWG errs to the safe side.
_WIRE = re.compile(r"(?:AWG|#) ?#?([0-9]{1,2})|([0-9]{1,2}) ?-?(?:AWG|ga\.?|gauge)", re.IGNORECASE)
# A cable by its conductors: `18/2` or `18 AWG/2` has two of 18 AWG (usual in the trade), as has
# `2 x 0.75 mm2` of that section (IEC 60228 gives sections to each conductor).
_CABLE = re.compile(
    r"(?P<gauge>[0-9]{1,2}) ?(?:AWG|ga\.?)? ?/ ?(?P<of>[0-9]{1,2})(?: ?(?:AWG|ga\.?))?"
    r"|(?P<cores>[0-9]{1,2}) ?[x×*] ?(?P<size>[0-9].*)",
    re.IGNORECASE,
)
CONDUCTORS = 2


@dataclass(frozen=True)
class WireSize:
    """A conductor's size: `20 AWG` or `0.75 mm2`, and its copper's cross-section."""

    name: str
    area_m2: float


def read_wire_size(text: object) -> WireSize:
    """Return a conductor's size, written in AWG or in mm2.

    The diameter of AWG number n is 0.127 mm * 92 ** ((36 - n) / 39) (ASTM B258), for 0 to 40;
    a size in mm2 is its nominal cross-section (IEC 60228), from 0.005 to 120 mm2. A gauge with no
    word for its system is taken for AWG. A cable of two conductors is the wire of a lead, and is
    named by what each of them is.

    >>> read_wire_size("AWG 20").name, round(read_wire_size("20 AWG").area_m2 * 1e6, 3)
    ('20 AWG', 0.518)
    >>> read_wire_size("20 ga").name
    '20 AWG'
    >>> read_wire_size("0.75 mm²")
    WireSize(name='0.75 mm2', area_m2=7.5e-07)
    >>> read_wire_size("18/2").name, read_wire_size("2 x 0.75 mm2").name
    ('18 AWG', '0.75 mm2')
    """
    asked = "a wire size is written in AWG or mm2, such as 20 AWG or 0.75 mm2."
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        raise UnitProblem(f"found {str(text)[:20]!r}; {asked}")
    tidy = tidied(text)
    if not tidy.isprintable():
        raise UnitProblem(f"found signs that cannot be shown; {asked}")
    one = _of_each_conductor(tidy)
    awg = _WIRE.fullmatch(one)
    if awg:
        number = int(awg[1] or awg[2])
        if number > 40:
            raise UnitProblem(f'found "{tidy}"; AWG numbers run from 0 to 40 here.')
        diameter_m = 0.127e-3 * 92.0 ** ((36 - number) / 39)
        return WireSize(f"{number} AWG", math.pi / 4 * diameter_m**2)
    if re.search("swg", tidy, re.IGNORECASE):
        raise UnitProblem(f'found "{tidy}"; SWG is another system, so {asked}')
    try:
        area_m2 = read(one, "area")
    except UnitProblem:
        raise UnitProblem(f'found "{tidy}"; {asked}') from None
    if not 0.005e-6 <= area_m2 <= 120e-6:
        raise UnitProblem(f'found "{tidy}"; sizes run from 0.005 mm2 to 120 mm2 here.')
    return WireSize(f"{area_m2 * 1e6:.4g} mm2", area_m2)


def is_cable(text: object) -> bool:
    """Return whether a text is the size of a cable of two conductors, and not of a wire.

    >>> is_cable("18/2"), is_cable("18 AWG")
    (True, False)
    """
    tidy = tidied(text) if isinstance(text, str) and len(text) <= LONGEST_TEXT else ""
    return _CABLE.fullmatch(tidy) is not None


def _of_each_conductor(text: str) -> str:
    """Return the size of each conductor of a cable of two; any other text as it is."""
    cable = _CABLE.fullmatch(text)
    if not cable:
        return text
    count = int(cable["of"] or cable["cores"])
    if not count:
        # `1/0` and the like are the sizes above 0 AWG.
        raise UnitProblem(f'found "{text}"; AWG numbers run from 0 to 40 here.')
    each = f"{cable['gauge']} AWG" if cable["gauge"] else str(cable["size"])
    if count == 1:
        raise UnitProblem(
            f'found "{text}", a single conductor, of which a lead has two or more; write its size '
            f"alone: {each}."
        )
    if count != CONDUCTORS:
        raise UnitProblem(
            f'found "{text}", a cable of {count} conductors; a lead has two, or one more for each '
            f"colour. Write the size of one conductor, such as {each}."
        )
    return each
