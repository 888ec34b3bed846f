"""Small synthetic worlds and complete plans, so that a test changes one thing at a time.

Everything lies about HERE, in the open ocean: invented, like all that stands
on it. By default every layer is complete and current, the ground is level at
GROUND_M without any uncertainty, and the plan lacks nothing.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache

import attrs
import numpy as np
import pyproj
import shapely
from affine import Affine

from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, Height
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.crew import Contact, CrewMember, Role, Task, TriedRange
from planner.plan.geometry import Area, Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Plan, Purpose
from planner.plan.records import NoticesChecked, PermissionKind, PermissionRecord
from planner.units import FOOT_M
from planner.world.airspace import (
    SURFACE,
    AirspaceKind,
    AirspaceVolume,
    FacilityCell,
    LimitReference,
    VerticalLimit,
)
from planner.world.layers import LayerName, LayerRecord
from planner.world.sites import FixedSite
from planner.world.structures import Structure
from planner.world.terrain import SurfaceKind, Terrain
from planner.world.world import World

HERE = Place(-150.2, 37.8)
GROUND_M = 1000 * FOOT_M
START = datetime(2027, 6, 12, 19, 0, tzinfo=UTC)
WINDOW = TimeWindow(START, START + timedelta(hours=1))
EVERYWHERE = shapely.box(HERE.lon_deg - 1, HERE.lat_deg - 1, HERE.lon_deg + 1, HERE.lat_deg + 1)

TRIED = (TriedRange("5-inch quad", date(2027, 6, 1), "INVENTED", 9_000.0, against_sun=True),)
"""Farther than any true one, so that plans of kilometres fail on sight only where a test wants it."""

SCANS, WATCHES = frozenset({Task.SCAN}), frozenset({Task.WATCH})

Offset = tuple[float, float]
Relief = Callable[[np.ndarray, np.ndarray], np.ndarray]


def ft(feet: float) -> float:
    return feet * FOOT_M


def at(east_m: float = 0.0, north_m: float = 0.0) -> Place:
    """The place that lies so far east and north of HERE, by azimuth and distance."""
    azimuth_deg = math.degrees(math.atan2(east_m, north_m))
    return travel(HERE, TrueBearing(azimuth_deg), math.hypot(east_m, north_m))


# ---- ground


def level(height_m: float = GROUND_M) -> Relief:
    return lambda east_m, _north_m: np.full(np.shape(east_m), height_m)


def slope(rise_per_m: float, base_m: float = GROUND_M) -> Relief:
    return lambda east_m, _north_m: base_m + rise_per_m * east_m


def cliff(drop_m: float, base_m: float = GROUND_M) -> Relief:
    """High west of HERE, low east of it."""
    return lambda east_m, _north_m: np.where(east_m < 0, base_m, base_m - drop_m)


@lru_cache(maxsize=1)
def level_terrain() -> Terrain:
    """The default ground: level, and the same object each time."""
    return terrain()


def terrain(
    relief: Relief | None = None,
    *,
    cell_m: float = 30.0,
    cells: int = 201,
    geographic: bool = False,
    horizontal_uncertainty_m: float = 0.0,
    vertical_uncertainty_m: float = 0.0,
) -> Terrain:
    """A raster about HERE in UTM, or in longitude and latitude."""
    crs = pyproj.CRS("EPSG:4326" if geographic else "EPSG:32605")
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    x, y = to_crs.transform(HERE.lon_deg, HERE.lat_deg)
    width = cell_m / (111_320.0 * math.cos(math.radians(HERE.lat_deg))) if geographic else cell_m
    height = cell_m / 111_000.0 if geographic else cell_m
    transform = Affine(width, 0.0, x - width * cells / 2, 0.0, -height, y + height * cells / 2)
    offset_m = (np.arange(cells) - (cells - 1) / 2) * cell_m
    east_m, north_m = np.meshgrid(offset_m, -offset_m)
    heights_m = (relief or level())(east_m, north_m).astype(np.float32)
    return terrain_of(
        heights_m,
        transform,
        crs,
        horizontal_uncertainty_m=horizontal_uncertainty_m,
        vertical_uncertainty_m=vertical_uncertainty_m,
    )


def terrain_of(heights_m: np.ndarray, transform: Affine, crs: pyproj.CRS, **uncertainty: float) -> Terrain:
    """Bare earth whose heights count from the authority's zero."""
    stated = {"surface": SurfaceKind.BARE_EARTH, "vertical_datum": "NAVD 88"}
    return Terrain(heights_m, transform, crs, **stated, **uncertainty)


# ---- outlines


@lru_cache(maxsize=64)
def disc(radius_m: float, centre: Offset = (0.0, 0.0), corners: int = 720) -> shapely.Polygon:
    """A polygon of geodesic distance `radius_m` about an offset from HERE."""
    middle = at(*centre)
    ring = [travel(middle, TrueBearing(deg), radius_m) for deg in np.linspace(0, 360, corners + 1)[:-1]]
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in ring])


def box(west_m: float, south_m: float, east_m: float, north_m: float) -> shapely.Polygon:
    return polygon([(west_m, south_m), (east_m, south_m), (east_m, north_m), (west_m, north_m)])


def polygon(offsets: Iterable[Offset]) -> shapely.Polygon:
    places = [at(*offset) for offset in offsets]
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in places])


# ---- what is there


def sea_level(metres: float) -> VerticalLimit:
    return VerticalLimit(LimitReference.SEA_LEVEL, metres)


def above_ground(metres: float) -> VerticalLimit:
    return VerticalLimit(LimitReference.ABOVE_GROUND, metres)


def volume(
    kind: AirspaceKind = AirspaceKind.CLASS_D,
    outline: shapely.Polygon | None = None,
    floor: VerticalLimit = SURFACE,
    top: VerticalLimit | None = None,
    **changes: object,
) -> AirspaceVolume:
    """By default a surface area of 8 km about HERE with its top 2,500 ft above GROUND_M."""
    name = str(changes.pop("name", f"INVENTED {kind.value.upper()}"))
    return AirspaceVolume(
        key=str(changes.pop("key", f"{name} {floor.reference} {floor.m}")),
        name=name,
        kind=kind,
        outline=disc(8_000.0) if outline is None else outline,
        floor=floor,
        top=sea_level(GROUND_M + ft(2500)) if top is None else top,
        **changes,
    )


def cell(feet: float | None, outline: shapely.Polygon | None = None, **changes: object) -> FacilityCell:
    """A facility map cell, by default 20 km wide; None: its published figure is no value."""
    return FacilityCell(
        key=str(changes.pop("key", f"cell {feet}")),
        outline=box(-10_000, -10_000, 10_000, 10_000) if outline is None else outline,
        ceiling_agl_m=None if feet is None else ft(feet),
        **changes,
    )


def tower(
    height_ft: float, place: Offset = (0.0, 0.0), base_m: float = GROUND_M, **changes: object
) -> Structure:
    """A structure whose record is exact unless the test says otherwise."""
    given: dict[str, object] = {
        "key": f"tower {height_ft:g}",
        "kind": "TOWER",
        "place": at(*place),
        "top_amsl_m": base_m + ft(height_ft),
        "height_agl_m": ft(height_ft),
        "horizontal_error_m": 0.0,
        "vertical_error_m": 0.0,
    }
    return Structure(**{**given, **changes})


def fixed_site(outline: shapely.Polygon | None = None, ceiling_ft: float | None = None) -> FixedSite:
    return FixedSite(
        "site",
        "INVENTED MEADOW",
        disc(1_000.0) if outline is None else outline,
        None if ceiling_ft is None else ft(ceiling_ft),
    )


def layer(name: LayerName, **changes: object) -> LayerRecord:
    given: dict[str, object] = {
        "publisher": "Invented Authority",
        "source": "invented",
        "effective_utc": START - timedelta(days=10),
        "expires_utc": START + timedelta(days=18),
        "coverage": EVERYWHERE,
        "chart_set": "invented",
    }
    return LayerRecord(name, **{**given, **changes})


def layers(**changes: LayerRecord | None) -> tuple[LayerRecord, ...]:
    """Complete and current records of all layers; `terrain=None` leaves one out."""
    kept = {name: changes.get(name.name.lower(), layer(name)) for name in LayerName}
    return tuple(record for record in kept.values() if record is not None)


def world(**changes: object) -> World:
    given: dict[str, object] = {"terrain": level_terrain(), "layers": layers()}
    return World(**{**given, **changes})


# ---- what is intended


def points(
    path: Sequence[tuple[float, float, Height | float]], shape: LegShape = LegShape.STRAIGHT
) -> tuple[PathPoint, ...]:
    """Path points from (east, north, height); a bare figure is metres above ground."""
    return tuple(
        PathPoint(
            at(east_m, north_m),
            AboveGround(height) if isinstance(height, int | float) else height,
            Leg(shape),
        )
        for east_m, north_m, height in path
    )


def hover(height: Height | float, place: Offset = (0.0, 0.0)) -> tuple[PathPoint, ...]:
    """A path of one metre at one height: near enough to one point."""
    return points([(*place, height), (place[0], place[1] + 1.0, height)])


def area(outline: shapely.Polygon, top: Height | None) -> Area:
    return Area(tuple(Place(lon, lat) for lon, lat in outline.exterior.coords[:-1]), top)


def plan(purpose: Purpose | None = Purpose.PART_107, **changes: object) -> Plan:
    """A complete plan: one kilometre west to east at 30 m above the ground."""
    given: dict[str, object] = {
        "purpose": purpose,
        "guidelines": "INVENTED GUIDELINES" if purpose is Purpose.RECREATIONAL else "",
        "aircraft": Aircraft("5-inch quad", 0.62, 0.35),
        "crew": (
            CrewMember("pilot", Role.REMOTE_PILOT, "", at(), Contact.BESIDE, TRIED),
            CrewMember("observer", Role.OBSERVER, "", at(0, 1), Contact.BESIDE, TRIED, frozenset(Task)),
        ),
        "visibility_m": 30_000.0,
        "window": WINDOW,
        "launch": GroundSpot(at(), LandStatus.OWN),
        "landing": GroundSpot(at(), LandStatus.OWN),
        "path": points([(-500, 0, 30.0), (500, 0, 30.0)]),
        "notices": NoticesChecked(START - timedelta(hours=1), "pilot"),
        "chart_sets": ("invented",),
    }
    return Plan(**{**given, **changes})


def recreational(**changes: object) -> Plan:
    return plan(Purpose.RECREATIONAL, **changes)


def record(
    airspace: str,
    ceiling: Height | float | None,
    kind: PermissionKind = PermissionKind.AUTHORIZATION,
    **changes: object,
) -> PermissionRecord:
    """A permission on record; a bare figure is metres above ground."""
    height = AboveGround(ceiling) if isinstance(ceiling, int | float) else ceiling
    return PermissionRecord(str(changes.pop("reference", "INVENTED-1")), kind, airspace, height, **changes)


def without(values: tuple[object, ...], number: int) -> tuple[object, ...]:
    return (*values[:number], *values[number + 1 :])


def changed(record: LayerRecord, **changes: object) -> LayerRecord:
    return attrs.evolve(record, **changes)
