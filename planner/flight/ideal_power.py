"""The least power that holds a weight up: momentum theory of an ideal rotor, no losses.

Source: the actuator disc of helicopter textbooks (Rankine and Froude in the hover, Glauert in level flight).
All rotors of an aircraft lie within a circle as wide as its largest dimension, so they move no more air than
one disc of that circle: a true lower bound, whatever number of rotors; a wing of that span needs no less.
"""

import math
from typing import Final

from planner.world.weather.atmosphere import GRAVITY_MPS2

# Denser air is met by nobody who flies: -30 degrees C at 1,050 hPa; a bound for any weather.
DENSEST_KG_M3: Final = 1.5


def ideal_power_w(
    mass_kg: float,
    largest_dimension_m: float,
    air_speed_mps: float = 0.0,
    density_kg_m3: float = DENSEST_KG_M3,
) -> float:
    """Return the power that an ideal disc takes to carry a mass level at an airspeed [W].

    In the hover the air goes down through the disc at v, v^2 = T / (2 rho A);
    at speed V at w, w^2 (V^2 + w^2) = v^4. The power is T w.
    """
    thrust_n = mass_kg * GRAVITY_MPS2
    area_m2 = math.pi * largest_dimension_m**2 / 4
    hover_square = thrust_n / (2 * density_kg_m3 * area_m2)
    # Solved for w^2 in the form that loses no digits where V is large.
    half = air_speed_mps**2 / 2
    return thrust_n * math.sqrt(hover_square**2 / (half + math.hypot(half, hover_square)))
