"""How high it is flown close beside airspace that is entered on the ground alone: places put in by hand (m).

Close are 20 m, an own choice (what hand, satellite fix and outline may be off together).
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.permission.on_the_edge import beside_agl_m

SHAPES = {1: shapely.box(0.0, 0.0, 100.0, 100.0), 2: shapely.box(300.0, 0.0, 400.0, 100.0)}
MAPPED = SimpleNamespace(outlines=SimpleNamespace(polygon=lambda column: SHAPES[column]))


def flown(*places):
    """Samples east of an outline's corner, so high, over ground that may be as low as 300 m."""
    east, high = np.array(places, dtype=float).T
    return SimpleNamespace(
        x_m=100.0 + east,
        y_m=np.full(len(east), 50.0),
        planned_amsl_m=300.0 + high,
        lowest_ground_amsl_m=np.full(len(east), 300.0),
    )


@pytest.mark.parametrize(
    ("samples", "columns", "high_m"),
    [
        ([[(0.0, 7.0)]], [1], 7.0),
        ([[(-50.0, 7.0)]], [1], 7.0),
        # As far as 20 m, and what is lost by rounding.
        ([[(20.0, 7.0)]], [1], 7.0),
        ([[(20.005, 7.0)]], [1], 7.0),
        ([[(20.02, 7.0)]], [1], 0.0),
        ([[(0.0, 7.0), (10.0, 9.0), (30.0, 20.0)]], [1], 9.0),
        ([[(0.0, 0.5)]], [1], 0.5),
        # The highest of all that is flown, in any part of the airspace.
        ([[(0.0, 7.0)], [(5.0, 12.0)]], [1], 12.0),
        ([[(0.0, 7.0)], [(5.0, 3.0)]], [1], 7.0),
        ([[(0.0, 7.0), (190.0, 30.0)]], [1], 7.0),
        ([[(0.0, 7.0), (190.0, 30.0)]], [1, 2], 30.0),
        # Nothing is flown under the ground.
        ([[(0.0, -3.0)]], [1], 0.0),
        ([], [1], 0.0),
    ],
)
def test_the_greatest_height_in_it_or_close_beside_it(samples, columns, high_m):
    found = beside_agl_m(MAPPED, columns, [flown(*one) for one in samples])
    assert found == pytest.approx(high_m)


@pytest.mark.parametrize(("away_m", "unknown"), [(0.0, True), (19.0, True), (25.0, False)])
def test_a_height_that_nobody_knows_there_is_not_taken_for_none(away_m, unknown):
    found = beside_agl_m(MAPPED, [1], [flown((0.0, 7.0), (away_m, np.nan)), flown((5.0, 3.0))])
    assert np.isnan(found) if unknown else found == pytest.approx(7.0)
