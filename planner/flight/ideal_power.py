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
# Four rotors side by side, each as wide as their motors are apart, have twice the area of the circle through
# the motors; other numbers of rotors have less. So much wider is the circle of the same area.
MOTOR_TO_MOTOR: Final = math.sqrt(2.0)
# Own choices, on the generous side (from memory): see `least_power_w`.
BEST_GLIDE: Final = 60.0
_BLADES: Final = 0.25
_BEST_DRIVE: Final = 0.9
_BEST_WING_DRIVE: Final = 0.8


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


def least_power_w(
    mass_kg: float, largest_dimension_m: float, air_speed_mps: float | None, *, winged: bool
) -> float:
    """Return the power below which nothing flies level [W]; airspeed None: at whatever speed takes least.

    The ideal disc as wide as the aircraft; besides, what no craft that is built does without. A rotorcraft
    drags its blades through the air at any speed: a quarter of the ideal hover at the least (the best figure
    of merit is 0.8, from memory). Four rotors that don't touch, measured from motor to motor, have twice the
    disc of that circle. A wing glides no better than 1 in 60 (from memory: the best sailplanes). Motor and
    regulator give 0.9 of what they take, the propeller of a wing with them 0.8 (own choices, generous).
    """
    if winged:
        if air_speed_mps is None:
            return 0.0
        glide_w = mass_kg * GRAVITY_MPS2 * air_speed_mps / BEST_GLIDE / _BEST_WING_DRIVE
        return max(ideal_power_w(mass_kg, largest_dimension_m, air_speed_mps), glide_w)
    wide_m = largest_dimension_m * MOTOR_TO_MOTOR
    blades_w = _BLADES * ideal_power_w(mass_kg, wide_m)
    if air_speed_mps is None:
        return blades_w / _BEST_DRIVE
    driven_w = (ideal_power_w(mass_kg, wide_m, air_speed_mps) + blades_w) / _BEST_DRIVE
    return max(ideal_power_w(mass_kg, largest_dimension_m, air_speed_mps), driven_w)
