"""Ground and limits a second time, for many places at once: by numpy and plane geometry, for tests only.

All is laid out in metres east and north of HERE (azimuth and distance, as `worlds.at` has it). Nothing is
imported from the rooms under test but the data they are given. Each question has two readings: what is
unlawful for sure (every doubt in the flight's favour), and what may be (every doubt against it).
"""

import math
from collections.abc import Iterator
from functools import cached_property

import attrs
import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference
from planner.world.terrain import Terrain
from planner.world.world import World
from tests.worlds import HERE

Floats = NDArray[np.float64]

FT = 0.3048
LIMIT_M = 400 * FT
GEOD = pyproj.Geod(ellps="WGS84")

ASKS = {AirspaceKind.CLASS_B, AirspaceKind.CLASS_C, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2}
CLOSED = {AirspaceKind.PROHIBITED, AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY}
QUESTIONS = {AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E4}
# Depth of what is shut from the ground up: no height says how far in it is.
SHUT_M = 100.0
SURELY_INSIDE_M = 0.5
MAYBE_INSIDE_M = 1.0


def plane(lon_deg, lat_deg) -> Floats:
    """East and north of HERE (n, 2), by azimuth and distance."""
    lon, lat = np.atleast_1d(lon_deg), np.atleast_1d(lat_deg)
    azimuth, _, far = GEOD.inv(np.full(len(lon), HERE.lon_deg), np.full(len(lat), HERE.lat_deg), lon, lat)
    turned = np.radians(azimuth)
    return np.column_stack([far * np.sin(turned), far * np.cos(turned)])


def plane_polygon(polygon: shapely.Polygon) -> shapely.Polygon:
    return shapely.Polygon(plane(*np.array(polygon.exterior.coords[:-1]).T))


class TwinGround:
    """Bilinear ground, and the lowest within the raster's error sideways."""

    def __init__(self, terrain: Terrain, reach_m: float = 800.0) -> None:
        self.heights = terrain.heights_m.astype(float)
        self.error_m = terrain.horizontal_uncertainty_m
        side = np.linspace(-reach_m, reach_m, 13)
        east, north = (axis.ravel() for axis in np.meshgrid(side, side))
        azimuth, far = np.degrees(np.arctan2(east, north)), np.hypot(east, north)
        here = np.full(len(east), HERE.lon_deg), np.full(len(east), HERE.lat_deg)
        lon, lat, _ = GEOD.fwd(*here, azimuth, far)
        to_raster = pyproj.Transformer.from_crs("EPSG:4326", terrain.crs, always_xy=True)
        x, y = to_raster.transform(lon, lat)
        cells = terrain.cell_to_crs
        wanted = np.column_stack([(x - cells.c) / cells.a - 0.5, (y - cells.f) / cells.e - 0.5])
        self.scale = 1e-3
        self.fit = np.linalg.lstsq(self._terms(east, north), wanted, rcond=None)[0]
        off = np.abs(self._terms(east, north) @ self.fit - wanted).max()
        assert off < 2e-3, f"the raster is not where the twin takes it to be: {off} cells"
        self.cell_m = 1.0 / math.hypot(*(self._terms(1.0, 0.0) - self._terms(0.0, 0.0))[0] @ self.fit)

    def _terms(self, east, north) -> Floats:
        e, n = np.atleast_1d(east) * self.scale, np.atleast_1d(north) * self.scale
        return np.column_stack([np.ones_like(e), e, n, e * e, e * n, n * n])

    def raster(self, east, north) -> tuple[Floats, Floats]:
        """Column and row as fractions, from the middle of the first cell."""
        e, n = np.atleast_1d(east) * self.scale, np.atleast_1d(north) * self.scale
        across, down = (
            one[0] + e * (one[1] + one[3] * e + one[4] * n) + n * (one[2] + one[5] * n) for one in self.fit.T
        )
        return across, down

    def at(self, east, north) -> Floats:
        across, down = self.raster(east, north)
        rows, columns = self.heights.shape
        left = np.clip(np.floor(across), 0, columns - 2).astype(int)
        upper = np.clip(np.floor(down), 0, rows - 2).astype(int)
        fx, fy = across - left, down - upper
        corner = self.heights
        found = (corner[upper, left] * (1 - fx) + corner[upper, left + 1] * fx) * (1 - fy) + (
            corner[upper + 1, left] * (1 - fx) + corner[upper + 1, left + 1] * fx
        ) * fy
        outside = (across < 0) | (down < 0) | (across > columns - 1) | (down > rows - 1)
        return np.where(outside, np.nan, found)

    def lowest(self, east, north) -> Floats:
        """Never lower than the lowest ground within the error: places of three rings are looked at."""
        found = self.at(east, north)
        if self.error_m <= 0.0:
            return found
        for share in (0.5, 0.999):
            for turn in np.linspace(0.0, 2 * np.pi, 12, endpoint=False):
                aside = self.error_m * share
                found = np.fmin(found, self.at(east + aside * np.cos(turn), north + aside * np.sin(turn)))
        return found

    def no_higher(self, east, north) -> Floats:
        """Never higher than the lowest ground within the error: the lowest node of a square about it."""
        if self.error_m <= 0.0:
            return self.at(east, north)
        lowest, first = self._squares
        across, down = (np.rint(axis).astype(int) for axis in self.raster(east, north))
        rows, columns = lowest.shape
        return lowest[np.clip(down - first, 0, rows - 1), np.clip(across - first, 0, columns - 1)]

    @cached_property
    def _squares(self) -> tuple[Floats, int]:
        reach = math.ceil(self.error_m / self.cell_m) + 1
        lowest = self.heights
        for axis in (0, 1):
            lowest = np.lib.stride_tricks.sliding_window_view(lowest, 2 * reach + 1, axis=axis).min(axis=-1)
        return lowest, reach


@attrs.frozen(eq=False)
class Zone:
    """An airspace, its outline smaller and larger by what edges may be off."""

    volume: AirspaceVolume
    surely: shapely.Polygon
    maybe: shapely.Polygon
    outline: shapely.Polygon


@attrs.frozen(eq=False)
class Told:
    """By how much heights are unlawful (n,), negative where they are not; by which zone, -1: the ground."""

    depth_m: Floats
    zone: NDArray[np.int64]


class TwinAir:
    """What one plan may do in one world, place by place."""

    def __init__(self, plan: Plan, world: World) -> None:
        self.plan, self.world = plan, world
        self.below = TwinGround(world.terrain)
        self.zones = [self._zone(volume) for volume in world.airspace]
        launch = plane(plan.launch.place.lon_deg, plan.launch.place.lat_deg)[0]
        self.launch_ground = float(self.below.at(*launch)[0])
        self.rings = {id(one): self._ring(one) for one in plan.permissions}

    @staticmethod
    def _zone(volume: AirspaceVolume) -> Zone:
        outline = plane_polygon(volume.outline)
        return Zone(volume, outline.buffer(-SURELY_INSIDE_M), outline.buffer(MAYBE_INSIDE_M), outline)

    @staticmethod
    def _ring(record: PermissionRecord) -> shapely.Polygon | None:
        if record.ring is None:
            return None
        return shapely.Polygon(plane([p.lon_deg for p in record.ring], [p.lat_deg for p in record.ring]))

    def amsl(self, height: Height | None, ground: Floats) -> Floats:
        match height:
            case AboveGround(m=m):
                return ground + m
            case AboveSeaLevel(m=m):
                return np.full(len(ground), m)
            case AboveLaunch(m=m):
                return np.full(len(ground), self.launch_ground + m)
        return np.full(len(ground), -np.inf)

    # ---- limits

    def unlawful(self, x: Floats, y: Floats, z: Floats, *, surely: bool) -> Told:
        """By how much heights [m AMSL] at places of the plane are above what is lawful, or inside."""
        ground = self.below.at(x, y)
        lowest = self.below.lowest(x, y) if surely else self.below.no_higher(x, y)
        depth = z - self.height_limit(x, y, z, lowest, ground, surely=surely)
        zone = np.full(len(x), -1)
        for k, one in enumerate(self.zones):
            inside = shapely.contains_xy(one.surely if surely else one.maybe, x, y)
            if not inside.any() or not self._matters(one.volume):
                continue
            rows = np.flatnonzero(inside)
            deep = self._in_zone(one, x[rows], y[rows], z[rows], (lowest[rows], ground[rows]), surely=surely)
            more = deep > depth[rows]
            depth[rows[more]], zone[rows[more]] = deep[more], k
        return Told(np.nan_to_num(depth, nan=-np.inf), zone)

    def _matters(self, volume: AirspaceVolume) -> bool:
        return volume.kind in ASKS | CLOSED | QUESTIONS

    def _in_zone(self, zone: Zone, x, y, z, grounds, *, surely: bool) -> Floats:
        """How deep heights are in what a zone shuts: the less of the ways out, up or down."""
        lowest, ground = grounds
        floor, top = self.floor(zone.volume, lowest), self.top(zone.volume, ground)
        opened = self.granted(zone.volume, x, y, lowest, surely=surely)
        low = np.where(opened > np.maximum(floor, lowest), opened, floor)
        return np.minimum(np.where(np.isneginf(low), SHUT_M, z - low), np.minimum(top - z, SHUT_M))

    @staticmethod
    def floor(volume: AirspaceVolume, ground: Floats) -> Floats:
        match volume.floor.reference:
            case LimitReference.SEA_LEVEL:
                return np.full(len(ground), volume.floor.m)
            case LimitReference.ABOVE_GROUND:
                return ground + volume.floor.m
        return np.full(len(ground), -np.inf)

    @staticmethod
    def top(volume: AirspaceVolume, ground: Floats) -> Floats:
        match volume.top.reference:
            case LimitReference.SEA_LEVEL:
                return np.full(len(ground), volume.top.m)
            case LimitReference.ABOVE_GROUND:
                return ground + volume.top.m
        return np.full(len(ground), np.inf)

    def granted(self, volume: AirspaceVolume, x, y, lowest: Floats, *, surely: bool) -> Floats:
        """The highest height that records open there; names are one airspace's own."""
        found = np.full(len(x), -np.inf)
        kinds = {PermissionKind.AUTHORIZATION}
        if volume.kind in CLOSED:
            kinds = {PermissionKind.AGENCY}
        elif volume.kind in QUESTIONS:
            kinds = {PermissionKind.AUTHORIZATION, PermissionKind.AGENCY}
        for record in self.plan.permissions:
            if record.airspace != volume.name or record.kind not in kinds:
                continue
            ring = self.rings[id(record)]
            height = self.amsl(record.ceiling, lowest)
            if ring is not None:
                ring = ring.buffer(SURELY_INSIDE_M if surely else -MAYBE_INSIDE_M)
                height = np.where(shapely.contains_xy(ring, x, y), height, -np.inf)
            found = np.maximum(found, height)
        return found

    def height_limit(self, x, y, z, lowest, ground, *, surely: bool) -> Floats:
        """400 ft above the lowest ground; more by structures (Part 107) or where authority decides."""
        limit = lowest + LIMIT_M
        slack = SURELY_INSIDE_M if surely else -MAYBE_INSIDE_M
        if self.plan.purpose is Purpose.PART_107:
            for place, radius, top in self._structures():
                near = np.hypot(x - place[0], y - place[1]) <= radius + slack
                limit = np.where(near, np.maximum(limit, top + LIMIT_M), limit)
            return limit
        for one in sorted(self.zones, key=lambda zone: self._floor_order(zone.volume)):
            if one.volume.kind not in ASKS:
                continue
            inside = shapely.contains_xy(one.maybe if surely else one.surely, x, y)
            floor, top = self.floor(one.volume, lowest), self.top(one.volume, ground)
            lifts = inside & ((floor <= limit) | ((floor <= z) & (z <= top)))
            limit = np.where(lifts, np.maximum(limit, top), limit)
        return limit

    @staticmethod
    def _floor_order(volume: AirspaceVolume) -> float:
        return volume.floor.m or 0.0

    def _structures(self) -> Iterator[tuple[Floats, float, float]]:
        for one in self.world.structures:
            errors = one.horizontal_error_m, one.vertical_error_m
            if one.key not in self.plan.structures_standing or None in errors or one.top_amsl_m is None:
                continue
            place = plane(one.place.lon_deg, one.place.lat_deg)[0]
            yield place, LIMIT_M - errors[0], one.top_amsl_m - errors[1]
