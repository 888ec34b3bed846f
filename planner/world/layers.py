"""Layers of chart data: who published them, when they hold, where they speak."""

from datetime import datetime
from enum import StrEnum
from functools import cached_property

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

SNAP_DEG = 1e-5
"""Published outlines that should meet miss each other by up to this much (about 1 m)."""


class LayerName(StrEnum):
    """Every kind of layer the program knows; also the table names of a chart set."""

    TERRAIN = "terrain"
    CLASS_AIRSPACE = "class_airspace"
    SPECIAL_USE = "special_use_airspace"
    FACILITY_MAP = "facility_map"
    SECURITY = "security_restrictions"
    STADIUMS = "stadiums"
    STADIUM_EVENTS = "stadium_events"
    TEMPORARY = "temporary_restrictions"
    FIXED_SITES = "fixed_sites"
    EXEMPT_AREAS = "exempt_areas"
    PARK_LANDS = "park_lands"
    UAS_ZONES = "uas_zones"
    TRAINING_ROUTES = "training_routes"
    PARACHUTE_SITES = "parachute_sites"
    GLIDER_SITES = "glider_sites"
    OBSTACLES = "obstacles"
    WIRES = "wires"
    AERODROMES = "aerodromes"
    RUNWAYS = "runways"
    FREQUENCIES = "frequencies"
    ROADS = "roads"
    BUILDINGS = "buildings"
    GATHERING_PLACES = "gathering_places"
    WATER = "water"
    LAND_COVER = "land_cover"


@attrs.frozen(eq=False)
class Jurisdiction:
    """Whose rules a chart set was made for, and where (lon/lat; None: not bounded)."""

    code: str
    name: str
    area: BaseGeometry | None = None
    invented: bool = False


@attrs.frozen(eq=False)
class LayerRecord:
    """Provenance of one layer.

    `coverage` (lon/lat) bounds where the layer is complete; None: the layer
    shows what it contains and says nothing of anything else. Dates of None are
    not known. `damage` says why the layer can't be read, '' if it can; it
    concerns the coverage if there is one, else every place.
    """

    name: LayerName
    publisher: str
    source: str
    effective_utc: datetime | None = None
    expires_utc: datetime | None = None
    features: int = 0
    coverage: BaseGeometry | None = None
    chart_set: str = ""
    damage: str = ""
    jurisdiction: Jurisdiction | None = None

    @cached_property
    def reach(self) -> BaseGeometry | None:
        """Where the layer speaks within its jurisdiction, prepared and wider by `SNAP_DEG`; None: nowhere."""
        if self.coverage is None:
            return None
        area = self.jurisdiction.area if self.jurisdiction else None
        inside = self.coverage if area is None else self.coverage.intersection(area)
        reach = inside.buffer(SNAP_DEG)
        shapely.prepare(reach)
        return reach
