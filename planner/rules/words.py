"""Figures inside messages: feet first, rounded so that they never flatter."""

import math

from planner.units import ft_from_m
from planner.world.terrain import Terrain

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


def capitalised(words: str) -> str:
    """Return words with a capital at the beginning."""
    return f"{words[:1].upper()}{words[1:]}"


def error_words(terrain: Terrain) -> str:
    """Return '7 ft (2 m, as it states)' of a terrain's vertical error."""
    stands = "assumed, it states none" if terrain.uncertainty_assumed else "as it states"
    return f"{over_ft(terrain.vertical_uncertainty_m)} ({terrain.vertical_uncertainty_m:.2g} m, {stands})"
