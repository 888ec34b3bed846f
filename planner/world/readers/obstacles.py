"""Structures with the obstacle file's attributes."""

import re

from planner.units import FOOT_M, NAUTICAL_MILE_M
from planner.world.layers import LayerName
from planner.world.readers.alike import read_once
from planner.world.readers.reading import FileKind, Reading, collect
from planner.world.readers.row import Row
from planner.world.readers.table import Table
from planner.world.structures import Structure
from planner.world.world import World

HORIZONTAL_ERROR_M = {
    "1": 20 * FOOT_M,
    "2": 50 * FOOT_M,
    "3": 100 * FOOT_M,
    "4": 250 * FOOT_M,
    "5": 500 * FOOT_M,
    "6": 1000 * FOOT_M,
    "7": NAUTICAL_MILE_M / 2,
    "8": NAUTICAL_MILE_M,
}
"""Order 8260.19J appendix C; 9 and anything else is unknown."""

VERTICAL_ERROR_M = {
    "A": 3 * FOOT_M,
    "B": 10 * FOOT_M,
    "C": 20 * FOOT_M,
    "D": 50 * FOOT_M,
    "E": 125 * FOOT_M,
    "F": 250 * FOOT_M,
    "G": 500 * FOOT_M,
    "H": 1000 * FOOT_M,
}
"""Order 8260.19J appendix C; I and anything else is unknown."""

NGVD29_M = 2.4
"""How far heights of NGVD 29 and of NAVD 88 part at the most [m].

-0.40 to +1.50 m in the conterminous states, +0.94 to +2.40 m in Alaska (Zilkoski,
Richards and Young, 1992, the general adjustment of NAVD 88; from memory).
"""
_FIRST_NAVD88 = "2001071"
"""Year and day: records dated before have their heights above NGVD 29 (Order 8260.19J appendix C)."""
_JULIAN = re.compile(r"\d{7}")

_SAYING = ("TYPE", "TYPE_CODE", "H_ACC", "V_ACC", "GUYED", "ACTION", "VERIFIED")


def read(table: Table) -> Reading:
    """Return the table's structures."""
    structures, refusals = collect(table, _structure, of_spots=True)
    return Reading(World(structures=tuple(structures)), refusals)


def _structure(row: Row) -> Structure:
    top_ft, height_ft = row.number("AMSL_FT", "AMSL"), row.number("AGL_FT", "AGL")
    kind, horizontal_m, vertical_m, *flags = _said(*map(row.attributes.get, _SAYING))
    guyed, without, dismantled, unverified = flags
    return Structure(
        key=row.text("OAS") or row.content_key("structure"),
        kind=kind.lower(),
        place=row.place(),
        top_amsl_m=None if top_ft is None else top_ft * FOOT_M,
        height_agl_m=None if height_ft is None else height_ft * FOOT_M,
        horizontal_error_m=horizontal_m,
        vertical_error_m=None if vertical_m is None else vertical_m + _datum_error_m(row.text("JDATE")),
        guyed=guyed,
        without_guys=without,
        unverified=unverified,
        count=max(1, int(row.number("QUANTITY") or 1)),
        is_point_of_line=kind.upper().startswith(("CATENARY", "TRAMWAY")),
        dismantled=dismantled,
        name=row.text("NAME"),
    )


def _datum_error_m(julian: str) -> float:
    """Return how far a height may be off because it counts from the older datum [m]."""
    return NGVD29_M if _JULIAN.fullmatch(julian) and julian < _FIRST_NAVD88 else 0.0


@read_once
def _said(*values: object) -> tuple[str, float | None, float | None, bool, bool, bool, bool]:
    row = Row(dict(zip(_SAYING, values, strict=True)))
    return (
        row.text("TYPE", "TYPE_CODE"),
        HORIZONTAL_ERROR_M.get(row.text("H_ACC")),
        VERTICAL_ERROR_M.get(row.text("V_ACC").upper()),
        row.flag("GUYED"),
        row.denies("GUYED"),
        row.text("ACTION").upper() == "D",
        row.text("VERIFIED").upper() == "U",
    )


KIND = FileKind(
    LayerName.OBSTACLES,
    "obstacles",
    (frozenset({"AGL_FT", "AGL"}), frozenset({"AMSL_FT", "AMSL"}), frozenset({"OAS", "H_ACC", "V_ACC"})),
    read,
)
