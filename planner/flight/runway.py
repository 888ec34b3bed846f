"""A runway with its extended centre line and the surfaces about it."""

import math

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.part77 import (
    APPROACHES,
    HORIZONTAL_M,
    PRIMARY_BEYOND_M,
    TRANSITION_BEYOND_M,
    Approach,
    ApproachSurface,
    conical_m,
    transitional_m,
)

Floats = NDArray[np.float64]


@attrs.frozen
class RunwayEnd:
    """One end: plane position [m], elevation [m AMSL] and the approach flown to it.

    `ident` is its number, as painted.
    """

    ident: str
    x_m: float
    y_m: float
    elevation_amsl_m: float
    approach: Approach = Approach.VISUAL


@attrs.frozen
class Runway:
    """A runway of an airport of established elevation [m AMSL]."""

    ends: tuple[RunwayEnd, RunwayEnd]
    airport_amsl_m: float

    @property
    def length_m(self) -> float:
        """Distance of the ends [m]."""
        return math.hypot(self.ends[1].x_m - self.ends[0].x_m, self.ends[1].y_m - self.ends[0].y_m)

    @property
    def surfaces(self) -> tuple[ApproachSurface, ApproachSurface]:
        """Approach surfaces of both ends."""
        return APPROACHES[self.ends[0].approach], APPROACHES[self.ends[1].approach]

    def along_and_aside(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return places by the runway [m]: along it from its first end, and distance aside."""
        first, last = self.ends
        east, north = (last.x_m - first.x_m) / self.length_m, (last.y_m - first.y_m) / self.length_m
        away_x, away_y = x_m - first.x_m, y_m - first.y_m
        return away_x * east + away_y * north, np.abs(away_x * north - away_y * east)

    @property
    def line(self) -> BaseGeometry:
        """Its centre line from end to end."""
        return shapely.LineString([(end.x_m, end.y_m) for end in self.ends])

    def centre_line(self, beyond_m: float) -> BaseGeometry:
        """Return its centre line, extended so far beyond both ends."""
        return shapely.LineString([self._out(0, beyond_m, 0.0), self._out(1, beyond_m, 0.0)])

    def approach_area(self, index: int, beyond_m: float) -> BaseGeometry:
        """Return the plan of an end's approach surface, so far beyond the end."""
        surface = self.surfaces[index]
        out_m = min(max(beyond_m - PRIMARY_BEYOND_M, 0.0), surface.length_m)
        corners = [
            self._out(index, PRIMARY_BEYOND_M + out, side * float(surface.half_width_m(out)))
            for out, side in ((0.0, -1), (0.0, 1), (out_m, 1), (out_m, -1))
        ]
        return shapely.Polygon(corners)

    def _out(self, index: int, beyond_m: float, aside_m: float) -> tuple[float, float]:
        """Return a place so far beyond an end, and so far to the left of that way out."""
        end, other = self.ends[index], self.ends[1 - index]
        east, north = (end.x_m - other.x_m) / self.length_m, (end.y_m - other.y_m) / self.length_m
        return end.x_m + beyond_m * east - aside_m * north, end.y_m + beyond_m * north + aside_m * east


@attrs.frozen(eq=False)
class NearRunway:
    """Places by a runway; arrays (n,).

    Parameters
    ----------
    beyond_m : how far out from the nearer end, 0 beside the runway.
    aside_m : distance from the centre line, extended.
    end : index of the end that is nearer.
    in_approach : whether below or in the approach surface's plan.
    surface_amsl_m : lowest of the surfaces of part 77 above the place, NaN
        where none is.
    """

    beyond_m: Floats
    aside_m: Floats
    end: NDArray[np.int64]
    in_approach: NDArray[np.bool_]
    surface_amsl_m: Floats


def by_runway(runway: Runway, x_m: Floats, y_m: Floats) -> NearRunway:
    """Return where places lie by a runway, and the surfaces over them."""
    along, aside = runway.along_and_aside(x_m, y_m)
    beyond = np.maximum(np.maximum(-along, along - runway.length_m), 0.0)
    end = (along > runway.length_m / 2).astype(np.int64)
    about = _horizontal_and_conical(runway, along, aside)
    lowest = np.fmin(about, _primary(runway, along, aside))
    in_approach = np.zeros(len(x_m), dtype=bool)
    for index, surface in enumerate(runway.surfaces):
        out = (-along if index == 0 else along - runway.length_m) - PRIMARY_BEYOND_M
        height, inside, beside_m = _approach(surface, out, aside)
        # Beside an approach 7:1 goes up to the horizontal or the conical surface, beyond them so far.
        beyond_m = TRANSITION_BEYOND_M if runway.ends[index].approach is Approach.PRECISION else 0.0
        ends = np.isfinite(about) | (beside_m <= beyond_m)
        lowest = np.fmin(lowest, np.where(ends, runway.ends[index].elevation_amsl_m + height, np.nan))
        in_approach |= inside
    return NearRunway(beyond, aside, end, in_approach, lowest)


def _approach(
    surface: ApproachSurface, out: Floats, aside: Floats
) -> tuple[Floats, NDArray[np.bool_], Floats]:
    """Return height over the end of the approach surface and of the 7:1 beside it, and how far beside.

    The second says where the approach surface itself lies.
    """
    height = surface.height_m(out)
    beside_m = np.where(np.isnan(height), np.inf, np.maximum(aside - surface.half_width_m(out), 0.0))
    return height + transitional_m(1.0) * beside_m, beside_m == 0.0, beside_m


def _primary(runway: Runway, along: Floats, aside: Floats) -> Floats:
    """Return the primary surface, and the 7:1 from its edge up to the horizontal one [m AMSL]."""
    half_m = max(surface.inner_width_m for surface in runway.surfaces) / 2
    share = np.clip(along / runway.length_m, 0.0, 1.0)
    first, last = (end.elevation_amsl_m for end in runway.ends)
    height = first + (last - first) * share + transitional_m(1.0) * np.maximum(aside - half_m, 0.0)
    reached = (along >= -PRIMARY_BEYOND_M) & (along <= runway.length_m + PRIMARY_BEYOND_M)
    return np.where(reached & (height <= runway.airport_amsl_m + HORIZONTAL_M), height, np.nan)


def _horizontal_and_conical(runway: Runway, along: Floats, aside: Floats) -> Floats:
    """Return both [m AMSL]; the larger radius of the two ends counts for both."""
    radius_m = max(surface.horizontal_radius_m for surface in runway.surfaces)
    over = np.clip(along, -PRIMARY_BEYOND_M, runway.length_m + PRIMARY_BEYOND_M)
    outside = np.hypot(along - over, aside) - radius_m
    level = runway.airport_amsl_m + HORIZONTAL_M
    return np.asarray(level + conical_m(np.maximum(outside, 0.0)))
