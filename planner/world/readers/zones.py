"""Zones for unmanned aircraft as ED-318 and ED-269 model them, one row a layer of height."""

from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference, VerticalLimit
from planner.world.layers import LayerName
from planner.world.readers.limits import UNKNOWN, in_order, limit_of
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import RefusedError, Row
from planner.world.readers.table import Table
from planner.world.world import World

_KINDS = {
    "PROHIBITED": AirspaceKind.ZONE_PROHIBITED,
    "REQ_AUTHORIZATION": AirspaceKind.ZONE_PERMISSION,
    "REQ_AUTHORISATION": AirspaceKind.ZONE_PERMISSION,
    # What the conditions are, and whether this flight keeps them, no program can tell.
    "CONDITIONAL": AirspaceKind.ZONE_PERMISSION,
    "USPACE": AirspaceKind.ZONE_PERMISSION,
    "NO_RESTRICTION": AirspaceKind.ZONE_OPEN,
}
_UNITS_M = {"M": 1.0, "METRE": 1.0, "METRES": 1.0, "FT": FOOT_M, "FEET": FOOT_M}
_REFERENCES = {
    "AGL": LimitReference.ABOVE_GROUND,
    "AMSL": LimitReference.SEA_LEVEL,
    "MSL": LimitReference.SEA_LEVEL,
}


def read(table: Table) -> Reading:
    """Return the table's volumes; one whose type is not known is refused."""
    volumes, refusals = collect(table, _volume)
    return Reading(World(airspace=tuple(volumes)), refusals)


def _volume(row: Row) -> AirspaceVolume:
    said = row.text("ZONE_TYPE").upper()
    if said not in _KINDS:
        raise RefusedError(f"its type {said[:40]!r} is none of {', '.join(sorted(_KINDS))}")
    floor, top = _limits(row)
    ident, name = row.text("ZONE_ID"), row.text("NAME")
    return AirspaceVolume(
        key=row.content_key("zone"),
        name=f"{name} ({ident})" if name and ident and ident not in name else name or ident or "a zone",
        kind=_KINDS[said],
        outline=row.area(),
        floor=floor,
        top=top,
        ident=ident,
        agency=row.text("AUTHORITY"),
        schedule=row.text("SCHEDULE"),
        layer=LayerName.UAS_ZONES,
    )


def _limits(row: Row) -> tuple[VerticalLimit, VerticalLimit]:
    """Return floor and top; nothing over nothing without a unit is no height at all, so both are unknown."""
    lower, upper = row.number("LOWER_VAL"), row.number("UPPER_VAL")
    unit = row.text("UOM").upper()
    if not unit and not lower and not upper:
        return UNKNOWN, UNKNOWN
    return in_order(
        _limit(lower, unit, row.text("LOWER_CODE"), narrow_m=FOOT_M),
        _limit(upper, unit, row.text("UPPER_CODE"), narrow_m=1.0),
    )


def _limit(value: float | None, unit: str, reference: str, *, narrow_m: float) -> VerticalLimit:
    """Return one limit; without a unit it is the one that makes the zone taller.

    Heights above the ellipsoid are unknown: nothing here turns them into heights above the sea.
    """
    known = _REFERENCES.get(reference.upper())
    if value is None or known is None or (unit and unit not in _UNITS_M):
        return UNKNOWN
    return limit_of(known, value * _UNITS_M.get(unit, narrow_m))


KIND = FileKind(
    LayerName.UAS_ZONES,
    "zones for unmanned aircraft",
    (frozenset({"ZONE_TYPE"}), frozenset({"ZONE_ID"})),
    read,
)
