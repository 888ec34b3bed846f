"""Aerodromes near a path or an area: how far and in which true direction."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.flown_places import FlownPlaces
from planner.geo.geodesy import TrueBearing, bearing, distance_m, distances_and_bearings
from planner.geo.place import Place
from planner.world.sites import Aerodrome

Floats = NDArray[np.float64]

_SAME_M: Final = 1.0
_LEAST_DEGREE_M: Final = 110_574.0
"""A degree of latitude at the equator, rounded down: WGS 84, a (1 - e2) pi / 180 = 110,574.28 m."""


@attrs.frozen
class NearAerodrome:
    """An aerodrome and the place of the path, or of the area, that comes nearest to it.

    Parameters
    ----------
    distance_m : geodesic distance of the two, 0 where it lies in the area.
    at_m : where on the path; None of an area.
    place : that place.
    toward : true direction from that place to the aerodrome.
    above_m : planned height there over the aerodrome, None where unknown.
    """

    aerodrome: Aerodrome
    distance_m: float
    at_m: float | None
    place: Place
    toward: TrueBearing
    above_m: float | None


@attrs.frozen(eq=False)
class AerodromePlaces:
    """Aerodromes and where they are (n,) [deg]: gone through once for all that is flown."""

    aerodromes: Sequence[Aerodrome]
    lon_deg: Floats
    lat_deg: Floats

    @classmethod
    def of(cls, aerodromes: Sequence[Aerodrome]) -> "AerodromePlaces":
        """Return them with their places."""
        places = np.array([(one.place.lon_deg, one.place.lat_deg) for one in aerodromes]).reshape(-1, 2)
        return cls(aerodromes, places[:, 0], places[:, 1])

    def about(self, place: Place, within_m: float) -> "AerodromePlaces":
        """Return those that may lie within a distance of a place: whatever is nearer to it is among them.

        Two parallels a degree apart are never nearer than at the equator.
        """
        near = np.flatnonzero(np.abs(self.lat_deg - place.lat_deg) * _LEAST_DEGREE_M <= within_m)
        found = [self.aerodromes[k] for k in near.tolist()]
        return AerodromePlaces(found, self.lon_deg[near], self.lat_deg[near])


def aerodromes_near(flown: FlownPlaces, every: AerodromePlaces, within_m: float) -> tuple[NearAerodrome, ...]:
    """Return the aerodromes within a distance of what is flown, the nearest first."""
    if not len(flown.x_m):
        return ()
    west, south, east, north = flown.outline.bounds
    # In this plane the way from its origin is the true one; of a whole country few are left.
    far_m = float(np.hypot(max(-west, east), max(-south, north)))
    laid = every.about(flown.frame.origin, far_m + 1.01 * within_m)
    aerodromes = laid.aerodromes
    if not aerodromes:
        return ()
    x_m, y_m = flown.frame.forward(laid.lon_deg, laid.lat_deg)
    aside = np.hypot(
        np.maximum(np.maximum(west - x_m, x_m - east), 0.0),
        np.maximum(np.maximum(south - y_m, y_m - north), 0.0),
    )
    # The plane is a little wrong far out: the geodesic decides.
    near = np.flatnonzero(aside <= 1.01 * within_m)
    spots = np.asarray(shapely.points(x_m[near], y_m[near]), dtype=object)
    shapely.prepare(flown.outline)
    here = shapely.get_coordinates(shapely.get_point(shapely.shortest_line(flown.outline, spots), 0))
    inside = np.hypot(here[:, 0] - x_m[near], here[:, 1] - y_m[near]) < _SAME_M
    inside[inside] = shapely.distance(flown.outline, spots[inside]) <= 0.0
    found = _near(flown, [aerodromes[k] for k in near.tolist()], here, inside)
    return tuple(
        sorted(
            (one for one in found if one.distance_m <= within_m),
            key=lambda one: (one.distance_m, one.aerodrome.ident),
        )
    )


def _near(
    flown: FlownPlaces, aerodromes: Sequence[Aerodrome], here: Floats, inside: NDArray[np.bool_]
) -> list[NearAerodrome]:
    samples, places = flown.samples_at(here), flown.places(here)
    ways = distances_and_bearings(places, [one.place for one in aerodromes])
    return [
        NearAerodrome(
            aerodrome=aerodrome,
            distance_m=0.0 if within else away_m,
            at_m=None if flown.along_m is None else float(flown.along_m[sample]),
            place=place,
            toward=toward,
            above_m=_above_m(float(flown.highest_amsl_m[sample]), aerodrome),
        )
        for aerodrome, sample, place, within, (away_m, toward) in zip(
            aerodromes, samples.tolist(), places, inside.tolist(), ways, strict=True
        )
    ]


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
