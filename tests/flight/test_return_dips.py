"""The lowest ground beside narrow pits within a survey's error, against every place of every return.

The second way asks `PlaneTerrain.lowest` itself each 0.25 m. That 400 ft (14 CFR 107.51(b)) count from the
lowest ground within the survey's stated error sideways is our own reading, the strict one.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.return_dips import Steps, lower_between
from planner.flight.return_ground import over_lowest_ground
from planner.geo.frame import LocalFrame
from planner.world.plane_terrain import PlaneTerrain
from tests.flight.test_return_ground import along, ways
from tests.worlds import HERE, terrain

STATED_M = 0.05
ACROSS_M = 900.0


def pitted(draw, cell_m, off_m):
    """Nearly level ground with some pits of one node, 20 to 60 m deep."""
    cells = int(ACROSS_M / cell_m)
    heights = draw.uniform(0.0, 2.0, (cells, cells))
    for _ in range(int(draw.integers(1, 8))):
        heights[tuple(draw.integers(cells // 4, 3 * cells // 4, 2))] -= draw.uniform(20.0, 60.0)
    made = terrain(lambda _e, _n: heights, cell_m=cell_m, cells=cells, horizontal_uncertainty_m=off_m)
    return PlaneTerrain.lay(made, LocalFrame(HERE))


@settings(max_examples=12, deadline=None)
@given(
    seed=st.integers(0, 100_000),
    cell_m=st.sampled_from([4.0, 10.0, 30.0]),
    off_m=st.sampled_from([6.0, 15.0]),
)
def test_no_return_passes_lower_ground_than_is_found(seed, cell_m, off_m):
    draw = np.random.default_rng(seed)
    ground, loss = pitted(draw, cell_m, off_m), ways(draw)
    found = over_lowest_ground(loss, ground, 20.0, [])
    low_m = ground.lowest(found.x_m, found.y_m)
    for k in range(len(loss.corner_x_m)):
        least_m = float(ground.lowest(*along(loss, k)).min())
        assert low_m[found.owner == k].min(initial=np.inf) <= least_m + STATED_M


@pytest.mark.parametrize(("seed", "k", "cell_m", "off_m"), [(1, 0, 10.0, 15.0), (14, 4, 4.0, 25.0)])
def test_some_that_were_missed_by_metres(seed, k, cell_m, off_m):
    """Half a cell apart, then a sixteenth: up to 3 m too high beside such pits."""
    draw = np.random.default_rng(seed)
    ground, loss = pitted(draw, cell_m, off_m), ways(draw)
    found = over_lowest_ground(loss, ground, 20.0, [])
    least_m = float(ground.lowest(*along(loss, k)).min())
    assert ground.lowest(found.x_m, found.y_m)[found.owner == k].min() <= least_m + STATED_M


def steps(share, bound_m, found_m):
    """Pieces of one way of 200 m to the east, past a pit at its middle and 12 m aside."""
    share = np.array(share)
    count = share.shape[1]
    ends = np.array([[-100.0, 100.0]]), np.array([[-12.0, -12.0]])
    bounds, known = np.full(count, bound_m), np.full(count, found_m)
    return Steps(share, np.zeros(count, dtype=np.int64), ends, bounds, known)


def beside_a_pit(off_m=15.0):
    made = terrain(
        lambda e, n: np.where(np.hypot(e, n) < 4.0, -60.0, 0.0) + 300.0,
        cell_m=10.0,
        cells=41,
        horizontal_uncertainty_m=off_m,
    )
    return PlaneTerrain.lay(made, LocalFrame(HERE))


def test_where_the_pit_comes_into_the_disc_it_is_found():
    """A node 12 m aside is within 15 m for 9 m to either side: shares 0.455 to 0.545 of 200 m."""
    which, share, low_m = lower_between(
        beside_a_pit(), steps([[0.4, 0.46, 0.6], [0.45, 0.54, 0.7]], 240.0, 300.0)
    )
    # Ground falls toward it for a cell on each side; the pit itself is met on one step alone.
    assert set(which[low_m < 241.0].tolist()) == {1}
    assert low_m.min() == pytest.approx(240.0, abs=0.1)
    assert ((share >= 0.455) & (share <= 0.545))[low_m < 241.0].all()


@pytest.mark.parametrize(
    ("bound_m", "found_m", "off_m"), [(300.0, 300.0, 15.0), (240.0, 240.0, 15.0), (240.0, 300.0, 0.0)]
)
def test_where_nothing_can_be_lower_nothing_is_looked_for(bound_m, found_m, off_m):
    which, share, low_m = lower_between(beside_a_pit(off_m), steps([[0.4], [0.6]], bound_m, found_m))
    assert len(which) == len(share) == len(low_m) == 0


def test_a_step_of_many_cells_is_cut_at_each_raster_line():
    which, _, low_m = lower_between(beside_a_pit(), steps([[0.0], [1.0]], 240.0, 300.0))
    assert set(which.tolist()) == {0}
    assert low_m.min() == pytest.approx(240.0, abs=0.1)
