"""Airspace of the island: class airspace, facility map cells, prohibited and secured places."""

import math

import numpy as np
import places
from fields import line_distance
from frame import Frame, Place
from rings import GEOD, circle, ring_sector, tongue
from shapely import Polygon, box
from tables import Table

CORE_RADIUS_M = 3704.0
SHELF_OUTER_M = 6000.0
SHELF_FLOOR_FT_MSL = 1300.0
SHELF_SECTOR_DEG = (340.0, 25.0 + 360.0)
CLASS_C_TOP_FT_MSL = 4000.0
TRANSITION_RADIUS_M = 1900.0
CELL_DEG = 1.0 / 120.0
_AUTHORITY = "Invented Air Navigation Office"
_CORE_NAME = "CORROW FIELD CLASS C (INVENTED)"
_EXTENSION_NAME = "CORROW FIELD CLASS E4 (INVENTED)"
_TRANSITION_NAME = "TERN LANDING CLASS E5 (INVENTED)"


def _limits(low: float, low_code: str, high: float, high_code: str = "MSL") -> dict[str, str | float | None]:
    return {
        "LOWER_VAL": low,
        "LOWER_UOM": "FT",
        "LOWER_CODE": low_code,
        "LOWER_DESC": None,
        "UPPER_VAL": high,
        "UPPER_UOM": "FT",
        "UPPER_CODE": high_code,
        "UPPER_DESC": "TI",
    }


def class_airspace(frame: Frame) -> Table:
    """Class C core and shelf, a Class E extension and a 700-ft transition area."""
    table = Table(
        "class_airspace", "Polygon", _AUTHORITY, "Invented class airspace, edition 2026", "EPSG:4269"
    )
    field = frame.lonlat(places.CORROW_FIELD)
    small = frame.lonlat(places.TERN_FIELD)
    runway = frame.ring(places.CORROW_RUNWAY)
    approach_deg, _, _ = GEOD.inv(*runway[1], *runway[0])

    core = circle(field, CORE_RADIUS_M)
    shelf = ring_sector(field, CORE_RADIUS_M, SHELF_OUTER_M, *SHELF_SECTOR_DEG)
    extension = tongue(field, approach_deg, CORE_RADIUS_M, 7400.0, 900.0)
    transition = circle(small, TRANSITION_RADIUS_M)
    for shape, ident, name, letter, local, limits in (
        (core, "XX01", _CORE_NAME, "C", "CLASS_C", _limits(0.0, "SFC", CLASS_C_TOP_FT_MSL)),
        (shelf, "XX01", _CORE_NAME, "C", "CLASS_C", _limits(SHELF_FLOOR_FT_MSL, "MSL", CLASS_C_TOP_FT_MSL)),
        (extension, "XX01", _EXTENSION_NAME, "E", "CLASS_E4", _limits(0.0, "SFC", CLASS_C_TOP_FT_MSL)),
        (transition, "XX02", _TRANSITION_NAME, "E", "CLASS_E5", _limits(700.0, "AGL", 17999.0)),
    ):
        table.add(
            shape,
            IDENT=ident,
            NAME=name,
            CLASS=letter,
            LOCAL_TYPE=local,
            TYPE_CODE="CLASS",
            **limits,
            WKHR_CODE="H24",
            WKHR_RMK="CONTINUOUS",
            GLOBAL_ID=f"INVENTED-CA-{len(table.rows) + 1:02d}",
        )
    return table


def _cell_ceiling_ft(runway_km: float) -> int:
    """Ceiling of a cell by its distance from the runway: 0 near it, 400 far out."""
    return int(np.clip(50 * math.floor((runway_km - 0.55) / 0.29), 0, 400))


def facility_map(frame: Frame) -> Table:
    """30 arc-second cells wherever they touch the surface area."""
    table = Table("facility_map", "Polygon", _AUTHORITY, "Invented facility map, edition 2026")
    core = circle(frame.lonlat(places.CORROW_FIELD), CORE_RADIUS_M)
    west, south, east, north = core.bounds
    columns = range(math.floor(west / CELL_DEG), math.ceil(east / CELL_DEG))
    rows = range(math.floor(south / CELL_DEG), math.ceil(north / CELL_DEG))
    for j in rows:
        for i in columns:
            west_deg, south_deg, east_deg, north_deg = (round(k * CELL_DEG, 9) for k in (i, j, i + 1, j + 1))
            cell = box(west_deg, south_deg, east_deg, north_deg)
            if core.intersection(cell).area == 0.0:
                continue
            lon, lat = (west_deg + east_deg) / 2, (south_deg + north_deg) / 2
            x, y = frame.local(lon, lat)
            away, _ = line_distance(np.array([x]), np.array([y]), places.CORROW_RUNWAY)
            _add_cell(table, cell, (lon, lat), _cell_ceiling_ft(float(away[0])))
    return table


def _add_cell(table: Table, cell: Polygon, centre: Place, ceiling_ft: int) -> None:
    table.add(
        cell,
        CEILING=ceiling_ft,
        UNIT="Feet",
        MAP_EFF="1/1/2026",
        LAST_EDIT="12/15/2025",
        LATITUDE=round(centre[1], 8),
        LONGITUDE=round(centre[0], 8),
        GLOBALID=f"INVENTED-FM-{len(table.rows) + 1:03d}",
        REGION="INV",
        ARPT_COUNT=1,
        APT1_FAAID="XX01",
        APT1_ICAO=None,
        APT1_NAME="CORROW FIELD (INVENTED)",
        APT1_LAANC=1,
        AIRS_COUNT=1,
        AIRSPACE_1="C",
        AIRSPACE_2=None,
        AIRSPACE_3=None,
        AIRSPACE_4=None,
        AIRSPACE_5=None,
    )


def special_use(frame: Frame) -> Table:
    """One prohibited area over an invented plant; its limits are text, as in the trade."""
    table = Table(
        "special_use_airspace", "Polygon", _AUTHORITY, "Invented special use airspace, edition 2026"
    )
    table.add(
        circle(frame.lonlat(places.PLANT), 700.0),
        NAME="P-INVENTED 1",
        TYPE_CODE="P",
        CLASS=None,
        LOWER_VAL="0",
        LOWER_UOM="FT",
        LOWER_CODE="SFC",
        LOWER_DESC=None,
        UPPER_VAL="2000",
        UPPER_UOM="FT",
        UPPER_CODE="MSL",
        UPPER_DESC="TI",
        TIMESOFUSE="CONTINUOUS",
        CONT_AGENT="INVENTED AIR NAVIGATION OFFICE",
        REMARKS="INVENTED. OVER THE HOLLIN PLANT.",
        GLOBAL_ID="INVENTED-SU-01",
    )
    return table


def security(frame: Frame) -> Table:
    """One standing restriction over an invented signal station."""
    table = Table(
        "security_restrictions", "Polygon", "Invented Guard Service", "Invented restrictions, edition 2026"
    )
    table.add(
        circle(frame.lonlat(places.SIGNAL_STATION), 250.0),
        FAA_ID="INVENTED-1",
        Facility="INVENTED SIGNAL STATION",
        Base="INVENTED SIGNAL STATION",
        Branch="INVENTED",
        Reason="INVENTED",
        Floor="0",
        Ceiling="400",
    )
    return table
