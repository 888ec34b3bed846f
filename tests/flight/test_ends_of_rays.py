"""The ground under the two ends of a straight way, which lie between raster lines.

Sources: the bilinear surface between four nodes, asked at every tenth of a metre of each way through
`PlaneTerrain.ground` (a second way to the same ground, one place at a time); by hand: an even slope is
highest where it ends.
"""

import numpy as np
import pytest

from planner.flight.fan import HIGHEST_GROUND, Question, greatest_along, least_ground_along
from planner.flight.radio_path import Antenna, _by_both, _by_rest, _by_share, radio_paths
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


@pytest.mark.parametrize("seed", range(3))
def test_a_way_over_unknown_ground_is_not_known_and_all_others_are(seed):
    """One node in twenty-five unknown, and with it the cells about it: missing data is never a height."""
    random = np.random.default_rng(seed)
    ground, (x_m, y_m) = ground_of(
        lambda x, y: np.where(
            random.uniform(size=x.shape) < 0.04, np.nan, GROUND_M + random.uniform(0, 9, x.shape)
        )
    )
    fan = Fan((x_m, y_m), x_m + random.uniform(-300, 300, 60), y_m + random.uniform(-300, 300, 60))
    greatest_m = greatest_along(fan, (ground,), HIGHEST_GROUND).value[0]
    least_m, _ = least_ground_along(fan, ground, np.inf)
    unknown_m = np.array([np.isnan(densely(ground, fan, k)).mean() * fan.flat_m[k] for k in range(len(fan))])
    surely = (unknown_m > 0.3) | (unknown_m == 0.0)
    assert np.count_nonzero(unknown_m > 0.3) > 3
    wave = Question(lambda _ray, share: np.full_like(share, GROUND_M + 4.0), (_by_share, _by_rest, _by_both))
    wave_m = greatest_along(fan, (ground,), wave).value[2]
    for found in (greatest_m, least_m, wave_m):
        assert (np.isnan(found) == (unknown_m > 0.3))[surely].all()


def test_from_beyond_the_raster_nothing_is_known():
    """The pilot stands, or all is flown, where there is no terrain: missing data, and no end of the check."""
    ground, (x_m, y_m) = ground_of(lambda x, y: GROUND_M + 0 * x)
    near, far = np.array([x_m, x_m + 50.0]), np.array([x_m + 90_000.0, x_m + 90_050.0])
    wave = Question(lambda _ray, share: np.full_like(share, GROUND_M + 4.0), (_by_share, _by_rest, _by_both))
    for hub, ends in ((far[0], near), (near[0], far), (near[0], np.empty(0))):
        fan = Fan((float(hub), y_m), ends, np.full(len(ends), y_m))
        for question in (HIGHEST_GROUND, wave):
            assert np.isnan(greatest_along(fan, (ground,), question).value).all()
        assert np.isnan(least_ground_along(fan, ground, np.inf)[0]).all()


def test_a_wave_over_voids_is_asked_without_a_place_that_nobody_knows():
    """Of a way in this scene no place of the greatest is known: looked at again it led nowhere."""
    random = np.random.default_rng(127)
    cell_m = float(random.choice([5.0, 10.0, 30.0, 60.0]))
    rough = terrain(
        lambda x, y: np.where(
            random.uniform(size=x.shape) < 0.01, np.nan, GROUND_M + random.uniform(0, 20, x.shape)
        ),
        cell_m=cell_m,
    )
    stops = [
        (float(x), float(y), level(GROUND_M + float(random.uniform(20, 150))))
        for x, y in random.uniform(-12 * cell_m, 12 * cell_m, (6, 2))
    ]
    track, mapped = track_over(rough, points(*stops))
    hub = [float(random.uniform(one.min(), one.max())) for one in (track.x_m, track.y_m)]
    antenna = Antenna(*hub, GROUND_M + float(random.uniform(1, 6)))
    mhz = float(random.choice([433.0, 915.0, 2400.0, 5800.0]))
    assert np.isnan(radio_paths(track, antenna, (mapped.ground,), mhz).terrain_db(mhz)).all()
