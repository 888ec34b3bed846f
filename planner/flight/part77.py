"""Surfaces about airports: indicators of where other aircraft are low.

Source: 14 CFR part 77 (77.9, 77.17, 77.19, 77.23). The part speaks of
construction and objects, not of aircraft in flight; here it only tells where
to look out. Lengths in the rule are feet; here metres. Standing A, but (d) B
and 77.23 B and C.
"""

from enum import StrEnum
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.units import FOOT_M, NAUTICAL_MILE_M

Floats = NDArray[np.float64]

HORIZONTAL_M: Final = 150 * FOOT_M
_CONICAL_SLOPE: Final = 1 / 20
_CONICAL_M: Final = 4_000 * FOOT_M
_TRANSITION_SLOPE: Final = 1 / 7
TRANSITION_BEYOND_M: Final = 5_000 * FOOT_M
"""So far beside a precision approach its transitional surface reaches beyond the conical one."""
PRIMARY_BEYOND_M: Final = 200 * FOOT_M
_NOTICE_AGL_M: Final = 200 * FOOT_M
_HIGHEST_OBJECT_M: Final = 499 * FOOT_M


class Approach(StrEnum):
    """Kinds of runway ends, by what is flown to them."""

    UTILITY_VISUAL = "utility, visual"
    UTILITY_NONPRECISION = "utility, non-precision"
    VISUAL = "visual"
    NONPRECISION_FAR = "non-precision, visibility above 3/4 mile"
    NONPRECISION_LOW = "non-precision, visibility down to 3/4 mile"
    PRECISION = "precision"


@attrs.frozen
class ApproachSurface:
    """An approach surface [m]: widths at both ends, pieces of (slope, length).

    `horizontal_radius_m` is the radius of the horizontal surface's arcs.
    """

    inner_width_m: float
    outer_width_m: float
    pieces: tuple[tuple[float, float], ...]
    horizontal_radius_m: float

    def height_m(self, out_m: Floats | float) -> Floats:
        """Return the height over the runway end so far out from the primary surface, NaN beyond."""
        ends_m = np.cumsum([0.0, *(length for _, length in self.pieces)])
        heights_m = np.cumsum([0.0, *(slope * length for slope, length in self.pieces)])
        return np.asarray(np.interp(out_m, ends_m, heights_m, left=np.nan, right=np.nan))

    @property
    def length_m(self) -> float:
        """How far the surface reaches [m]."""
        return sum(length for _, length in self.pieces)

    def half_width_m(self, out_m: Floats | float) -> Floats:
        """Return half the surface's width so far out [m]."""
        share = np.asarray(out_m) / self.length_m
        return np.asarray((self.inner_width_m + (self.outer_width_m - self.inner_width_m) * share) / 2)


def _surface(
    widths_ft: tuple[float, float], pieces_ft: tuple[tuple[float, float], ...], radius_ft: float
) -> ApproachSurface:
    return ApproachSurface(
        widths_ft[0] * FOOT_M,
        widths_ft[1] * FOOT_M,
        tuple((1 / run, length * FOOT_M) for run, length in pieces_ft),
        radius_ft * FOOT_M,
    )


APPROACHES: Final = {
    Approach.UTILITY_VISUAL: _surface((250, 1_250), ((20, 5_000),), 5_000),
    Approach.UTILITY_NONPRECISION: _surface((500, 2_000), ((20, 5_000),), 5_000),
    Approach.VISUAL: _surface((500, 1_500), ((20, 5_000),), 5_000),
    Approach.NONPRECISION_FAR: _surface((500, 3_500), ((34, 10_000),), 10_000),
    Approach.NONPRECISION_LOW: _surface((1_000, 4_000), ((34, 10_000),), 10_000),
    Approach.PRECISION: _surface((1_000, 16_000), ((50, 10_000), (40, 40_000)), 10_000),
}


def conical_m(beyond_m: Floats | float) -> Floats:
    """Return the conical surface's height over the horizontal one so far beyond its edge, NaN beyond it."""
    return _up(beyond_m, _CONICAL_SLOPE, _CONICAL_M)


def conical_top_m() -> float:
    """Return the outer edge of the conical surface over the airport [m]."""
    return HORIZONTAL_M + _CONICAL_SLOPE * _CONICAL_M


def transitional_m(aside_m: float) -> float:
    """Return the transitional surface's height so far to the side of the primary or approach surface [m]."""
    return _TRANSITION_SLOPE * aside_m


def heliport_approach_m(out_m: Floats | float, *, military: bool = False) -> Floats:
    """Return a heliport's approach surface so far out [m], NaN beyond its 4,000 ft."""
    return _up(out_m, 1 / 10 if military else 1 / 8, 4_000 * FOOT_M)


def heliport_transitional_m(from_centreline_m: float) -> float | None:
    """Return a heliport's transitional surface so far from its centre line [m], None beyond 250 ft."""
    return from_centreline_m / 2 if 0 <= from_centreline_m <= 250 * FOOT_M else None


def notice_height_m(away_m: float, longest_runway_m: float | None) -> float:
    """Return the height above which construction needs notice so far from an airport [m above it].

    Longest runway above 3,200 ft: 100:1 to 20,000 ft; up to it: 50:1 to
    10,000 ft; None for a heliport: 25:1 to 5,000 ft. Beyond: 200 ft AGL.
    """
    if longest_runway_m is None:
        run, reach_m = 25, 5_000 * FOOT_M
    elif longest_runway_m > 3_200 * FOOT_M:
        run, reach_m = 100, 20_000 * FOOT_M
    else:
        run, reach_m = 50, 10_000 * FOOT_M
    return away_m / run if away_m <= reach_m else _NOTICE_AGL_M


def _up(out_m: Floats | float, slope: float, length_m: float) -> Floats:
    out_m = np.asarray(out_m)
    return np.where((out_m >= 0) & (out_m <= length_m), slope * out_m, np.nan)


def object_height_m(from_reference_point_m: float) -> float:
    """Return the height of an object that counts as an obstruction [m AGL] (77.17).

    200 ft within 3 nautical miles of the reference point, 100 ft more for
    every mile beyond, at most 499 ft.
    """
    beyond_nm = max(from_reference_point_m / NAUTICAL_MILE_M - 3, 0.0)
    return min((200 + 100 * beyond_nm) * FOOT_M, _HIGHEST_OBJECT_M)
