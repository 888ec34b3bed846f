"""What comes near ways to one hub, and what stands between them, is found as by asking each of each.

Source: distances by shapely, of every way and every triangle to every disc.
"""

import itertools

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.between_ways import LevelWays, over_obstacles
from planner.flight.obstacles import Obstacles
from planner.flight.seen_from_hub import SeenFromHub

UNSURE_M = 1e-6


def scene(seed):
    """Ways from places about a hub, some at it, beyond it or all round it, and masts of any reach."""
    draw = np.random.default_rng(seed)
    count, masts = int(draw.integers(1, 40)), int(draw.integers(0, 30))
    hub = tuple(draw.uniform(-500, 500, 2).tolist())
    spread = draw.choice([5.0, 60.0, 400.0])
    x_m, y_m = hub[0] + draw.normal(0, spread, count), hub[1] + draw.normal(0, spread, count)
    if draw.uniform() < 0.5:
        # A line to the west, where bearings leap by a whole turn.
        x_m, y_m = hub[0] - np.linspace(1.0, 300.0, count), hub[1] + draw.normal(0, 2.0, count)
    if draw.uniform() < 0.3:
        x_m[draw.integers(count)], y_m[draw.integers(count)] = hub
        x_m[0], y_m[0] = hub
    ways = LevelWays(x_m, y_m, hub, 100.0 + draw.integers(0, 4, count), bool(draw.uniform() < 0.8))
    spots = np.array(hub) + draw.normal(0, spread, (masts, 2))
    tops, radii = 90.0 + draw.integers(0, 4, masts), draw.choice([0.0, 0.5, 10.0, 80.0], masts)
    keys = tuple(f"mast {k} (INVENTED)" for k in range(masts))
    return ways, Obstacles(keys, *spots.T, tops, radii), float(draw.choice([0.0, 0.2, 5.0]))


def asked_one_by_one(ways, obstacles, margin_m):
    """The least height of each way, and what is that low; None where rounding decides."""
    ends = list(zip(ways.x_m, ways.y_m, strict=True))
    shapes = [shapely.LineString([end, ways.hub]) for end in ends]
    swept = [shapely.Polygon([*two, ways.hub]) for two in itertools.pairwise(ends)] if ways.in_order else []
    spots = [shapely.Point(x, y) for x, y in zip(obstacles.x_m, obstacles.y_m, strict=True)]
    apart_m = np.array([[shapely.distance(spot, one) for one in (*shapes, *swept)] for spot in spots])
    reach_m = (obstacles.radius_m + margin_m)[:, None]
    if not len(spots):
        return np.full(len(ends), np.inf), np.full(len(ends), -1)
    if (np.abs(apart_m - reach_m) < UNSURE_M).any():
        return None
    met = apart_m <= reach_m
    between = met[:, len(ends) :] & ~met[:, : len(ends) - 1][:, : len(swept)] & ~met[:, 1 : len(swept) + 1]
    between &= ways.gap_m[: len(swept)] > 2 * reach_m
    told = [(way, k, ways.level_amsl_m[way]) for k, way in np.argwhere(met[:, : len(ends)]).tolist()]
    for k, way in np.argwhere(between).tolist():
        told += [(at, k, ways.level_amsl_m[way : way + 2].min()) for at in (way, way + 1)]
    least_m, which = np.full(len(ends), np.inf), np.full(len(ends), -1)
    for way, k, level_m in told:
        if level_m - obstacles.top_amsl_m[k] < least_m[way]:
            least_m[way], which[way] = level_m - obstacles.top_amsl_m[k], k
    return least_m, which


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 1_000_000))
def test_nothing_near_ways_or_between_them_is_left_out(seed):
    ways, obstacles, margin_m = scene(seed)
    if (wanted := asked_one_by_one(ways, obstacles, margin_m)) is None:
        return
    found = over_obstacles(ways, obstacles, margin_m)
    assert np.array_equal(found.least_m, wanted[0])
    assert np.array_equal(found.which, wanted[1])


def test_far_fewer_pairs_are_asked_than_there_are():
    draw = np.random.default_rng(1)
    x_m, y_m = draw.uniform(-3_000.0, 3_000.0, (2, 500))
    masts = draw.uniform(-3_000.0, 3_000.0, (2, 300))
    pairs = sum(len(k) for k, _ in SeenFromHub.ways((0.0, 0.0), x_m, y_m).near(*masts, np.full(300, 20.0)))
    assert 0 < pairs < 300 * 500 / 50
