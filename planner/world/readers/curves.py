"""Circles, arcs, geodesics and strips on the ellipsoid as outlines in lon/lat degrees.

Edges of outlines are straight in longitude and latitude, so curves get as many
corners as keep them within `ERROR_M` of what they stand for.
"""

import math

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.world.readers.row import RefusedError

Floats = NDArray[np.float64]

ERROR_M = 0.25
LARGEST_RADIUS_M = 2_000_000.0
MOST_CORNERS = 2_000_000

_EARTH_RADIUS_M = 6_371_008.8
_LONGEST_DEGREE_M = 111_700.0
_FEWEST_CORNERS = 240
_SHORTEST_STEP_M = 200.0
_PAD_M = 0.01
_BEND_DEG = 0.02
_STRAIGHT_M = 0.05
_WGS84 = pyproj.Geod(ellps="WGS84")


def circle(centre: Place, radius_m: float) -> shapely.Polygon:
    """Return a polygon about a geodesic circle: never inside it, by `ERROR_M` outside at most.

    Raises
    ------
    RefusedError
        If the radius is not that of a circle on a chart.
    """
    _check_radius(radius_m)
    corners = _corners_of(radius_m, 360.0)
    outer_m = radius_m / math.cos(math.pi / corners) + _PAD_M
    return shapely.Polygon(_around(centre, outer_m, np.linspace(0.0, 360.0, corners, endpoint=False)))


def arc(centre: Place, radius_m: float, start_deg: float, end_deg: float) -> Floats:
    """Return points (n, 2) along an arc from one azimuth to another, clockwise if the second is greater.

    Raises
    ------
    RefusedError
        If radius or azimuths are none of an arc.
    """
    _check_radius(radius_m)
    if not (math.isfinite(start_deg) and math.isfinite(end_deg)) or abs(end_deg - start_deg) > 720.0:
        raise RefusedError("an arc has no azimuths that can be used")
    corners = _corners_of(radius_m, abs(end_deg - start_deg))
    return _around(centre, radius_m, np.linspace(start_deg, end_deg, corners + 1))


def arc_through(start: Place, middle: Place, end: Place) -> Floats:
    """Return points (n, 2) along the arc of a geodesic circle through three places.

    Three on one line, the second between the others, are that line (ISO 19107).

    Raises
    ------
    RefusedError
        If they lie on no circle.
    """
    if _on_one_line(start, middle, end):
        return geodesic(np.array([(p.lon_deg, p.lat_deg) for p in (start, middle, end)]))
    centre, radius_m = circle_through(start, middle, end)
    azimuths, _ = _seen_from(centre, start, middle, end)
    clockwise = (azimuths[1] - azimuths[0]) % 360.0 < (azimuths[2] - azimuths[0]) % 360.0
    turn = (azimuths[2] - azimuths[0]) % 360.0 - (0.0 if clockwise else 360.0)
    return arc(centre, radius_m, azimuths[0], azimuths[0] + turn)


def circle_through(start: Place, middle: Place, end: Place) -> tuple[Place, float]:
    """Return centre and radius [m] of the geodesic circle through three places.

    It is the plane circle about a centre that is moved until it stays.

    Raises
    ------
    RefusedError
        If they lie on no circle.
    """
    centre = middle
    for _ in range(12):
        azimuths, distances = _seen_from(centre, start, middle, end)
        angle = np.radians(azimuths)
        x, y = distances * np.sin(angle), distances * np.cos(angle)
        double_area = 2 * (x[0] * (y[1] - y[2]) + x[1] * (y[2] - y[0]) + x[2] * (y[0] - y[1]))
        if abs(double_area) < 1.0:
            raise RefusedError("an arc has three points that lie on no circle")
        squares = x * x + y * y
        east = (squares @ (np.roll(y, -1) - np.roll(y, -2))) / double_area
        north = (squares @ (np.roll(x, -2) - np.roll(x, -1))) / double_area
        shift_m = math.hypot(east, north)
        _check_radius(max(shift_m, 1.0))
        lon_deg, lat_deg, _ = _WGS84.fwd(
            centre.lon_deg, centre.lat_deg, math.degrees(math.atan2(east, north)), shift_m
        )
        centre = Place(lon_deg, lat_deg)
        if shift_m < 1e-3:
            break
    _, distances = _seen_from(centre, start, middle, end)
    radius_m = float(np.mean(distances))
    if not np.abs(distances - radius_m).max() <= ERROR_M:
        raise RefusedError("an arc has three points that lie on no circle")
    return centre, radius_m


def geodesic(points: Floats) -> Floats:
    """Return points (n, 2) along the geodesics between points, so dense that straight edges will do.

    Raises
    ------
    RefusedError
        If that takes more corners than a chart has.
    """
    if len(points) < 2:
        return points
    step_m = _step_m(float(np.abs(points[:, 1]).max()))
    across = points[1:] - points[:-1]
    # Degrees taken at their longest: what is short even so needs no look at its true length.
    far = np.flatnonzero(np.hypot(across[:, 0], across[:, 1]) * _LONGEST_DEGREE_M > step_m)
    if not len(far):
        return points
    starts, ends = points[far], points[far + 1]
    azimuth_deg, _, length_m = _WGS84.inv(starts[:, 0], starts[:, 1], ends[:, 0], ends[:, 1])
    steps = np.maximum(np.ceil(np.asarray(length_m) / step_m), 1.0).astype(np.int64)
    if steps.sum() + len(points) > MOST_CORNERS:
        raise RefusedError("its edges are longer than any on a chart")
    return _divided(points, far, steps, np.asarray(azimuth_deg), np.asarray(length_m))


def strip(points: Floats, width_m: float) -> BaseGeometry:
    """Return the area within half a width of a line of geodesics, its ends rounded.

    Raises
    ------
    RefusedError
        If the width is none or the line has one point only.
    """
    _check_radius(width_m / 2)
    if len(points) < 2:
        raise RefusedError("its centreline has fewer than two points")
    half_m = width_m / 2 + _PAD_M
    line = geodesic(points)
    there_deg, back_deg, length_m = _WGS84.inv(line[:-1, 0], line[:-1, 1], line[1:, 0], line[1:, 1])
    there_deg, onward_deg = np.asarray(there_deg), np.asarray(back_deg) + 180.0
    kept = np.asarray(length_m) > 0
    corners = [
        _aside(line[:-1], there_deg - 90.0, half_m),
        _aside(line[1:], onward_deg - 90.0, half_m),
        _aside(line[1:], onward_deg + 90.0, half_m),
        _aside(line[:-1], there_deg + 90.0, half_m),
    ]
    quads = shapely.polygons(np.stack([*corners, corners[0]], axis=1)[kept])
    bend_deg = np.abs((there_deg[1:] - onward_deg[:-1] + 180.0) % 360.0 - 180.0)
    joints = [0, *(np.flatnonzero(bend_deg > _BEND_DEG) + 1).tolist(), len(line) - 1]
    rounds = [circle(Place(line[k][0], line[k][1]), width_m / 2) for k in joints]
    return shapely.union_all([*np.asarray(shapely.make_valid(quads)).tolist(), *rounds])


def _on_one_line(start: Place, middle: Place, end: Place) -> bool:
    """Whether the middle lies between two ends, no farther from their line than a few centimetres."""
    azimuths, distances = _seen_from(middle, start, end)
    turn = math.radians(azimuths[1] - azimuths[0])
    chord_m = max(float(distances.sum()), 1e-9)
    aside_m = float(np.prod(distances)) * abs(math.sin(turn)) / chord_m
    return math.cos(turn) < 0.0 and aside_m < _STRAIGHT_M


def _seen_from(centre: Place, *places: Place) -> tuple[Floats, Floats]:
    """Return azimuths [deg] and distances [m] of places from a centre."""
    azimuths, _, distances = _WGS84.inv(
        *np.array([(centre.lon_deg, centre.lat_deg)] * len(places)).T,
        *np.array([(place.lon_deg, place.lat_deg) for place in places]).T,
    )
    return np.asarray(azimuths), np.asarray(distances)


def _check_radius(radius_m: float) -> None:
    if not 0.0 < radius_m <= LARGEST_RADIUS_M:
        raise RefusedError(f"a radius of {radius_m:g} m is none of a chart")


def _corners_of(radius_m: float, turn_deg: float) -> int:
    whole = max(_FEWEST_CORNERS, math.ceil(math.pi * math.sqrt(radius_m / (2 * ERROR_M))))
    return max(1, math.ceil(whole * turn_deg / 360.0))


def _around(centre: Place, radius_m: float, azimuths_deg: Floats) -> Floats:
    count = len(azimuths_deg)
    lon_deg, lat_deg, _ = _WGS84.fwd(
        np.full(count, centre.lon_deg), np.full(count, centre.lat_deg), azimuths_deg, np.full(count, radius_m)
    )
    return np.column_stack([lon_deg, lat_deg])


def _aside(points: Floats, azimuths_deg: Floats, distance_m: float) -> Floats:
    lon_deg, lat_deg, _ = _WGS84.fwd(
        points[:, 0], points[:, 1], azimuths_deg, np.full(len(points), distance_m)
    )
    return np.column_stack([lon_deg, lat_deg])


def _step_m(highest_deg: float) -> float:
    """Return how long an edge may be before its lon/lat line leaves the geodesic by `ERROR_M`."""
    bow = max(math.tan(math.radians(min(highest_deg + 0.5, 89.9))), 0.05)
    return max(math.sqrt(8 * _EARTH_RADIUS_M * ERROR_M / bow) / 2, _SHORTEST_STEP_M)


def _divided(
    points: Floats, cut: NDArray[np.intp], steps: NDArray[np.int64], azimuth_deg: Floats, length_m: Floats
) -> Floats:
    """Return points, the edges that begin at `cut` divided into equal pieces of their geodesics."""
    owner = np.repeat(np.arange(len(cut)), steps - 1)
    first = np.cumsum(steps - 1) - (steps - 1)
    share = (np.arange(len(owner)) - first[owner] + 1) / steps[owner]
    starts = points[cut[owner]]
    lon_deg, lat_deg, _ = _WGS84.fwd(starts[:, 0], starts[:, 1], azimuth_deg[owner], length_m[owner] * share)
    return np.insert(points, cut[owner] + 1, np.column_stack([lon_deg, lat_deg]), axis=0)
