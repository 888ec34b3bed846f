"""Where what fails in an area comes down: from its top, at its highest airspeed, whichever way it flies."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from planner.flight.fall import thrown_time_s
from planner.flight.falling_air import STANDARD_KG_M3
from planner.flight.landing import blown_m, kept_s
from planner.flight.slow_fall import slow_fall_s
from planner.flight.wind import Wind
from planner.world.weather.atmosphere import GRAVITY_MPS2

Way = tuple[float, float]
Floats = NDArray[np.float64]

# Rates of climb, from none to the highest, that are looked at.
_CLIMBS: Final = 33
# Pieces of a cone, from its tip to its circle.
_CONE: Final = (0.0, 0.25, 0.5, 0.75, 1.0)


@attrs.frozen
class AtTop:
    """How it is flown at the top of an area; NaN, None: not known.

    Parameters
    ----------
    top_agl_m : height above ground, which it never passes.
    airspeed_mps : the highest.
    climb_mps : the highest rate of climb.
    wind_mps : the strongest mean wind there.
    dense_kg_m3 : the air at its densest (`falling_air`).
    """

    top_agl_m: float
    airspeed_mps: float | None
    climb_mps: float | None = None
    wind_mps: float = 0.0
    dense_kg_m3: float = STANDARD_KG_M3

    @property
    def _up_mps(self) -> Floats:
        """Rates of climb (k,) with which it may fail: what rises faster there leaves the area by itself."""
        most_mps = min(self.climb_mps or 0.0, math.sqrt(2 * GRAVITY_MPS2 * max(self.top_agl_m, 0.0)))
        return np.linspace(0.0, most_mps, _CLIMBS if most_mps > 0.0 else 1)

    @property
    def _from_m(self) -> Floats:
        """Heights above ground (k,) from which it rises to just the top without power."""
        return self.top_agl_m - self._up_mps**2 / (2 * GRAVITY_MPS2)

    @property
    def free_s(self) -> Floats:
        """Time of its fall without drag (k,) [s]."""
        return np.asarray(thrown_time_s(self._from_m, self._up_mps))

    @property
    def level_mps(self) -> Floats:
        """Speed through the air that is left for the level when it climbs (k,)."""
        air_mps = self.airspeed_mps or 0.0
        return np.sqrt(np.maximum(air_mps**2 - self._up_mps**2, 0.0))

    @property
    def ahead_m(self) -> float:
        """How far it comes without drag, the mean wind behind it [m]; NaN where no airspeed is given."""
        if self.airspeed_mps is None or math.isnan(self.top_agl_m):
            return math.nan
        return float(np.max((self.level_mps + self.wind_mps) * self.free_s))

    def longest_s(self, terminal_mps: float, aside_mps: float) -> Floats:
        """Return the most time that its fall with drag takes (k,) [s]."""
        return slow_fall_s(self._from_m, terminal_mps, self._up_mps, self.level_mps + aside_mps)


@attrs.frozen
class Blows:
    """A wind with its mean speed and its gusts at the top of an area [m/s]."""

    wind: Wind
    mean_mps: float
    gust_mps: float

    def toward(self, away_m: float) -> Way:
        """Return the way of a length that it blows (east, north) [m]."""
        east, north = self.wind.toward()
        return east * away_m, north * away_m


@attrs.frozen
class Carried:
    """What a wind does with what fails: where it comes down from.

    `reaches` are ways from where it fails (east, north) [m], each with how far about all that lies under it
    it may come down [m]; `held` is the way of what held its place.
    """

    reaches: tuple[tuple[Way, float], ...]
    held: Way

    @property
    def farthest_m(self) -> float:
        """How far it comes at the most [m]."""
        return max(math.hypot(*way) + about_m for way, about_m in self.reaches)


def fallen_by(flown: AtTop, blows: Blows, terminal_mps: float) -> Carried:
    """Return what a wind does with what falls; see `slow_fall` for why nothing comes farther.

    It keeps what it flies through the air for no longer than without drag, and is carried by the mean wind
    for as long, by the gust for what its fall then takes longer; what keeps none of it goes with the gust
    from the start. So it comes down within a cone from there to the circle of what it flew.
    """
    gust_mps = max(blows.mean_mps, blows.gust_mps)
    stronger_mps = gust_mps - blows.mean_mps
    free_s, longest_s = flown.free_s, flown.longest_s(terminal_mps, stronger_mps)
    way_m = float(np.max(gust_mps * (longest_s - free_s) + blows.mean_mps * free_s))
    about_m = float(np.max(flown.level_mps * free_s))
    farther_m = stronger_mps * float(np.max(free_s))
    # Where the circle reaches the cone's tip it holds all of it; else pieces of the cone.
    shares = (1.0,) if about_m >= farther_m else _CONE
    reaches = [
        (blows.toward(way_m + farther_m * (1.0 - near)), about_m * far) for near, far in pairwise(shares)
    ]
    still = AtTop(flown.top_agl_m, None)
    held_m = gust_mps * float(still.longest_s(terminal_mps, gust_mps)[0])
    return Carried(((blows.toward(way_m), about_m), *reaches), blows.toward(held_m))


def landed_by(flown: AtTop, blows: Blows, descent_mps: float) -> Carried:
    """Return what a wind does with what lands from the top and holds no place (`flight.landing`)."""
    lasts_s = np.array([max(flown.top_agl_m, 0.0) / descent_mps])
    keeps_s = kept_s(lasts_s)
    gone_m = float(blown_m(np.array([blows.mean_mps]), np.array([blows.gust_mps]), lasts_s)[0])
    # However it flew, it went with the mean wind already.
    about_m = (flown.airspeed_mps or 0.0) * float(keeps_s[0])
    return Carried(((blows.toward(gone_m), about_m),), blows.toward(gone_m))


def farthest_m(carried: Sequence[Carried]) -> float:
    """Return how far what fails comes with the wind at the most [m]; NaN where that is not known."""
    return max((one.farthest_m for one in carried), default=math.nan)


def fallen_on(footprint: BaseGeometry, carried: Sequence[Carried], grown_m: float) -> BaseGeometry:
    """Return where what fails anywhere in an area may come down in any of the winds; empty of no wind."""
    by_about: dict[float, list[Way]] = {}
    for way, about_m in (reach for one in carried for reach in one.reaches):
        by_about.setdefault(about_m, []).append(way)
    return shapely.union_all(
        [shapely.buffer(swept(footprint, ways), about_m + grown_m) for about_m, ways in by_about.items()]
    )


def edges_of(footprint: BaseGeometry) -> NDArray[np.float64]:
    """Return the edges of an area (n, 4): x, y of both ends."""
    corners, ring = shapely.get_coordinates(shapely.get_parts(footprint.boundary), return_index=True)
    return np.asarray(np.hstack([corners[:-1], corners[1:]])[np.diff(ring) == 0])


def swept(footprint: BaseGeometry, ways: Sequence[Way]) -> BaseGeometry:
    """Return the area, and wherever its points come on straight ways."""
    edges = edges_of(footprint)
    parts = [footprint]
    for way in ways:
        moved = edges + np.tile(way, 2)
        strips = shapely.convex_hull(shapely.linestrings(np.hstack([edges, moved]).reshape(-1, 4, 2)))
        parts += [affinity.translate(footprint, *way), shapely.union_all(strips)]
    return shapely.union_all(parts)
