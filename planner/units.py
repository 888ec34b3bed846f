"""Exact conversion factors between SI and the units of the trade.

Inside the program lengths, speeds and weights are SI and carry their unit in
the name. The functions here are the only doors to feet, miles, knots and
pounds. Sources: international yard and pound agreement of 1959 (foot, statute
mile, pound: exact), International Hydrographic Organization 1929 (nautical
mile: exact).
"""

from typing import Final

FOOT_M: Final = 0.3048
STATUTE_MILE_M: Final = 1609.344
NAUTICAL_MILE_M: Final = 1852.0
POUND_KG: Final = 0.45359237
HOUR_S: Final = 3600.0
KNOT_MPS: Final = NAUTICAL_MILE_M / HOUR_S
MPH_MPS: Final = STATUTE_MILE_M / HOUR_S
FOOT_POUND_FORCE_J: Final = 1.3558179483314004

GROUND_LIMIT_M: Final = 400 * FOOT_M
STRUCTURE_RADIUS_M: Final = 400 * FOOT_M
STRUCTURE_ALLOWANCE_M: Final = 400 * FOOT_M

SINGLE_M: Final = 3e-4
"""So far off a height may be that was kept in single precision, as terrain is, or, up to 4,096 m, two of them
together: half a spacing of such numbers is 0.12 mm up to there, 0.24 mm up to 8,192 m (IEEE 754)."""

STADIUM_RADIUS_M: Final = 3 * NAUTICAL_MILE_M
STADIUM_LEAST_SEATS: Final = 30_000
STADIUM_TOP_M: Final = 3000 * FOOT_M
STADIUM_MARGIN_S: Final = HOUR_S


def m_from_ft(feet: float) -> float:
    """Length [m] of a length in international feet."""
    return feet * FOOT_M


def ft_from_m(metres: float) -> float:
    """Length [ft] of a length in metres."""
    return metres / FOOT_M


def kg_from_lb(pounds: float) -> float:
    """Mass [kg] of a mass in avoirdupois pounds."""
    return pounds * POUND_KG


def lb_from_kg(kilograms: float) -> float:
    """Mass [lb] of a mass in kilograms."""
    return kilograms / POUND_KG


def mps_from_kt(knots: float) -> float:
    """Speed [m/s] of a speed in knots."""
    return knots * KNOT_MPS


def kt_from_mps(metres_per_second: float) -> float:
    """Speed [kt] of a speed in metres per second."""
    return metres_per_second / KNOT_MPS


def mph_from_mps(metres_per_second: float) -> float:
    """Speed [mph] of a speed in metres per second."""
    return metres_per_second / MPH_MPS
