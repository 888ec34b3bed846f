"""Where others fly low or fall from the sky: training routes, parachute and glider sites. Advisory.

Attribute names differ from publisher to publisher, so several are known for
each. A route without a width counts 5 NM to either side, a site without a
radius 2 NM about it: common practice, and wider than most.
"""

from collections.abc import Callable

import shapely
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.units import NAUTICAL_MILE_M
from planner.world.airspace import SURFACE, AirspaceKind, AirspaceVolume, VerticalLimit
from planner.world.layers import LayerName
from planner.world.readers.curves import circle, strip
from planner.world.readers.limits import UNKNOWN, coded_limit, in_order
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World

ROUTE_HALF_WIDTH_M = 5 * NAUTICAL_MILE_M
SITE_RADIUS_M = 2 * NAUTICAL_MILE_M

_NAMES = ("NAME", "ROUTE", "MTR_IDENT", "ROUTE_ID", "SITE_NAME", "DZ_NAME", "IDENT", "ID")
_HOURS = ("TIMESOFUSE", "WKHR_RMK", "HOURS", "SCHEDULE", "TIMES")
_ROUTE = frozenset({"MTR_IDENT", "ROUTE_ID", "ROUTE_TYPE", "ROUTE"})
_ROUTE_WIDTH = frozenset(
    {"WIDTH_NM", "WIDTH", "WIDTH_LEFT", "WIDTH_RIGHT", "LEFT_NM", "RIGHT_NM", "IR_VR", "MIN_ALT", "MAX_ALT"}
)


def read_training_routes(table: Table) -> Reading:
    """Return the routes as volumes from the ground up, as low-level traffic leaves its route's floor."""
    return _volumes(table, AirspaceKind.TRAINING_ROUTE, LayerName.TRAINING_ROUTES, _route_outline)


def read_parachute_sites(table: Table) -> Reading:
    """Return the places where parachutists come down."""
    return _volumes(table, AirspaceKind.PARACHUTE, LayerName.PARACHUTE_SITES, _site_outline)


def read_glider_sites(table: Table) -> Reading:
    """Return the places where gliders are launched or soar."""
    return _volumes(table, AirspaceKind.GLIDER, LayerName.GLIDER_SITES, _site_outline)


def _volumes(
    table: Table, kind: AirspaceKind, layer: LayerName, outline: Callable[[Row], BaseGeometry]
) -> Reading:
    def volume(row: Row) -> AirspaceVolume:
        floor, top = _limits(row)
        return AirspaceVolume(
            key=row.content_key(kind),
            name=row.text(*_NAMES) or kind.value.replace("-", " "),
            kind=kind,
            outline=outline(row),
            floor=floor,
            top=top,
            ident=row.text("IDENT", "MTR_IDENT", "ROUTE_ID"),
            schedule=row.text(*_HOURS),
            layer=layer,
            utc_offset_h=row.number("GMTOFFSET"),
            summer_time=row.text("DST", "DST_CODE"),
        )

    volumes, refusals = collect(table, volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _limits(row: Row) -> tuple[VerticalLimit, VerticalLimit]:
    if "UPPER_VAL" in row.attributes:
        floor, top = in_order(coded_limit(row, "LOWER"), coded_limit(row, "UPPER"))
        return floor, top
    # A bare figure does not say whether it counts from the ground or from the sea.
    return SURFACE, UNKNOWN


def _route_outline(row: Row) -> BaseGeometry:
    shape = row.any_shape()
    if shape.geom_type in {"Polygon", "MultiPolygon"}:
        return shape
    if shape.geom_type not in {"LineString", "MultiLineString"}:
        raise RefusedError(f"a {shape.geom_type} is no route")
    sides_nm = [
        row.number(left, right) for left, right in (("WIDTH_LEFT", "LEFT_NM"), ("WIDTH_RIGHT", "RIGHT_NM"))
    ]
    whole_nm = row.number("WIDTH_NM", "WIDTH")
    wider_nm = max((side for side in sides_nm if side is not None), default=None)
    half_m = ROUTE_HALF_WIDTH_M
    if wider_nm is not None and wider_nm > 0:
        half_m = wider_nm * NAUTICAL_MILE_M
    elif whole_nm is not None and whole_nm > 0:
        half_m = whole_nm * NAUTICAL_MILE_M / 2
    parts = shapely.get_parts(shape)
    return shapely.union_all([strip(shapely.get_coordinates(part), 2 * half_m) for part in parts])


def _site_outline(row: Row) -> BaseGeometry:
    shape = row.any_shape()
    if shape.geom_type in {"Polygon", "MultiPolygon"}:
        return shape
    radius_nm = row.number("RADIUS_NM", "MAX_RADIUS", "RADIUS")
    radius_m = radius_nm * NAUTICAL_MILE_M if radius_nm is not None and radius_nm > 0 else SITE_RADIUS_M
    place = row.place()
    return circle(Place(place.lon_deg, place.lat_deg), radius_m)


TRAINING_ROUTES = FileKind(
    LayerName.TRAINING_ROUTES, "low-level training routes", (_ROUTE, _ROUTE_WIDTH), read_training_routes
)
PARACHUTE_SITES = FileKind(
    LayerName.PARACHUTE_SITES,
    "parachute sites",
    (frozenset({"PJA_ID", "DZ_NAME", "DROP_ZONE", "PARACHUTE", "JUMP_TYPE"}),),
    read_parachute_sites,
)
GLIDER_SITES = FileKind(
    LayerName.GLIDER_SITES,
    "glider sites",
    (frozenset({"GLIDER", "GLIDER_ID", "GLIDERPORT", "SOARING"}),),
    read_glider_sites,
)
