"""The ceiling a second time, slowly and by other means, for tests only.

Plain Python, one point at a time: legs are geodesics, outlines are asked in
longitude and latitude, distances to structures are geodesic, the ground is
interpolated by hand, and what is lawful is found by listing heights. Nothing
is imported from the rooms under test but the data they are given.
"""

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

import attrs
import shapely

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.geometry import LegShape
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord
from planner.world.airspace import AirspaceKind, AirspaceVolume, LimitReference
from planner.world.world import World
from tests.ceiling.brute_ground import GEOD, UNKNOWN, BruteGround
from tests.ceiling.brute_limits import usable

FT = 0.3048

ASKS = {AirspaceKind.CLASS_B, AirspaceKind.CLASS_C, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2}
CLOSED = {
    AirspaceKind.PROHIBITED,
    AirspaceKind.RESTRICTED,
    AirspaceKind.SECURITY,
    AirspaceKind.STADIUM,
    AirspaceKind.TEMPORARY,
}
FOR_A_TIME = {AirspaceKind.STADIUM, AirspaceKind.TEMPORARY}


@attrs.frozen
class Point:
    """A point of the path: which leg, what share of it, where, how high (None: unknown).

    `lowest` is the lowest ground within the raster's error sideways; where a node lies at the very rim of
    that disc, `lowest_with_rim` counts it and `lowest` doesn't.
    """

    leg: int
    share: float
    lon: float
    lat: float
    ground: float | None
    planned: float | None
    lowest: float | None
    lowest_with_rim: float | None

    @property
    def at_a_leap(self) -> bool:
        """Whether roundings decide what the lowest ground is."""
        return self.lowest != self.lowest_with_rim


@attrs.frozen
class Interval:
    """Heights that are closed: from low (itself closed or not) to high."""

    low: float
    low_closed: bool
    high: float
    asks: bool
    name: str
    open_question: bool = False

    def holds(self, height: float) -> bool:
        above = height >= self.low if self.low_closed else height > self.low
        return above and height <= self.high


class BruteForce:
    """The question "how high?" for one plan in one world."""

    def __init__(self, plan: Plan, world: World) -> None:
        self.plan = plan
        self.world = world
        self.below = BruteGround(world.terrain)
        launch = plan.launch.place if plan.launch else plan.path[0].place
        self.launch_ground = self.below.at(launch.lon_deg, launch.lat_deg)
        self.active = [usable(volume, self.below.at) for volume in world.airspace if self._active(volume)]
        self.records = [record for record in plan.permissions if self._in_time(record)]

    def ground(self, lon: float, lat: float) -> float | None:
        return self.below.at(lon, lat)

    # ---- the path

    def points(self, spacing_m: float) -> Iterator[Point]:
        for leg in range(len(self.plan.path) - 1):
            first, last = self.plan.path[leg], self.plan.path[leg + 1]
            azimuth, _, length = GEOD.inv(
                first.place.lon_deg, first.place.lat_deg, last.place.lon_deg, last.place.lat_deg
            )
            climb = self._climb(leg)
            steps = max(2, math.ceil(max(length, climb or 0.0) / spacing_m))
            for step in range(steps + 1):
                share = step / steps
                lon, lat, _ = GEOD.fwd(first.place.lon_deg, first.place.lat_deg, azimuth, length * share)
                yield self.point_at(leg, share, lon, lat)

    def _climb(self, leg: int) -> float | None:
        ends = [self.end_amsl(point.place, point.height) for point in self.plan.path[leg : leg + 2]]
        return abs(ends[1] - ends[0]) if None not in ends else None

    def point_at(self, leg: int, share: float, lon: float, lat: float) -> Point:
        ground = self.below.at(lon, lat)
        planned = self.planned(leg, share, ground)
        return Point(leg, share, lon, lat, ground, planned, *self.below.lowest(lon, lat, ground))

    def end_amsl(self, place: Place, height: Height) -> float | None:
        if isinstance(height, AboveSeaLevel):
            return height.m
        zero = (
            self.launch_ground
            if isinstance(height, AboveLaunch)
            else self.below.at(place.lon_deg, place.lat_deg)
        )
        return UNKNOWN if zero is None else zero + height.m

    def planned(self, leg: int, share: float, ground: float | None) -> float | None:
        ends = self.plan.path[leg : leg + 2]
        amsl = [self.end_amsl(point.place, point.height) for point in ends]
        if ends[0].leg.shape is LegShape.STRAIGHT:
            return UNKNOWN if None in amsl else amsl[0] * (1 - share) + amsl[1] * share
        above = []
        for point, height in zip(ends, amsl, strict=True):
            if isinstance(point.height, AboveGround):
                above.append(point.height.m)
                continue
            below = self.below.at(point.place.lon_deg, point.place.lat_deg)
            above.append(UNKNOWN if below is None or height is None else height - below)
        if None in above or ground is None:
            return UNKNOWN
        return ground + above[0] * (1 - share) + above[1] * share

    # ---- what is there

    def _active(self, volume: AirspaceVolume) -> bool:
        window = self.plan.window
        if window is None:
            return True
        begun = volume.active_from_utc is None or volume.active_from_utc <= window.end_utc
        over = volume.active_to_utc is not None and volume.active_to_utc < window.start_utc
        return begun and not over

    def _surely_active(self, volume: AirspaceVolume) -> bool:
        """Only then does no height limit of Class G hold at any moment."""
        window, dates = self.plan.window, (volume.active_from_utc, volume.active_to_utc)
        if window is None:
            return dates == (None, None)
        begun = dates[0] is None or dates[0] <= window.start_utc
        return begun and (dates[1] is None or dates[1] >= window.end_utc)

    def _in_question(self, volume: AirspaceVolume) -> bool:
        """Whether nobody but the authority can say if it is open."""
        if volume.kind is AirspaceKind.CLASS_E_OTHER:
            return self.plan.purpose is Purpose.RECREATIONAL
        return volume.kind in {AirspaceKind.CLASS_E3, AirspaceKind.CLASS_E4}

    def answered(self, volume: AirspaceVolume, lon: float, lat: float, ground: float) -> float:
        """The highest height for which the authority has answered."""
        heights = [-math.inf]
        for record in self.records:
            if record.ring is not None and not holds(ring_of(record), lon, lat):
                continue
            speaks = folded(record.airspace) in {folded(volume.name), folded(volume.ident) or None}
            if speaks and record.kind in {PermissionKind.AUTHORIZATION, PermissionKind.AGENCY}:
                heights.append(-math.inf if record.ceiling is None else self.amsl(record.ceiling, ground))
        return max(heights)

    def _in_time(self, record: PermissionRecord) -> bool:
        window = self.plan.window
        if window is None:
            return False
        early = record.valid_from_utc is not None and record.valid_from_utc > window.start_utc
        late = record.valid_to_utc is not None and record.valid_to_utc < window.end_utc
        return not early and not late

    @staticmethod
    def floor(volume: AirspaceVolume, ground: float) -> float:
        match volume.floor.reference:
            case LimitReference.SEA_LEVEL:
                return volume.floor.m
            case LimitReference.ABOVE_GROUND:
                return ground + volume.floor.m
            case LimitReference.UNLIMITED:
                return math.inf
        return -math.inf

    @staticmethod
    def top(volume: AirspaceVolume, ground: float) -> float:
        match volume.top.reference:
            case LimitReference.SEA_LEVEL:
                return volume.top.m
            case LimitReference.ABOVE_GROUND:
                return ground + volume.top.m
            case LimitReference.SURFACE:
                return ground
        return math.inf

    def granted(self, volume: AirspaceVolume, lon: float, lat: float, ground: float) -> float:
        """The highest height that records open in this volume at this point."""
        heights = [-math.inf]
        for record in self.records:
            if record.ring is not None and not holds(ring_of(record), lon, lat):
                continue
            speaks = folded(record.airspace) in {folded(volume.name), folded(volume.ident) or None}
            if volume.kind in CLOSED:
                if speaks and record.kind is PermissionKind.AGENCY and not self.unclear(record, volume):
                    heights.append(-math.inf if record.ceiling is None else self.amsl(record.ceiling, ground))
            elif speaks and record.kind is PermissionKind.AUTHORIZATION:
                heights.append(self.amsl(record.ceiling, ground))
            elif record.kind is PermissionKind.FIXED_SITE_AGREEMENT:
                heights += self.site_heights(record, lon, lat, ground)
        return max(heights)

    def unclear(self, record: PermissionRecord, volume: AirspaceVolume) -> bool:
        """Whether other closed airspace has the name of a record, too: nobody knows whose agency granted."""
        if folded(volume.ident) and folded(record.airspace) == folded(volume.ident):
            return False
        of_that_name = [
            other
            for other in self.active
            if other.kind in CLOSED and folded(other.name) == folded(volume.name)
        ]
        return len({who_and_when(other) for other in of_that_name}) > 1

    def site_heights(self, record: PermissionRecord, lon: float, lat: float, ground: float) -> list[float]:
        if self.plan.purpose is not Purpose.RECREATIONAL:
            return []
        heights = []
        for site in self.world.fixed_sites:
            named = folded(record.airspace) in {folded(site.name), folded(site.key)}
            if named and holds(site.outline, lon, lat):
                own = math.inf if site.ceiling_agl_m is None else ground + site.ceiling_agl_m
                heights.append(min(self.amsl(record.ceiling, ground), own))
        return heights

    def amsl(self, ceiling: Height | None, ground: float) -> float:
        match ceiling:
            case AboveGround():
                return ground + ceiling.m
            case AboveSeaLevel():
                return ceiling.m
            case AboveLaunch():
                return -math.inf if self.launch_ground is None else self.launch_ground + ceiling.m
        return -math.inf

    # ---- what is lawful

    def closed_at(self, lon: float, lat: float, ground: float, below: float | None = None) -> list[Interval]:
        """What is shut over the lowest `ground`; tops count from that straight `below`, else from it."""
        below = ground if below is None else below
        found = []
        for volume in self.active:
            question = self._in_question(volume)
            if not (question or volume.kind in ASKS | CLOSED) or not holds(volume.outline, lon, lat):
                continue
            floor, top = self.floor(volume, ground), self.top(volume, below)
            if question:
                opened = self.answered(volume, lon, lat, ground)
                shut_from = opened if opened > max(floor, ground) else floor
                own_floor = opened <= max(floor, ground) and volume.kind is not AirspaceKind.CLASS_E_OTHER
                found.append(Interval(shut_from, own_floor, top, False, volume.name, open_question=True))
                continue
            opened = self.granted(volume, lon, lat, ground)
            asks = volume.kind in ASKS
            if opened > max(floor, ground):
                found.append(Interval(opened, False, top, asks, volume.name))
            else:
                found.append(Interval(floor, True, top, asks, volume.name))
        return found

    def limit_at(
        self, lon: float, lat: float, ground: float, height: float = math.nan, below: float | None = None
    ) -> float:
        """What the rules on height allow a flight at this height; see `closed_at`."""
        below = ground if below is None else below
        limit = ground + 400 * FT
        if self.plan.purpose is Purpose.PART_107:
            limit = max([limit, *self._structure_limits(lon, lat), *self._waived(lon, lat, ground)])
        if self.plan.purpose is Purpose.RECREATIONAL:
            for record in self.records:
                inside = record.ring is None or holds(ring_of(record), lon, lat)
                if inside and record.kind is PermissionKind.AUTHORIZATION:
                    limit = max([limit, *self.site_heights(record, lon, lat, ground)])
            spans = [
                (self.floor(volume, ground), self.top(volume, below))
                for volume in self.active
                if volume.kind in ASKS and self._surely_active(volume) and holds(volume.outline, lon, lat)
            ]
            for floor, top in sorted(spans):
                if floor <= limit or floor <= height <= top:
                    limit = max(limit, top)
        return limit

    def _structure_limits(self, lon: float, lat: float) -> Iterator[float]:
        for structure in self.world.structures:
            known = None not in (
                structure.top_amsl_m,
                structure.horizontal_error_m,
                structure.vertical_error_m,
            )
            unusable = structure.dismantled or structure.is_point_of_line or not known
            if unusable or structure.key not in self.plan.structures_standing:
                continue
            _, _, away = GEOD.inv(lon, lat, structure.place.lon_deg, structure.place.lat_deg)
            if away <= 400 * FT - structure.horizontal_error_m:
                yield structure.top_amsl_m - structure.vertical_error_m + 400 * FT

    def _waived(self, lon: float, lat: float, ground: float) -> Iterator[float]:
        for record in self.records:
            inside = record.ring is None or holds(ring_of(record), lon, lat)
            if record.kind is PermissionKind.WAIVER and "107.51" in record.airspace and inside:
                yield self.amsl(record.ceiling, ground)

    def lawful(self, point: Point, height: float) -> bool:
        assert point.lowest is not None
        limit = self.limit_at(point.lon, point.lat, point.lowest, height, point.ground)
        # Under the ground it is not the height that is wrong.
        if height > max(limit, point.ground):
            return False
        closed = self.closed_over(point)
        if height <= point.ground and self._settled(point, height, limit, closed) <= point.ground:
            # All above the ground is closed whatever the authority says: its answer changes nothing below.
            closed = [i for i in closed if not i.open_question]
        return not any(interval.holds(height) for interval in closed)

    def closed_over(self, point: Point) -> list[Interval]:
        return self.closed_at(point.lon, point.lat, point.lowest, point.ground)

    def ceiling(self, point: Point) -> float | None:
        """The top of the lawful range that holds the planned height, else of the next lower one.

        Unknown where only the authority can say, unless nothing is allowed whatever it says.
        """
        if point.ground is None or point.lowest is None:
            return UNKNOWN
        planned = point.ground if point.planned is None else point.planned
        limit = self.limit_at(point.lon, point.lat, point.lowest, planned, point.ground)
        closed = self.closed_over(point)
        settled = self._settled(point, planned, limit, closed)
        if settled <= point.ground:
            return settled
        if any(i.open_question and i.holds(min(planned, limit)) for i in closed):
            return UNKNOWN
        return self._ceiling_under(point, planned, limit, closed)

    def _settled(self, point: Point, planned: float, limit: float, closed: list[Interval]) -> float:
        return self._ceiling_under(point, planned, limit, [i for i in closed if not i.open_question])

    @staticmethod
    def _ceiling_under(point: Point, planned: float, limit: float, closed: list[Interval]) -> float:
        bottom = min(point.ground, planned, limit) - 10_000.0
        marks = sorted(
            {
                mark
                for mark in (limit, planned, *(i.low for i in closed), *(i.high for i in closed))
                if bottom < mark <= limit
            }
            | {bottom, limit}
        )
        best = -math.inf
        for low, high in pairwise(marks):
            free = not any(interval.holds((low + high) / 2) for interval in closed)
            if free and (low < planned or best == low):
                best = high
        return max(best, point.ground)


def who_and_when(volume: AirspaceVolume) -> tuple[object, ...]:
    """What tells closed airspace of one name apart: its identifier; without one kind, agency and times."""
    if folded(volume.ident):
        return (folded(volume.ident),)
    times = (volume.active_from_utc, volume.active_to_utc)
    return (folded(volume.agency), volume.kind, times if volume.kind in FOR_A_TIME else None)


def folded(name: str) -> str:
    return " ".join(name.split()).casefold()


@lru_cache(maxsize=64)
def ring_of(record: PermissionRecord) -> shapely.Polygon:
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in record.ring])


def holds(outline: shapely.Polygon, lon: float, lat: float) -> bool:
    # Of a point this is "covers", without an object for each.
    return bool(shapely.intersects_xy(outline, lon, lat))
