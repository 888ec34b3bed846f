"""Figures inside messages, rounded so that they never flatter; a finding keeps what they stand for."""

from planner.saying import Kind, Quantity
from planner.world.terrain import Terrain


def over_ft(metres: float) -> str:
    """Return an excess or an uncertainty in whole feet, rounded up."""
    return Quantity(Kind.PLANNED, metres)


def room_ft(metres: float) -> str:
    """Room or a limit in whole feet, rounded down."""
    return Quantity(Kind.LIMIT, metres)


def along(metres: float) -> str:
    """Return a distance along the path."""
    return Quantity(Kind.WAY, metres)


def capitalised(words: str) -> str:
    """Return words with a capital at the beginning."""
    return f"{words[:1].upper()}{words[1:]}"


def error_words(terrain: Terrain) -> str:
    """Return '7 ft (2 m, as it states)' of a terrain's vertical error."""
    stands = "assumed, it states none" if terrain.uncertainty_assumed else "as it states"
    return f"{over_ft(terrain.vertical_uncertainty_m)} ({terrain.vertical_uncertainty_m:.2g} m, {stands})"
