"""Stadiums and their events: a ring of 3 NM up to 3,000 ft, from an hour before to an hour after.

Figures as in check value 1.18 (the authority's standing notice, 30,000 seats
or more, league and college games and races named there, neither before the
season nor qualifying); the current notice decides.
"""

import math
from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime, timedelta

import numpy as np
import pyproj
import shapely

from planner.geo.place import Place
from planner.units import STADIUM_LEAST_SEATS, STADIUM_MARGIN_S, STADIUM_RADIUS_M, STADIUM_TOP_M
from planner.world.airspace import SURFACE, AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.readers.moments import utc_bounds
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.sites import Stadium
from planner.world.world import World

RADIUS_M = STADIUM_RADIUS_M
TOP = VerticalLimit(LimitReference.ABOVE_GROUND, STADIUM_TOP_M)
LEAST_SEATS = STADIUM_LEAST_SEATS
MARGIN = timedelta(seconds=STADIUM_MARGIN_S)

NOT_COVERED = frozenset({"soccer", "concert", "pre-season", "preseason", "qualifying", "pre-race"})
"""Words of the attribute `KIND` for events of which the notice does not speak; any other counts."""

# A road course reaches farther than any stadium; own choice.
WIDEST_M = 3_000.0
_Spot = tuple[Place, float]
_CORNERS = 240
_PAD_M = 0.01
_WGS84 = pyproj.Geod(ellps="WGS84")


def read(table: Table) -> Reading:
    """Return the stadiums, but for those with too few seats; while no event is known they close nothing."""
    stadiums, refusals = collect(table, _stadium, of_spots=True)
    return Reading(World(stadiums=tuple(stadiums)), refusals)


def read_events(stadiums: Table | None, events: Table) -> Reading:
    """Return one volume for each event, about its stadium (by name) or its own point."""
    known: dict[str, list[_Spot]] = {}
    for row in stadiums.rows if stadiums else ():
        with suppress(RefusedError):  # the stadiums' own layer says so
            known.setdefault(row.text("NAME").casefold(), []).append(_spot(row))
    found, refusals = collect(events, lambda row: _volumes(row, known))
    return Reading(World(airspace=tuple(volume for volumes in found for volume in volumes)), refusals)


def reaching(extent: Extent | None, layer: str) -> Extent | None:
    """Return the extent to read of a layer, wider for stadiums: their rings reach in from outside."""
    stadium = layer in {LayerName.STADIUMS, LayerName.STADIUM_EVENTS}
    return extent.grown(2 * RADIUS_M) if extent and stadium else extent


def ring(centre: Place, radius_m: float) -> shapely.Polygon:
    """Return a polygon (lon/lat) about a geodesic circle: never inside it, under 1 m outside (to 10 km)."""
    outer_m = radius_m / math.cos(math.pi / _CORNERS) + _PAD_M
    azimuths_deg = np.linspace(0.0, 360.0, _CORNERS, endpoint=False)
    lon_deg, lat_deg, _ = _WGS84.fwd(
        np.full(_CORNERS, centre.lon_deg),
        np.full(_CORNERS, centre.lat_deg),
        azimuths_deg,
        np.full(_CORNERS, outer_m),
    )
    return shapely.Polygon(np.column_stack([lon_deg, lat_deg]))


def _stadium(row: Row) -> Stadium | None:
    (place, reach_m), seats = _spot(row), _seats(row)
    too_few = seats is not None and seats < LEAST_SEATS
    return None if too_few else Stadium(row.text("NAME"), place, seats, reach_m)


def _spot(row: Row) -> _Spot:
    """Return a stadium's place and how far its ground reaches from there [m]: a point, or its outline."""
    shape = row.any_shape()
    if shape.geom_type not in {"Polygon", "MultiPolygon"}:
        return row.place(), 0.0
    # What lies farthest from the middle is a corner of the hull: of a million few are left to measure.
    corners, middle = shapely.get_coordinates(shape.convex_hull), shape.centroid
    _, _, away_m = _WGS84.inv(
        np.full(len(corners), middle.x), np.full(len(corners), middle.y), corners[:, 0], corners[:, 1]
    )
    reach_m = float(np.max(away_m))
    if not reach_m <= WIDEST_M:
        raise RefusedError(
            f"its outline reaches {reach_m:,.0f} m from its middle; give a point, or the outline of the "
            "stadium itself, not of what is closed about it"
        )
    return Place(middle.x, middle.y), reach_m


def _seats(row: Row) -> float | None:
    """Return the seats; nothing and less is what lists say where nobody has counted."""
    seats = row.number("SEATS")
    return seats if seats is not None and seats > 0 else None


def _volumes(row: Row, known: dict[str, list[_Spot]]) -> Sequence[AirspaceVolume]:
    seats = _seats(row)
    too_few = seats is not None and seats < LEAST_SEATS
    if too_few or row.text("KIND").strip().casefold() in NOT_COVERED:
        return ()
    stadium = row.text("STADIUM")
    spots = known.get(stadium.casefold()) or [_own_spot(row, stadium)]
    bounds = utc_bounds(row.text("START_UTC"), row.text("END_UTC"))
    return [
        AirspaceVolume(
            key=f"{row.content_key('event')}-{number}",
            name=f"{stadium}: {row.text('EVENT') or 'event'}",
            kind=AirspaceKind.STADIUM,
            outline=ring(place, RADIUS_M + reach_m),
            floor=SURFACE,
            top=TOP,
            active_from_utc=_moved(bounds.begin_utc, -MARGIN),
            active_to_utc=_moved(bounds.end_utc, MARGIN),
            given_by_days=bounds.by_days,
            layer=LayerName.STADIUM_EVENTS,
        )
        for number, (place, reach_m) in enumerate(sorted(spots, key=repr))
    ]


def _own_spot(row: Row, stadium: str) -> _Spot:
    if row.shape is None:
        raise RefusedError(f"no stadium {stadium!r} is known and the event has no place")
    return _spot(row)


def _moved(moment: datetime | None, by: timedelta) -> datetime | None:
    try:
        return moment + by if moment else None
    except OverflowError:
        return None


KIND = FileKind(
    LayerName.STADIUMS,
    "stadiums",
    (frozenset({"NAME"}), frozenset({"STATUS_CODE"}), frozenset({"CITY"}), frozenset({"STATE"})),
    read,
    never_with=frozenset({"LOWER_VAL", "UPPER_VAL", "CEILING", "TYPE_CODE"}),
)
