"""How far a failed aircraft falls, how hard, and how much room that wants.

Sources: ballistics (computed; check values 8.2, 8.3, 8.5, 8.6); EU and UK
guidance for the 1:1 rule (8.1); JARUS SORA 2.5 Annex A and an authority's
guideline for the sizing (8.4, from memory; guidance, no law of the United
States). Kinetic energy is a screening only: 14 CFR 107.120 and 107.130 speak
of injury, equal to that of a rigid object's transfer, not of energy.
"""

import math
from typing import Final, TypeVar

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.world.weather.atmosphere import GRAVITY_MPS2

Number = TypeVar("Number", float, NDArray[np.float64])

_SATELLITE_ERROR_M: Final = 3.0
_POSITION_ERROR_M: Final = 3.0
_MAP_ERROR_M: Final = 1.0
PLACE_ERROR_M: Final = _SATELLITE_ERROR_M + _POSITION_ERROR_M + _MAP_ERROR_M
"""How far from the place that is set an aircraft may be that holds it by satellites [m]."""
_BAROMETER_ERROR_M: Final = 1.0
_SATELLITE_HEIGHT_ERROR_M: Final = 4.0


def fall_time_s(height_m: Number) -> Number:
    """Return the time of a fall without drag [s]."""
    return np.sqrt(2 * np.maximum(height_m, 0.0) / GRAVITY_MPS2)  # type: ignore[no-any-return]


def thrown_time_s(height_m: Number, climb_mps: Number) -> Number:
    """Return the time of a fall that begins with a climb [s]; a sink is not counted on."""
    up_mps = np.maximum(climb_mps, 0.0)
    root = np.sqrt(up_mps**2 + 2 * GRAVITY_MPS2 * np.maximum(height_m, 0.0))
    return (up_mps + root) / GRAVITY_MPS2  # type: ignore[no-any-return]


def ballistic_reach_m(height_m: Number, speed_mps: Number) -> Number:
    """Return how far a body thrown level comes, without drag [m]: v sqrt(2 h / g)."""
    return speed_mps * fall_time_s(height_m)


def one_to_one_holds_below_mps(height_m: Number) -> Number:
    """Return the speed above which a body comes farther than its height: sqrt(g h / 2) [m/s]."""
    return np.sqrt(GRAVITY_MPS2 * np.maximum(height_m, 0.0) / 2)  # type: ignore[no-any-return]


def separation_m(height_m: Number, speed_mps: Number) -> Number:
    """Return the distance from uninvolved people [m]: the height, or the ballistic reach if more."""
    return np.maximum(height_m, ballistic_reach_m(height_m, speed_mps))  # type: ignore[no-any-return]


def terminal_speed_mps(mass_kg: float, drag_area_m2: float, density_kg_m3: float = 1.225) -> float:
    """Return the speed at which drag carries the weight [m/s]."""
    return math.sqrt(2 * mass_kg * GRAVITY_MPS2 / (density_kg_m3 * drag_area_m2))


def kinetic_energy_j(mass_kg: float, speed_mps: float) -> float:
    """Return the kinetic energy [J]."""
    return mass_kg * speed_mps**2 / 2


def speed_of_energy_mps(mass_kg: float, energy_j: float) -> float:
    """Return the speed at which a mass has an energy [m/s]."""
    return math.sqrt(2 * energy_j / mass_kg)


def drop_height_of_energy_m(mass_kg: float, energy_j: float) -> float:
    """Return from how high a mass falls to gain an energy, without drag [m]."""
    return energy_j / (mass_kg * GRAVITY_MPS2)


@attrs.frozen
class Volumes:
    """Room around a flight [m]: contingency volume, its top, and ground risk buffers.

    `buffer_m` is the smaller of both; it is not always the safer one, so
    both are to be shown.
    """

    manoeuvre_m: float
    contingency_m: float
    contingency_top_m: float
    buffer_ballistic_m: float
    buffer_one_to_one_m: float

    @property
    def buffer_m(self) -> float:
        """The buffer that the guidance asks for [m]."""
        return min(self.buffer_ballistic_m, self.buffer_one_to_one_m)


@attrs.frozen
class SizingCase:
    """What the sizing rests on.

    `bank_deg` is the angle of the stopping manoeuvre; `climb_mps` the rate of
    climb of a rotorcraft, None: 0.7 of its speed.
    """

    speed_mps: float
    flight_top_m: float
    largest_dimension_m: float
    reaction_s: float = 1.0
    bank_deg: float = 45.0
    climb_mps: float | None = None
    height_from_satellite: bool = False


def volumes(case: SizingCase) -> Volumes:
    """Return contingency volume and ground risk buffer of a flight at a height."""
    manoeuvre_m = case.speed_mps**2 / (2 * GRAVITY_MPS2 * math.tan(math.radians(case.bank_deg)))
    reaction_m = case.speed_mps * case.reaction_s
    contingency_m = PLACE_ERROR_M + reaction_m + manoeuvre_m
    error_m = _SATELLITE_HEIGHT_ERROR_M if case.height_from_satellite else _BAROMETER_ERROR_M
    climb_mps = 0.7 * case.speed_mps if case.climb_mps is None else case.climb_mps
    up_m = climb_mps * case.reaction_s + case.speed_mps**2 / (2 * GRAVITY_MPS2)
    top_m = case.flight_top_m + error_m + up_m
    half_m = case.largest_dimension_m / 2
    return Volumes(
        manoeuvre_m=manoeuvre_m,
        contingency_m=contingency_m,
        contingency_top_m=top_m,
        buffer_ballistic_m=float(ballistic_reach_m(top_m, case.speed_mps)) + half_m,
        buffer_one_to_one_m=top_m + half_m,
    )
