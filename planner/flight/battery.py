"""What a battery holds: cold, rest and load by chemistry.

All figures are rules of thumb (check values section 9, from memory; common
practice), editable by the pilot. Packs differ, and age.
"""

import re
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.aircraft import Battery

Floats = NDArray[np.float64]


# However cold, a pack is reckoned with as not quite empty: nothing can be a share of nothing.
_LEAST_SHARE: Final = 0.01


class Chemistry(StrEnum):
    """Kinds of cells that behave apart."""

    LIPO = "lithium polymer"
    LIHV = "high-voltage lithium polymer"
    LIION = "lithium ion"


@attrs.frozen
class CellModel:
    """A cell by chemistry; voltages [V].

    Parameters
    ----------
    nominal_v, full_v : by which capacity is turned into energy, and charged.
    land_loaded_v : under load, to be on the ground by.
    lowest_v : never to go below.
    rest_v : voltage at rest at full, 90 %, ... empty, evenly spaced.
    cold_c, cold_share : temperatures and the share of capacity left at each;
        straight between, held beyond.
    resistance_ohm_ah : resistance of a cell of 1 Ah; it falls with capacity.
    """

    nominal_v: float
    full_v: float
    land_loaded_v: float
    lowest_v: float
    rest_v: tuple[float, ...]
    cold_c: tuple[float, ...]
    cold_share: tuple[float, ...]
    resistance_ohm_ah: float

    def share_at(self, temperature_c: float | None) -> float:
        """Return the share of capacity that is left at a cell's temperature; 1 where unknown."""
        if temperature_c is None:
            return 1.0
        return float(np.interp(temperature_c, self.cold_c, self.cold_share))

    def with_share_at_0_c(self, share: float | None) -> "CellModel":
        """Return the model for a pack that gives another share of its capacity at 0 degrees C.

        What cold takes at any temperature grows or shrinks as it does there.
        """
        if share is None:
            return self
        scale = (1.0 - share) / (1.0 - self.share_at(0.0))
        return attrs.evolve(
            self, cold_share=tuple(max(1.0 - (1.0 - one) * scale, _LEAST_SHARE) for one in self.cold_share)
        )

    def at_rest_v(self, charge_fraction: Floats) -> Floats:
        """Return the voltage of a cell at rest at shares of its charge."""
        points = np.linspace(1.0, 0.0, len(self.rest_v))
        return np.asarray(np.interp(charge_fraction, points[::-1], self.rest_v[::-1]))


CELLS: Final[Mapping[Chemistry, CellModel]] = {
    Chemistry.LIPO: CellModel(
        nominal_v=3.7,
        full_v=4.20,
        land_loaded_v=3.5,
        lowest_v=3.0,
        rest_v=(4.20, 4.06, 3.97, 3.91, 3.85, 3.82, 3.79, 3.77, 3.73, 3.68, 3.30),
        cold_c=(-20.0, -10.0, 0.0, 10.0, 20.0),
        cold_share=(0.50, 0.68, 0.82, 0.93, 1.0),
        resistance_ohm_ah=0.012,
    ),
    Chemistry.LIHV: CellModel(
        nominal_v=3.8,
        full_v=4.35,
        land_loaded_v=3.5,
        lowest_v=3.0,
        rest_v=(4.35, 4.20, 4.09, 4.00, 3.93, 3.88, 3.84, 3.80, 3.76, 3.69, 3.30),
        cold_c=(-20.0, -10.0, 0.0, 10.0, 20.0),
        cold_share=(0.45, 0.64, 0.80, 0.92, 1.0),
        resistance_ohm_ah=0.012,
    ),
    Chemistry.LIION: CellModel(
        nominal_v=3.6,
        full_v=4.20,
        land_loaded_v=3.0,
        lowest_v=2.5,
        rest_v=(4.20, 4.07, 3.97, 3.87, 3.77, 3.67, 3.59, 3.52, 3.44, 3.30, 2.80),
        cold_c=(-20.0, -10.0, 0.0, 10.0, 20.0),
        cold_share=(0.60, 0.75, 0.86, 0.94, 1.0),
        resistance_ohm_ah=0.060,
    ),
}

_NAMES: Final[Mapping[str, Chemistry]] = {
    "lipo": Chemistry.LIPO,
    "lithiumpolymer": Chemistry.LIPO,
    "lihv": Chemistry.LIHV,
    "lipohv": Chemistry.LIHV,
    "hvlipo": Chemistry.LIHV,
    "highvoltagelithiumpolymer": Chemistry.LIHV,
    "liion": Chemistry.LIION,
    "lithiumion": Chemistry.LIION,
}


_HIGH_VOLTAGE: Final = ("hv", "highvoltage")
_OF_OTHERS: Final = frozenset(
    {"ion", "po", "poly", "polymer", "fe", "fepo", "iron", "phosphate", "lfp", "titanate", "lto", "sodium"}
    | {"solid", "no", "not", "non", "without"}
)
"""Words behind a kind that say another one, or take back what they stand before."""


def chemistry_of(name: str) -> Chemistry | None:
    """Return the chemistry that a pilot's word means, None if it is not known.

    What follows the kind (a size of cell, a make) is no matter, unless it says another kind.
    """
    words = re.findall(r"[a-z]+|[0-9]+", name.casefold())
    for k in range(len(words), 0, -1):
        found = _NAMES.get("".join(words[:k]))
        if found is not None:
            return _further(found, words[k:])
    return None


def _further(found: Chemistry, words: Sequence[str]) -> Chemistry | None:
    together = "".join(words)
    if any(word in _OF_OTHERS for word in words) or any(one in together for one in _NAMES):
        return None
    if any(word in together for word in _HIGH_VOLTAGE):
        return None if found is Chemistry.LIION else Chemistry.LIHV
    return found


@attrs.frozen
class Pack:
    """A battery pack in use.

    Parameters
    ----------
    cells : in series.
    capacity_mah : as printed on it.
    usable_mah : what it gives at its temperature.
    resistance_ohm : of one cell.
    resistance_assumed : whether that is a rule of thumb.
    """

    cells: int
    capacity_mah: float
    usable_mah: float
    model: CellModel
    resistance_ohm: float
    resistance_assumed: bool

    @classmethod
    def of(
        cls, battery: Battery, temperature_c: float | None = None, model: CellModel | None = None
    ) -> "Pack | None":
        """Return the pack of a battery, None if its chemistry is not known and no model is given."""
        chemistry = chemistry_of(battery.chemistry)
        model = model or (CELLS[chemistry] if chemistry else None)
        if model is None:
            return None
        model = model.with_share_at_0_c(battery.share_at_0_c)
        stated = battery.cell_resistance_mohm
        ohm = model.resistance_ohm_ah / (battery.capacity_mah / 1_000) if stated is None else stated / 1_000
        usable_mah = battery.capacity_mah * model.share_at(temperature_c)
        return cls(battery.cells, battery.capacity_mah, usable_mah, model, ohm, stated is None)

    @property
    def nominal_v(self) -> float:
        """Nominal voltage of the whole pack [V]."""
        return self.cells * self.model.nominal_v

    @property
    def full_v(self) -> float:
        """Voltage of the whole pack, charged and at rest [V]."""
        return self.cells * self.model.full_v

    @property
    def energy_wh(self) -> float:
        """Energy as printed: capacity times nominal voltage [Wh]."""
        return self.capacity_mah / 1_000 * self.nominal_v

    @property
    def usable_wh(self) -> float:
        """Energy that it gives at its temperature [Wh]."""
        return self.usable_mah / 1_000 * self.nominal_v

    def mah_of(self, energy_wh: Floats) -> Floats:
        """Return charge [mAh] of energies [Wh], at the nominal voltage."""
        return np.asarray(energy_wh / self.nominal_v * 1_000)

    def loaded_cell_v(self, charge_fraction: Floats, power_w: Floats) -> Floats:
        """Return the voltage of a cell under load [V].

        Current flows at the loaded voltage: v = rest - r p / v, solved for v;
        NaN where the cell can't give that power.
        """
        rest = self.model.at_rest_v(charge_fraction)
        drop = self.resistance_ohm * power_w / self.cells
        with np.errstate(invalid="ignore"):
            return np.asarray((rest + np.sqrt(rest**2 - 4 * drop)) / 2)
