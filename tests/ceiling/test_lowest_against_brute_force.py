"""The ceiling over ground that is known with an error sideways, along random paths, against `brute_force`.

Source of the truth: the design's definitions, computed a second time by other means, without shared code:
geodesics to the corners of the disc and to the raster's nodes. Stated bounds:

* at the program's own samples, the lowest ground within the error and the ceiling agree to 2 cm;
* nowhere between two samples does that ground lie 10 cm under the line;
* whatever brute force finds unlawful there by 10 cm is unlawful at one of the two samples.

Left out is where a node of the raster lies within a centimetre of the disc's rim: there it leaps.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess_live
from tests.ceiling.brute_force import FT, BruteForce
from tests.ceiling.test_against_brute_force import CLEARLY_M, HEIGHT_BOUND_M, Edges, flagged, unlawful
from tests.random_worlds import SHARDS, random_plans, random_worlds, unhurried

SIDEWAYS_M = st.sampled_from([3.0, 12.0, 20.0, 70.0])
SAMPLES_APART = 16
PLACES_APART_M = 29.0


@pytest.mark.parametrize("shard", SHARDS)
@unhurried(3, shards=len(SHARDS))
@given(world=random_worlds(sideways=SIDEWAYS_M), plan=random_plans())
def test_the_ceiling_over_the_lowest_ground_within_the_error_sideways(shard, world, plan):
    answer = assess_live(plan, world)
    brute = BruteForce(plan, world)
    edges = Edges(brute)
    compare_at_samples(answer, brute, edges)
    compare_between_samples(answer, brute, edges)


def compare_at_samples(answer, brute, edges):
    track, profile, marks = answer.track, answer.profile, flagged(answer)
    for k in range(0, len(track), SAMPLES_APART):
        place = float(track.lon_deg[k]), float(track.lat_deg[k])
        point = brute.point_at(int(track.leg[k]), float(track.fraction[k]), *place)
        where = f"sample {k} at {track.distance_m[k]:.2f} m"
        if point.at_a_leap or edges.near(*place):
            continue
        if point.lowest is None or math.isnan(track.lowest_ground_amsl_m[k]):
            # Beside a hole a rounding decides; the program must not know more than is known.
            assert point.lowest is not None or math.isnan(profile.ceiling_amsl_m[k]), where
            continue
        assert abs(point.lowest - track.lowest_ground_amsl_m[k]) < HEIGHT_BOUND_M, where
        if point.planned is None or near_a_level(brute, point):
            continue
        expected = brute.ceiling(point)
        if expected is None:
            assert math.isnan(profile.ceiling_amsl_m[k]), where
        else:
            assert abs(expected - profile.ceiling_amsl_m[k]) < HEIGHT_BOUND_M, where
        assert brute.lawful(point, point.planned) != marks[k], where


def near_a_level(brute, point) -> bool:
    """Whether the planned height is within the bound of something at which the answer may jump."""
    limit = brute.limit_at(point.lon, point.lat, point.lowest, point.planned, point.ground)
    levels = [limit, point.lowest + 400 * FT, point.ground]
    for closed in brute.closed_over(point):
        levels += [closed.low, closed.high]
    return any(abs(level - point.planned) < 2 * HEIGHT_BOUND_M for level in levels)


def compare_between_samples(answer, brute, edges):
    track, marks = answer.track, flagged(answer)
    legs = {leg: np.flatnonzero(track.leg == leg) for leg in range(len(brute.plan.path) - 1)}
    for point in brute.points(spacing_m=PLACES_APART_M):
        if point.lowest is None or point.at_a_leap:
            continue
        own = legs[point.leg]
        where = f"leg {point.leg} at {point.share:.4f} of it"
        line_m = np.interp(point.share, track.fraction[own], track.lowest_ground_amsl_m[own])
        assert not line_m > point.lowest + CLEARLY_M, where
        if point.planned is None or edges.near(point.lon, point.lat) or not unlawful(brute, point):
            continue
        after = int(np.searchsorted(track.fraction[own], point.share, side="right"))
        assert marks[own[max(after - 1, 0) : after + 1]].any(), where
