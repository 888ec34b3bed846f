"""The ground under the two ends of a straight way, which lie between raster lines.

Sources: the bilinear surface between four nodes, asked at every tenth of a metre of each way through
`PlaneTerrain.ground` (a second way to the same ground, one place at a time); by hand: an even slope is
highest where it ends.
"""

import numpy as np
import pytest

from planner.flight.fan import HIGHEST_GROUND, greatest_along, least_ground_along
from planner.flight.rays import Fan
from tests.flight.scenes import level, points, track_over
from tests.worlds import GROUND_M, terrain

CELL_M = 30.0


def ground_of(shape):
    way = points((-400, 0, level(GROUND_M + 300)), (400, 0, level(GROUND_M + 300)))
    track, mapped = track_over(terrain(shape, cell_m=CELL_M), way)
    return mapped.ground, (float(track.x_m.mean()), float(track.y_m.mean()))


def densely(ground, fan, k):
    steps = max(int(fan.flat_m[k] / 0.1), 40)
    x_m, y_m = (np.linspace(hub, end[k], steps) for hub, end in zip(fan.hub, (fan.x_m, fan.y_m), strict=True))
    return ground.ground(x_m, y_m)


@pytest.mark.parametrize("seed", range(3))
def test_greatest_and_least_over_rough_nodes_reach_to_both_ends_of_a_way(seed):
    random = np.random.default_rng(seed)
    ground, (x_m, y_m) = ground_of(lambda x, y: GROUND_M + random.uniform(0, 40, x.shape))
    for _ in range(8):
        hub = x_m + random.uniform(-300, 300), y_m + random.uniform(-300, 300)
        far = random.uniform(1.0, 250.0, 12)
        bearing = random.uniform(0, 2 * np.pi, 12)
        fan = Fan(hub, hub[0] + far * np.sin(bearing), hub[1] + far * np.cos(bearing))
        greatest_m = greatest_along(fan, (ground,), HIGHEST_GROUND).value[0]
        least_m, _ = least_ground_along(fan, ground, np.inf)
        for k in range(len(fan)):
            known = densely(ground, fan, k)
            # Between two places asked, 0.1 m apart, ground this steep rises by some more.
            assert known.max() - 0.02 <= greatest_m[k] <= known.max() + 0.15
            assert known.min() - 0.15 <= least_m[k] <= known.min() + 0.02


@pytest.mark.parametrize("rise", [0.5, -0.5])
@pytest.mark.parametrize("far_m", [4.0, 29.0, 44.0, 61.0])
def test_an_even_slope_is_highest_and_lowest_at_the_ends(rise, far_m):
    """Half a metre up or down for each metre east: within the last 30 m that is 15 m."""
    ground, (x_m, y_m) = ground_of(lambda x, y: GROUND_M + rise * x)
    fan = Fan((x_m + 7.0, y_m), np.array([x_m + 7.0 + far_m]), np.array([y_m]))
    begin_m, end_m = ground.ground(np.array([x_m + 7.0, x_m + 7.0 + far_m]), np.array([y_m, y_m]))
    assert abs(end_m - begin_m) == pytest.approx(far_m / 2, rel=0.02)
    greatest_m = greatest_along(fan, (ground,), HIGHEST_GROUND).value[0]
    least_m, _ = least_ground_along(fan, ground, np.inf)
    assert greatest_m == pytest.approx(max(begin_m, end_m), abs=0.01)
    assert least_m == pytest.approx(min(begin_m, end_m), abs=0.01)
