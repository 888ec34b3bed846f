"""Loss behind edges: a single knife edge, and terrain of many.

Sources: ITU-R P.526 section 4.1 (single knife edge, eq. 26 and 31) and the
Bullington construction of its general method for a terrestrial path, as in
ITU-R P.1812 and P.452. The spherical-earth part of that method is left out:
it matters beyond the distances of these flights. Standing B (agreeing public
code).
"""

from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Number = TypeVar("Number", float, NDArray[np.float64])

# Median effective radius of the earth for radio: 4/3 of the true one.
EFFECTIVE_RADIUS_M: Final = 8_500_000.0
NO_LOSS_BELOW: Final = -0.78


def edge_parameter(height_m: Number, near_m: Number, far_m: Number, wavelength_m: float) -> Number:
    """Return v of an edge so far above the straight line between both ends."""
    return height_m * np.sqrt(2 / wavelength_m * (1 / near_m + 1 / far_m))  # type: ignore[no-any-return]


def knife_edge_loss_db(v: Floats) -> Floats:
    """Return J(v) [dB], 0 up to v = -0.78."""
    with np.errstate(invalid="ignore"):
        over = np.where(v > NO_LOSS_BELOW, v, 0.0) - 0.1
        loss = 6.9 + 20 * np.log10(np.sqrt(over**2 + 1) + over)
        loss = np.where(v > NO_LOSS_BELOW, loss, 0.0)
    return np.where(np.isnan(v), np.nan, loss)


def bullington_v(
    rise_hub_m: Floats, rise_end_m: Floats, greatest_m: Floats, flat_m: Floats, wavelength_m: float
) -> Floats:
    """Return v of the edge that stands for all edges of a path, arrays (n,).

    With h the height of the ground above the straight line at share t of the
    way, earth's bulge included:

    Parameters
    ----------
    rise_hub_m : greatest h / t, which is the steepest slope from the hub.
    rise_end_m : greatest h / (1 - t), the steepest from the far end.
    greatest_m : greatest h / sqrt(t (1 - t)), which belongs to the greatest v.
    flat_m : length of the path.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        scale = np.sqrt(2 / (wavelength_m * flat_m))
        # The two steepest lines meet above the path at this share of it.
        meet = rise_end_m / (rise_hub_m + rise_end_m)
        hidden = rise_hub_m * np.sqrt(meet / (1 - meet)) * scale
        return np.where(rise_hub_m <= 0.0, greatest_m * scale, hidden)


def terrain_loss_db(v: Floats, flat_m: Floats) -> Floats:
    """Return the loss over terrain [dB]: J of the edge that stands for all, and the correction for many."""
    single = knife_edge_loss_db(v)
    return np.asarray(single + (1 - np.exp(-single / 6)) * (10 + 0.02 * flat_m / 1_000))
