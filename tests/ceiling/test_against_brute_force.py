"""The ceiling along random paths and over random areas against `brute_force`, which shares no code with it.

Source of the truth: the design's definitions, computed a second time by other means. Stated bounds:

* at the program's own samples, heights agree to 2 cm wherever no outline runs within 30 cm (legs are
  straight in a plane here and geodesics there; chart edges are cut to 1 cm);
* between samples, whatever brute force finds unlawful by 10 cm is unlawful at one of the two
  neighbouring samples of the program: nothing above or inside is ever called below or free.
"""

import math
from datetime import timedelta

import numpy as np
import pyproj
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess_live
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict, verdict_of
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.ceiling.brute_force import ASKS, CLOSED, FT, BruteForce, Point, ring_of
from tests.random_worlds import SHARDS, random_plans, random_worlds, unhurried
from tests.worlds import HERE

HEIGHT_BOUND_M = 0.02
CLEARLY_M = 0.1
NEAR_EDGE_M = 0.3
METRES_PER_DEGREE = 111_000.0
WITH_EDGES = ASKS | CLOSED | {AirspaceKind.CLASS_E_OTHER, AirspaceKind.CLASS_E4}


class Edges:
    """How near a point lies to anything at which the answer may jump."""

    def __init__(self, brute):
        outlines = [volume.outline for volume in brute.active if volume.kind in WITH_EDGES]
        outlines += [site.outline for site in brute.world.fixed_sites]
        outlines += [ring_of(record) for record in brute.records if record.ring is not None]
        self.shrink = math.cos(math.radians(HERE.lat_deg))
        self.lines = shapely.union_all([self.scaled(outline.boundary) for outline in outlines])
        self.structures = brute.world.structures
        self.geod = pyproj.Geod(ellps="WGS84")

    def scaled(self, geometry):
        return shapely.transform(geometry, lambda points: points * [self.shrink, 1.0])

    def near(self, lon, lat) -> bool:
        point = shapely.Point(lon * self.shrink, lat)
        if not self.lines.is_empty and self.lines.distance(point) * METRES_PER_DEGREE < NEAR_EDGE_M:
            return True
        for structure in self.structures:
            away = self.geod.inv(lon, lat, structure.place.lon_deg, structure.place.lat_deg)[2]
            radius = 121.92 - (structure.horizontal_error_m or 0.0)
            if abs(away - radius) < NEAR_EDGE_M:
                return True
        return False


def unlawful(brute: BruteForce, point: Point) -> bool:
    """Whether the planned height breaks something, by a clear margin to either side."""
    heights = (point.planned - CLEARLY_M, point.planned, point.planned + CLEARLY_M)
    return not any(brute.lawful(point, height) for height in heights)


def flagged(answer) -> np.ndarray:
    """Per sample: whether the program says that the planned height is not lawful, or not known."""
    profile, planned = answer.profile, answer.track.planned_amsl_m
    over = ~(planned <= profile.ceiling_amsl_m + 1e-6)
    return over | profile.in_closed | profile.in_unpermitted


def is_ready(answer) -> bool:
    """Whether the live part alone, without sight and flight, finds nothing in the way."""
    return verdict_of(answer.findings, answer.permissions) is Verdict.READY


@pytest.mark.parametrize("shard", SHARDS)
@unhurried(300, shards=len(SHARDS))
@given(world=random_worlds(), plan=random_plans())
def test_the_ceiling_along_a_path(shard, world, plan):
    answer = assess_live(plan, world)
    brute = BruteForce(plan, world)
    edges = Edges(brute)
    compare_at_samples(answer, brute, edges)
    compare_between_samples(answer, brute, edges)


def compare_at_samples(answer, brute, edges):
    track, profile = answer.track, answer.profile
    marks = flagged(answer)
    for k in range(len(track)):
        lon, lat = float(track.lon_deg[k]), float(track.lat_deg[k])
        if edges.near(lon, lat):
            continue
        point = brute.point_at(int(track.leg[k]), float(track.fraction[k]), lon, lat)
        where = f"sample {k} at {track.distance_m[k]:.2f} m"
        if point.ground is None or math.isnan(track.ground_amsl_m[k]):
            # Beside a hole a rounding decides; the program must not know more than is known.
            assert point.ground is not None or math.isnan(profile.ceiling_amsl_m[k]), where
            continue
        assert abs(point.ground - track.ground_amsl_m[k]) < HEIGHT_BOUND_M, where
        if point.planned is None and point.share in (0.0, 1.0) and not math.isnan(track.planned_amsl_m[k]):
            # Over unknown ground at the leg's other end the height of this one is known, as it was typed.
            end = brute.plan.path[point.leg + int(point.share)]
            assert abs(brute.end_amsl(end.place, end.height) - track.planned_amsl_m[k]) < HEIGHT_BOUND_M, (
                where
            )
            continue
        if point.planned is None or math.isnan(track.planned_amsl_m[k]):
            assert point.planned is None, where
            assert math.isnan(track.planned_amsl_m[k]), where
            continue
        assert abs(point.planned - track.planned_amsl_m[k]) < HEIGHT_BOUND_M, where
        if near_a_level(brute, point):
            continue
        expected = brute.ceiling(point)
        if expected is None:
            assert math.isnan(profile.ceiling_amsl_m[k]), where
        else:
            assert abs(expected - profile.ceiling_amsl_m[k]) < HEIGHT_BOUND_M, where
        assert brute.lawful(point, point.planned) != marks[k], where


def near_a_level(brute, point) -> bool:
    """Whether the planned height is within the bound of something at which the answer may jump."""
    levels = [brute.limit_at(point.lon, point.lat, point.ground, point.planned), point.ground + 400 * FT]
    for closed in brute.closed_at(point.lon, point.lat, point.ground):
        levels += [closed.low, closed.high]
    return any(abs(level - point.planned) < 2 * HEIGHT_BOUND_M for level in levels)


def compare_between_samples(answer, brute, edges):
    track = answer.track
    marks, ready = flagged(answer), is_ready(answer)
    borders = {leg: np.flatnonzero(track.leg == leg) for leg in range(len(brute.plan.path) - 1)}
    for point in brute.points(spacing_m=9.0):
        if point.ground is None or point.planned is None or edges.near(point.lon, point.lat):
            continue
        if not unlawful(brute, point):
            continue
        samples = borders[point.leg]
        after = int(np.searchsorted(track.fraction[samples], point.share, side="right"))
        pair = samples[max(after - 1, 0) : after + 1]
        assert marks[pair].any(), f"leg {point.leg} at {point.share:.4f} of it"
        assert not ready


@pytest.mark.parametrize("shard", SHARDS)
@unhurried(75, shards=len(SHARDS))
@given(world=random_worlds(), plan=random_plans(with_area=True), shift=st.integers(0, 1_000))
def test_the_limit_over_an_area(shard, world, plan, shift):
    """At every point of a grid over the area: no unlawful height from ground to top is called lawful.

    Bound: heights to 5 cm, as the raster's cells are cut by the area's edge.
    """
    answer = assess_live(plan, world)
    brute = BruteForce(plan, world)
    edges = Edges(brute)
    outline = shapely.Polygon([(place.lon_deg, place.lat_deg) for place in plan.area.ring])
    worst, blind, met = -math.inf, False, set()
    for lon, lat in grid_over(outline, shift):
        ground = brute.ground(lon, lat)
        top = brute.end_amsl(PlaceAt(lon, lat), plan.area.top)
        if ground is None or top is None:
            blind = True
            continue
        worst = max(worst, top - brute.limit_at(lon, lat, ground))
        if edges.near(lon, lat):
            continue
        for closed in brute.closed_at(lon, lat, ground):
            if closed.open_question:
                continue
            if closed.low + CLEARLY_M < top and closed.high - CLEARLY_M > ground and closed.high > closed.low:
                met.add(closed.asks)
    area = answer.area
    assert area.unknown_share > 0 or not blind or area.planned_top_amsl_m is None
    if not blind and math.isfinite(worst):
        assert area.over_height_limit_m >= worst - 0.05
    assert area.in_unpermitted or True not in met
    assert area.in_closed or False not in met
    if blind or met or worst > 0.05:
        assert not is_ready(answer)


class PlaceAt:
    def __init__(self, lon, lat):
        self.lon_deg, self.lat_deg = lon, lat


def grid_over(outline, shift):
    west, south, east, north = outline.bounds
    rng = np.random.default_rng(shift)
    for lon in np.linspace(west, east, 14):
        for lat in np.linspace(south, north, 14):
            lon_, lat_ = lon + rng.normal() * 1e-5, lat + rng.normal() * 1e-5
            if outline.contains(shapely.Point(lon_, lat_)):
                yield float(lon_), float(lat_)


LATER_UTC = worlds.WINDOW.end_utc + timedelta(hours=1)


@pytest.mark.parametrize(
    ("other", "named", "opened"),
    [
        (None, "ALPHA", True),
        ({"kind": AirspaceKind.RESTRICTED}, "ALPHA", False),
        ({"kind": AirspaceKind.STADIUM}, "ALPHA", False),
        ({"kind": AirspaceKind.CLASS_D}, "ALPHA", True),
        ({"kind": AirspaceKind.TEMPORARY}, "ALPHA", True),
        ({"kind": AirspaceKind.TEMPORARY, "active_to_utc": LATER_UTC}, "ALPHA", False),
        ({"kind": AirspaceKind.TEMPORARY, "active_from_utc": LATER_UTC}, "ALPHA", True),
        ({"kind": AirspaceKind.TEMPORARY, "ident": "N-2"}, "ALPHA", False),
        ({"kind": AirspaceKind.TEMPORARY, "ident": "N-2"}, "N-1", True),
    ],
)
def test_what_else_closed_has_a_records_name_both_hold_alike(other, named, opened):
    """That a name alone opens nothing where two have it is our own rule (`permission.namesakes`)."""
    ident = "N-1" if other and "ident" in other else ""
    closed = [worlds.volume(AirspaceKind.TEMPORARY, worlds.disc(600.0), name="ALPHA", key="0", ident=ident)]
    if other is not None:
        aside = worlds.disc(300.0, (1_200.0, 1_200.0))
        closed.append(worlds.volume(outline=aside, name="ALPHA", key="1", **other))
    plan = worlds.plan(
        path=worlds.points([(-100, 0, 100.0), (100, 0, 100.0)]),
        permissions=(worlds.record(named, 110.0, PermissionKind.AGENCY),),
    )
    charts = worlds.world(airspace=tuple(closed))
    answer, brute = assess_live(plan, charts), BruteForce(plan, charts)
    over = {round(brute.ceiling(point) - point.ground, 2) for point in brute.points(spacing_m=50.0)}
    assert over == {110.0 if opened else 0.0}
    compare_at_samples(answer, brute, Edges(brute))
