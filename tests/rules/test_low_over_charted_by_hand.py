"""Returns on lost link low over charted buildings without a height, with ways and buildings put in by hand.

Level ground; a building of unknown height may be 20 m high: own choice, as for sight.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.rules.low_over_charted import from_area, from_path
from planner.world.buildings import Building
from planner.world.sites import GroundFeature, GroundKind
from tests.rules.hand_flown import complete, flown
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, area, box, plan, world

NOWHERE = np.nan


def told(ways, *buildings, action=LinkLossAction.RETURN_FIXED):
    """What is said of ways home; buildings are 10 m wide about (east, north).

    Of each way by sample: where its level part begins and how high, where it ends and how high.
    """
    loss = complete().flight.loss
    x_m, y_m, up_m = (np.full_like(loss.corner_x_m, NOWHERE) for _ in range(3))
    for sample, ((east, north, high), (to_east, to_north, to_high)) in ways.items():
        x_m[sample, 2:], y_m[sample, 2:] = (east, to_east), (north, to_north)
        up_m[sample, 2:] = GROUND_M + np.array([high, to_high])
    loss = attrs.evolve(
        loss,
        failsafe=attrs.evolve(loss.failsafe, action=action),
        corner_x_m=x_m,
        corner_y_m=y_m,
        corner_amsl_m=up_m,
        margin_m=1.0,
    )
    stand = tuple(
        Building(name, shapely.box(east - 5, north - 5, east + 5, north + 5), height_m)
        for name, east, north, height_m in buildings
    )
    mapped = attrs.evolve(complete().mapped, buildings=stand)
    return list(from_path(flown(case={"mapped": mapped}, loss=loss)))


A, B = ("A", 100.0, 0.0, None), ("B", 100.0, 300.0, None)


def way(north, high, to_high=None):
    """From 200 m east to 200 m west, as far north as that."""
    return (200.0, north, high), (-200.0, north, high if to_high is None else to_high)


OVER_A, OVER_B = {2: way(0.0, 15.0)}, {4: way(300.0, 10.0)}


@pytest.mark.parametrize(
    ("ways", "buildings", "over"),
    [
        (OVER_A, [A, B], "over A, and charts"),
        ({**OVER_A, **OVER_B}, [A, B], "over B and others, and charts"),
        # Half a metre above it nothing is met, and on the very top of it nothing either.
        ({2: way(0.0, 20.5)}, [A], None),
        ({2: way(0.0, 20.0)}, [A], None),
        ({**OVER_A, 4: way(300.0, 20.5)}, [A, B], "over A, and charts"),
        ({**OVER_A, 4: way(300.0, 20.0)}, [A, B], "over A, and charts"),
        # Of a way whose end, or height there, is not known nothing is said; of the others all the same.
        ({4: ((200.0, 300.0, 10.0), (NOWHERE, NOWHERE, 10.0))}, [B], None),
        ({4: way(300.0, 10.0, NOWHERE)}, [B], None),
        ({**OVER_A, 4: ((200.0, 300.0, 10.0), (NOWHERE, 300.0, 10.0))}, [A, B], "over A, and charts"),
        ({**OVER_A, 4: way(300.0, 10.0, NOWHERE)}, [A, B], "over A, and charts"),
        ({}, [A, B], None),
        # What says how high it stands is asked elsewhere.
        (OVER_A, [(*A[:3], 18.0)], None),
    ],
)
def test_which_buildings_are_told_of(ways, buildings, over):
    found = told(ways, *buildings)
    assert bool(found) is (over is not None)
    if over is not None:
        (one,) = found
        assert over in one.message


def test_what_does_not_come_home_leads_over_nothing():
    assert told(OVER_A, A)
    assert not told(OVER_A, A, action=LinkLossAction.LAND)


def test_it_is_told_where_the_path_is_as_of_which_its_return_leads_over_them():
    """Of samples 4 to 6 alone: so the part that is told begins at the fourth's and ends at the sixth's."""
    (one,) = told({k: way(300.0, 10.0) for k in (4, 5, 6)}, B)
    along_m = complete().track.distance_m
    assert along_m[3] <= one.from_m <= along_m[4]
    assert along_m[6] <= one.to_m <= along_m[7]


def test_of_an_area_it_is_told_where_it_would_be_lost():
    """A hall across the ways home from the area's north-western corner, none across those from elsewhere."""
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(15.0))
    flight = plan(path=(), area=area(box(100, -200, 500, 200), AboveGround(40.0)))
    craft = attrs.evolve(flight.aircraft, link_loss=back, performance=Performance(highest_mps=10.0))
    hall = GroundFeature(GroundKind.BUILDING, "HALL", box(48, 80, 52, 150))
    case = judged(attrs.evolve(flight, aircraft=craft), world(ground_features=(hall,)))
    (one,) = from_area(case)
    x_m, y_m = case.mapped.frame.place_to_xy(one.place)
    # Over it, or within the pilot's margin: its way home crosses 50 m east between 60 m and 160 m north.
    assert 60.0 < float(y_m) * 50.0 / float(x_m) < 160.0
