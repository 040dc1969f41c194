"""A pack of cells, described only as a catalogue describes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.physics.charge.open_circuit import cell_volts, drawn_at
from lightcalc.physics.charge.pack_figures import Stated, cell_figures, peukert_exponent
from lightcalc.physics.charge.pack_fit import fit
from lightcalc.problems import BadInput, Problem
from lightcalc.tables.chemistries import Chemistry, chemistry

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pack:
    """A pack ready to be discharged; every field is an array of one shape, () for one pack.

    capacity_coulomb   charge at the slow rate, at this age and temperature [C]
    slow_amps          current that capacity belongs to [A]
    full_volts         rested and fully charged, at the pack's terminals [V]
    cutoff_volts       where the discharge ends, at the pack's terminals [V]
    cells              cells in series [-]
    curve              row of the chemistry's open-circuit curve [-]
    curve_start, curve_width, curve_shift_volts
                       place of this pack's curve on that of its chemistry [-, -, V per cell]
    ohms               resistance that acts at once [ohm]
    lag_s              lag of charge at the electrode over the drawn current [s]
    lag_rise_s_per_a   growth of that lag with current [s/A]
    peukert            exponent of Peukert's relation; 1 for the lithium chemistries
    ohms_new           ohms of the pack new at 25 degC [ohm]
    """

    capacity_coulomb: Floats
    slow_amps: Floats
    full_volts: Floats
    cutoff_volts: Floats
    cells: Floats
    curve: NDArray[np.intp]
    curve_start: Floats
    curve_width: Floats
    curve_shift_volts: Floats
    ohms: Floats
    lag_s: Floats
    lag_rise_s_per_a: Floats
    peukert: Floats
    ohms_new: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the batch; () for one pack."""
        return self.capacity_coulomb.shape

    def column(self) -> Pack:
        """Return a flat batch (n,) as one of (n, 1), to be taken with several of something."""
        return Pack(*(getattr(self, field.name)[:, None] for field in fields(Pack)))

    @property
    def short_circuit_amps(self) -> Floats:
        """Current into a short at the terminals of the full pack [A]; protection not counted."""
        return np.asarray(self.full_volts / self.ohms)

    def open_circuit_volts(self, drawn: ArrayLike) -> Floats:
        """Rested volts at the terminals [V] with the share `drawn` of the charge gone."""
        x = self.curve_start + self.curve_width * np.asarray(drawn, dtype=float)
        return np.asarray(self.cells * (cell_volts(self.curve, x) + self.curve_shift_volts))

    def drawn_at_rest(self, volts: Floats) -> Floats:
        """Share of the charge gone where the terminals rest at `volts`, of the pack's shape [V]."""
        cell = np.atleast_1d(volts / self.cells - self.curve_shift_volts)
        x = drawn_at(np.atleast_1d(self.curve), cell).reshape(self.shape)
        return np.asarray((x - self.curve_start) / self.curve_width)


def describe_pack(
    key: str,
    capacity_coulomb: ArrayLike,
    nominal_volts: ArrayLike,
    *,
    full_volts: ArrayLike | None = None,
    cutoff_volts: ArrayLike | None = None,
    resistance_ohm: ArrayLike | None = None,
    slow_current_a: ArrayLike | None = None,
    fast_capacity_coulomb: ArrayLike | None = None,
    fast_current_a: ArrayLike | None = None,
    cells_in_series: ArrayLike | None = None,
    nominal_is_label: bool | None = None,
    health: ArrayLike = 1.0,
    temperature_c: ArrayLike = 25.0,
) -> Pack:
    """Build a pack from what its label and sheet say; figures of any one shape make a batch.

    All figures are those of the whole pack, new, at 25 degC; `health` and `temperature_c` then
    lower the capacity and raise the resistance. What is left out comes from the chemistry.

    Parameters
    ----------
    key
        Chemistry: see `lightcalc.tables.chemistries.chemistry_keys`.
    capacity_coulomb, slow_current_a
        Charge at a slow rate [C], and the current it was measured at [A].
    nominal_volts
        Mean volts of that slow discharge, energy over charge [V].
    nominal_is_label
        True for a mere name, which is trusted little; False for a measured mean. When left out, a
        customary label of the chemistry, such as 3.7 V a cell, is taken for a name.
    full_volts, cutoff_volts
        Rested when fully charged, and at the end of a discharge [V].
    resistance_ohm
        At half charge: volts near zero rate less volts at 1 C, over the amps at 1 C [ohm].
    fast_capacity_coulomb, fast_current_a
        Charge to the same cut-off at a fast rate [C], and that current [A]; 1 C when left out.
        NaN in a batch means that it is not known.
    cells_in_series
        When left out, the nominal volts over those of one cell, rounded.
    health
        Share of the label's capacity left, above 0 up to 1 [-].
    temperature_c
        Of the cells [degC]; tables run from -20 to 45 degC and are held beyond.

    Raises
    ------
    BadInput
        An unknown chemistry, or figures no pack can have.

    Notes
    -----
    Lithium chemistries: see `pack_fit`. Against a full electrochemical model (DFN) of ten
    published cells, 0.05 C to 1 C at constant power, hours agree within 0.7 % for nine and
    within 2.5 % for one whose electrolyte runs short at 1 C. Valid up to about twice the fast
    current. The others follow Peukert's relation, see `rate`.

    Examples
    --------
    >>> pack = describe_pack("lithium-ion", 3600 * 5.0, 3.65, cutoff_volts=2.5)
    >>> float(pack.open_circuit_volts(0.0).round(3))
    4.2
    """
    kind = chemistry(key)
    stated = Stated(
        capacity_coulomb=capacity_coulomb,
        nominal_volts=nominal_volts,
        full_volts=full_volts,
        cutoff_volts=cutoff_volts,
        resistance_ohm=resistance_ohm,
        slow_current_a=slow_current_a,
        fast_capacity_coulomb=fast_capacity_coulomb,
        fast_current_a=fast_current_a,
        cells_in_series=cells_in_series,
        nominal_is_label=nominal_is_label,
    )
    new = _new_pack(kind, stated)
    return age_and_cool(
        key, new, np.asarray(health, dtype=float), np.asarray(temperature_c, dtype=float)
    )


def scale_pack(pack: Pack, *, series: float = 1.0, parallel: float = 1.0) -> Pack:
    """Pack of `series` times the volts and `parallel` times the charge, from the same cells.

    >>> one = describe_pack("nimh", 7200.0, 1.2)
    >>> four = scale_pack(one, series=2, parallel=2)
    >>> float(four.capacity_coulomb), float((four.ohms / one.ohms).round(6))
    (14400.0, 1.0)
    """
    return replace(
        pack,
        capacity_coulomb=pack.capacity_coulomb * parallel,
        slow_amps=pack.slow_amps * parallel,
        full_volts=pack.full_volts * series,
        cutoff_volts=pack.cutoff_volts * series,
        cells=pack.cells * series,
        ohms=pack.ohms * (series / parallel),
        ohms_new=pack.ohms_new * (series / parallel),
        lag_rise_s_per_a=pack.lag_rise_s_per_a / parallel,
    )


def stack_packs(packs: Sequence[Pack]) -> Pack:
    """One flat batch from several packs or batches, of any chemistries.

    >>> stack_packs([describe_pack("nimh", 7200, 1.2), describe_pack("alkaline", 9000, 1.5)]).shape
    (2,)
    """
    return Pack(
        *(
            np.concatenate([np.ravel(getattr(pack, field.name)) for pack in packs])
            for field in fields(Pack)
        )
    )


def _new_pack(kind: Chemistry, stated: Stated) -> Pack:
    figures, cells = cell_figures(kind, stated)
    found = fit(kind, figures)
    return Pack(
        capacity_coulomb=figures.capacity_coulomb,
        slow_amps=figures.slow_amps,
        full_volts=figures.full_volts * cells,
        cutoff_volts=figures.cutoff_volts * cells,
        cells=cells,
        curve=np.full(cells.shape, kind.row, dtype=np.intp),
        curve_start=found.start,
        curve_width=found.width,
        curve_shift_volts=found.shift_volts,
        ohms=found.ohms * cells,
        lag_s=found.lag_s,
        lag_rise_s_per_a=found.lag_rise_s_per_a,
        peukert=peukert_exponent(kind, figures),
        ohms_new=found.ohms * cells,
    )


def age_and_cool(key: str, pack: Pack, health: Floats, temperature_c: Floats) -> Pack:
    """Pack of a chemistry that was new and at 25 degC, with `health` of its charge, at a warmth.

    All of shapes that broadcast. Raises BadInput for a health outside 0 to 1.

    >>> new = describe_pack("nimh", 7200.0, 1.2)
    >>> float(age_and_cool("nimh", new, np.array(0.8), np.array(25.0)).capacity_coulomb)
    5760.0
    """
    kind = chemistry(key)
    if not np.all((health > 0) & (health <= 1)):
        sentence = "found a share outside 0 to 1; write the share of the label's charge left."
        raise BadInput([Problem("", "health", sentence)])
    left = health * np.interp(temperature_c, kind.temperature_c, kind.capacity_share)
    factor = np.interp(temperature_c, kind.temperature_c, kind.resistance_factor)
    rise = 1.0 + kind.resistance_rise_at_80 * (1.0 - health) / 0.2
    changed = replace(
        pack,
        capacity_coulomb=pack.capacity_coulomb * left,
        slow_amps=pack.slow_amps * left,
        ohms=pack.ohms * rise * factor,
        lag_s=pack.lag_s * factor,
        lag_rise_s_per_a=pack.lag_rise_s_per_a * factor,
    )
    arrays = np.broadcast_arrays(*(getattr(changed, field.name) for field in fields(Pack)))
    return Pack(*(np.array(array) for array in arrays))
