"""What boxes turned aslant leave out is apart: held against distances of a general-purpose library (GEOS)."""

import numpy as np
import shapely

from planner.flight.aslant import close_aslant


def test_nothing_near_is_left_out_and_much_that_is_far_is():
    random = np.random.default_rng(4)
    clouds = random.uniform(0, 1_000, (300, 1, 2)) + random.uniform(-30, 30, (300, 8, 2))
    ends = random.uniform(0, 1_000, (12, 2, 2))
    roads = np.array([shapely.LineString(one).buffer(5.0) for one in ends], dtype=object)
    cloud, road = (part.ravel() for part in np.indices((300, 12)))
    hulls = shapely.convex_hull(
        shapely.multipoints(clouds.reshape(-1, 2), indices=np.repeat(np.arange(300), 8))
    )
    near = shapely.dwithin(hulls[cloud], roads[road], 7.0)

    close = close_aslant(clouds, roads, (cloud, road), 7.0)

    assert near.any()
    assert close[near].all()
    # A slanting road's own box reaches over clouds far off.
    boxes = shapely.dwithin(shapely.envelope(hulls)[cloud], shapely.envelope(roads)[road], 7.0)
    assert close.sum() - near.sum() < 0.5 * (boxes.sum() - near.sum())


def test_no_pairs_are_no_answers():
    nothing = np.empty(0, dtype=np.int64)
    assert not len(close_aslant(np.empty((0, 2, 2)), np.empty(0, dtype=object), (nothing, nothing), 1.0))
