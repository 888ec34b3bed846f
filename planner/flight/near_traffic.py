"""Aerodromes near the path: how far and in which true direction."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.geodesy import TrueBearing, bearing, distance_m
from planner.geo.place import Place
from planner.track.track import Track
from planner.world.sites import Aerodrome

Floats = NDArray[np.float64]


@attrs.frozen
class NearAerodrome:
    """An aerodrome and the place of the path that comes nearest to it.

    Parameters
    ----------
    distance_m : geodesic distance of the two.
    at_m : where on the path.
    toward : true direction from that place to the aerodrome.
    above_m : planned height there over the aerodrome, None where unknown.
    """

    aerodrome: Aerodrome
    distance_m: float
    at_m: float
    toward: TrueBearing
    above_m: float | None


def aerodromes_near(
    track: Track, aerodromes: Sequence[Aerodrome], within_m: float
) -> tuple[NearAerodrome, ...]:
    """Return the aerodromes within a distance of the path, the nearest first."""
    if not aerodromes or not len(track):
        return ()
    lon_deg = np.array([one.place.lon_deg for one in aerodromes])
    lat_deg = np.array([one.place.lat_deg for one in aerodromes])
    x_m, y_m = track.frame.forward(lon_deg, lat_deg)
    found = []
    for k, aerodrome in enumerate(aerodromes):
        apart = np.hypot(track.x_m - x_m[k], track.y_m - y_m[k])
        nearest = int(np.argmin(apart))
        # The plane is a little wrong far out: the geodesic decides.
        if apart[nearest] > 1.01 * within_m:
            continue
        place = Place(float(track.lon_deg[nearest]), float(track.lat_deg[nearest]))
        if (away_m := distance_m(place, aerodrome.place)) <= within_m:
            found.append(
                NearAerodrome(
                    aerodrome,
                    away_m,
                    float(track.distance_m[nearest]),
                    bearing(place, aerodrome.place),
                    _above_m(float(track.planned_amsl_m[nearest]), aerodrome),
                )
            )
    return tuple(sorted(found, key=lambda one: (one.distance_m, one.aerodrome.ident)))


@attrs.frozen
class StationOffset:
    """How far away a weather station is, in which true direction, and how much higher it lies.

    `higher_m` is above the launch; None where either is unknown.
    """

    distance_m: float
    toward: TrueBearing
    higher_m: float | None


def station_offset(
    launch: Place, launch_amsl_m: float | None, station: Place, station_amsl_m: float | None
) -> StationOffset:
    """Return where a weather station lies from the launch: its weather is not the weather here."""
    higher_m = None
    if launch_amsl_m is not None and station_amsl_m is not None:
        higher_m = station_amsl_m - launch_amsl_m
    return StationOffset(distance_m(launch, station), bearing(launch, station), higher_m)


def _above_m(planned_amsl_m: float, aerodrome: Aerodrome) -> float | None:
    if np.isnan(planned_amsl_m) or aerodrome.elevation_amsl_m is None:
        return None
    return planned_amsl_m - aerodrome.elevation_amsl_m
