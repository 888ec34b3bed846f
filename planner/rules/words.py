"""Figures inside messages: feet first, rounded so that they never flatter."""

import math

from planner.units import ft_from_m

_TINY = 1e-6


def over_ft(metres: float) -> str:
    """Return an excess or an uncertainty in whole feet, rounded up."""
    return f"{math.ceil(ft_from_m(metres) - _TINY):,} ft"


def room_ft(metres: float) -> str:
    """Room or a limit in whole feet, rounded down."""
    return f"{math.floor(ft_from_m(metres) + _TINY):,} ft"


def along(metres: float) -> str:
    """Return a distance along the path."""
    return f"{metres:,.0f} m" if metres < 1000 else f"{metres / 1000:,.2f} km"
