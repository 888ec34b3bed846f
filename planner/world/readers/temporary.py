"""Temporary restrictions, in a file with attribute names of our own.

Polygons, or points with a radius. Attributes, any of which but the radius may
be left out:

=================  =============================================================
NAME, NOTICE       what it is called, and the notice it is written in
FLOOR, CEILING     ``SFC``, ``500 FT AGL``, ``3000 FT MSL``, ``FL180``, ``UNL``
FROM_UTC, TO_UTC   ``2026-08-01T17:00:00Z``; a bare day is that of every clock
RADIUS_NM          of a circle about a point; or RADIUS_M
AGENCY             who controls it
=================  =============================================================

What is left out or can't be read counts as widest: from the ground, without a
top, for ever.

The authority's own layer of national defence areas says less: NAME, the hours
in WKHR_RMK, GLOBAL_ID. Its areas reach from the ground without a top.
"""

from shapely.geometry.base import BaseGeometry

from planner.units import NAUTICAL_MILE_M
from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.layers import LayerName
from planner.world.readers.curves import circle
from planner.world.readers.limits import in_order, written_floor, written_top
from planner.world.readers.moments import utc_bounds
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World


def read(table: Table) -> Reading:
    """Return the table's volumes; a point without a radius is refused."""
    volumes, refusals = collect(table, _volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _volume(row: Row) -> AirspaceVolume:
    floor, top = in_order(written_floor(row.text("FLOOR")), written_top(row.text("CEILING")))
    bounds = utc_bounds(row.text("FROM_UTC"), row.text("TO_UTC"))
    return AirspaceVolume(
        key=row.content_key("temporary"),
        name=row.text("NAME", "NOTICE") or "temporary restriction",
        kind=AirspaceKind.TEMPORARY,
        outline=_outline(row),
        floor=floor,
        top=top,
        ident=row.text("NOTICE"),
        agency=row.text("AGENCY"),
        active_from_utc=bounds.begin_utc,
        active_to_utc=bounds.end_utc,
        given_by_days=bounds.by_days,
        schedule=row.text("WKHR_RMK"),
        layer=LayerName.TEMPORARY,
    )


def _outline(row: Row) -> BaseGeometry:
    shape = row.any_shape()
    if shape.geom_type not in {"Point", "MultiPoint"}:
        return row.area()
    radius_nm, radius_m = row.number("RADIUS_NM"), row.number("RADIUS_M")
    if radius_nm is not None:
        radius_m = radius_nm * NAUTICAL_MILE_M
    if radius_m is None:
        raise RefusedError("it is a point without RADIUS_NM or RADIUS_M")
    return circle(row.place(), radius_m)


KIND = FileKind(
    LayerName.TEMPORARY,
    "temporary restrictions",
    (
        frozenset({"FROM_UTC"}),
        frozenset({"TO_UTC"}),
        frozenset({"FLOOR", "CEILING", "RADIUS_NM", "RADIUS_M"}),
    ),
    read,
    never_with=frozenset({"STADIUM"}),
)

DEFENCE_AREAS = FileKind(
    LayerName.TEMPORARY,
    "national defence areas",
    (frozenset({"NAME"}), frozenset({"WKHR_RMK"}), frozenset({"GLOBAL_ID"})),
    read,
    never_with=frozenset(
        {
            *("LOCAL_TYPE", "CLASS", "TYPE_CODE", "LOWER_VAL", "UPPER_VAL", "LOWER_CODE", "UPPER_CODE"),
            *("FLOOR", "CEILING", "TIMESOFUSE", "STATUS_CODE", "FROM_UTC", "TO_UTC", "MTR_IDENT"),
        }
    ),
)
