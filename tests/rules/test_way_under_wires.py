"""Guy wires beside the way that is not drawn: as of the path, under the line from top to where they may end.

That wires reach out to 0.8 of a mast's height is a rule of thumb (issue 4); that slim masts may be guyed is
common practice. A mast of 300 ft, 91.4 m: its wires reach 73.2 m out; 40 m out they are up to 41.4 m high.
"""

import pytest

from planner.assess import assess_live
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.rules.transit_beneath import people_on_the_way
from tests.worlds import at, plan, points, tower, world


def told(height_m, mast=(-400, 40), begins_m=0, north_m=0, **of_mast):
    """The way from 800 m west; half-way it is half as high as the path."""
    spots = {
        "launch": GroundSpot(at(-800, north_m), LandStatus.OWN),
        "landing": GroundSpot(at(500, north_m), LandStatus.OWN),
    }
    path = points([(begins_m, north_m, height_m), (500, north_m, height_m)])
    charts = world(structures=(tower(300, mast, **of_mast),))
    case = assess_live(plan(path=path, **spots), charts).case
    assert case is not None
    return [one for one in people_on_the_way(case) if "guy wires" in one.message]


@pytest.mark.parametrize(
    ("height_m", "mast", "under"),
    [
        (30.0, (-400, 40), True),
        (80.0, (-400, 40), True),  # 40 m up beside it
        (86.0, (-400, 40), False),  # 43 m
        (30.0, (-400, -72), False),  # 15 m up; the wires there are 1.4 m high
        (30.0, (-400, -60), True),  # 16.4 m
        (30.0, (-400, 74), False),
    ],
)
def test_a_way_under_the_cone_of_a_masts_wires_is_something_to_do(height_m, mast, under):
    found = told(height_m, mast)
    assert [one.mark for one in found] == ([Mark.ACT] if under else [])
    for one in found:
        assert "would pass where the guy wires of" in one.message
        assert "from the launch point to the path" in one.title


@pytest.mark.parametrize(("mast", "under"), [((-400, 340), True), ((-400, 260), True), ((-400, 374), False)])
def test_the_mast_counts_where_it_stands(mast, under):
    assert bool(told(30.0, mast, north_m=300)) is under


def test_a_mast_known_to_stand_free_has_none():
    assert not told(30.0, without_guys=True)


def test_where_the_path_itself_begins_under_them_that_is_told_of_the_path():
    assert not told(30.0, begins_m=-380)
