"""Free space loss, Fresnel zones, link budget, radiated power.

Sources: ITU-R P.525-5 (loss), ITU-R P.526 section 2 and eq. 3 (Fresnel
ellipsoid); standing B.
"""

import math
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Length = TypeVar("Length", float, NDArray[np.float64])

LIGHT_MPS: Final = 299_792_458.0
# Nearer than this the far field's formula says nothing; the loss is held there.
_NEAREST_M: Final = 1.0


def wavelength_m(frequency_mhz: float) -> float:
    """Return the wavelength in free space [m]."""
    return LIGHT_MPS / (frequency_mhz * 1e6)


def free_space_loss_db(frequency_mhz: float, distance_m: Length) -> Length:
    """Return 32.4 + 20 log f + 20 log d, f in MHz and d in km [dB] (ITU-R P.525)."""
    distance_km = np.maximum(distance_m, _NEAREST_M) / 1_000
    return 32.4 + 20 * math.log10(frequency_mhz) + 20 * np.log10(distance_km)  # type: ignore[no-any-return]


def fresnel_radius_m(frequency_mhz: float, near_m: Length, far_m: Length, zone: int = 1) -> Length:
    """Return the radius of a Fresnel ellipsoid so far from both ends [m] (ITU-R P.526 eq. 2)."""
    square = zone * wavelength_m(frequency_mhz) * near_m * far_m / (near_m + far_m)
    return np.sqrt(square)  # type: ignore[no-any-return]


def received_dbm(power_dbm: float, gains_dbi: float, loss_db: Length) -> Length:
    """Return the received power [dBm]."""
    return power_dbm + gains_dbi - loss_db


def dbm_of_mw(power_mw: float) -> float:
    """Return a power in decibels over a milliwatt."""
    return 10 * math.log10(power_mw)


def mw_of_dbm(power_dbm: float) -> float:
    """Return a power in milliwatts."""
    return float(10 ** (power_dbm / 10))


def radiated_mw_of_field(field_mv_per_m: float, distance_m: float = 3.0) -> float:
    """Return the equivalent isotropically radiated power [mW] of a field strength: (E d)^2 / 30."""
    return (field_mv_per_m / 1_000 * distance_m) ** 2 / 30 * 1_000
