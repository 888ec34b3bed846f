"""What the figures of an aircraft and its flight can be at all.

All of it is own choice, wide enough for every aircraft, pack and radio on the market: what lies outside is a
slip of unit or digit (grams for kilograms, watts for milliwatts, ampere-hours for milliampere-hours). What
lies within and is absurd for *this* aircraft is a finding of `planner.rules.absurd`.
"""

from typing import Final

import attrs


@attrs.frozen
class Bounds:
    """The least and the most, both included, in a unit."""

    low: float
    high: float
    unit: str


WEIGHT: Final = Bounds(0.005, 250.0, "kg")
SIZE: Final = Bounds(0.02, 20.0, "m")
LIGHT_RANGE: Final = Bounds(1.0, 100_000.0, "m")
READOUT_ERROR: Final = Bounds(0.0, 500.0, "m")
CELLS: Final = Bounds(1, 30, "cells")
"""30 cells in series have more than 100 V."""
CAPACITY: Final = Bounds(20.0, 200_000.0, "mAh")
RESISTANCE: Final = Bounds(0.05, 1_000.0, "mOhm")
MOTOR_POWER: Final = Bounds(0.5, 100_000.0, "W")
SPEED: Final = Bounds(0.1, 150.0, "m/s")
DRAG_AREA: Final = Bounds(0.0, 10.0, "m2")
MEASURED_TIME: Final = Bounds(30.0, 86_400.0, "s")
MEASURED_CHARGE: Final = Bounds(5.0, 200_000.0, "mAh")
FREQUENCY: Final = Bounds(20.0, 100_000.0, "MHz")
"""From the lowest bands of model radio (27 MHz) to beyond the highest that carry a picture (60 GHz)."""
CHANNEL_WIDTH: Final = Bounds(0.1, 200.0, "MHz")
"""From a narrow control link to the widest that carries a picture (160 MHz)."""
RADIO_POWER: Final = Bounds(0.1, 20_000.0, "mW")
"""From half a milliwatt, what 47 CFR 15.249 lets radiate, to more than an aircraft of this kind feeds."""
GAIN: Final = Bounds(-30.0, 40.0, "dBi")
SENSITIVITY: Final = Bounds(-160.0, 0.0, "dBm")
MARGIN: Final = Bounds(0.0, 100.0, "dB")
ANTENNA_HEIGHT: Final = Bounds(0.0, 200.0, "m")
DELAY: Final = Bounds(0.0, 600.0, "s")
CLEARANCE: Final = Bounds(0.0, 1_000.0, "m")
VISIBILITY: Final = Bounds(1.0, 300_000.0, "m")
"""Air without a speck of dust lets nobody see farther than some 300 km: it scatters light (from memory)."""
TRIED_RANGE: Final = Bounds(1.0, 20_000.0, "m")
WIND_HEIGHT: Final = Bounds(1.0, 200.0, "m")
"""Lower the laws of wind by height say nothing, higher nobody holds a meter."""
