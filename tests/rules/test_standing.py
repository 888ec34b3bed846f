"""What stands up beneath a flight: kinds of things and of ground put in by hand.

That charted roofs are ground already in a model of surfaces, and that what is drawn stands on it all the
same, is our own rule, the careful side, as for sight (design).
"""

import math

import attrs
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.standing import may_reach_m, stands
from planner.world.terrain import SurfaceKind
from tests.rules.hand_made import complete
from tests.worlds import at

HERE = shapely.Point(0, 0)
DRAWN = BeneathItem(BeneathKind.BUILDING, DrawnAs.SPOT, (at(),), half_width_m=1.0, height_m=9.0)


def over(surface):
    """The complete plan over ground of a kind, over none that is known, or nowhere."""
    case = complete()
    if surface == "nowhere":
        return attrs.evolve(case, mapped=None)
    if surface is None:
        return attrs.evolve(case, mapped=attrs.evolve(case.mapped, ground=None))
    terrain = attrs.evolve(case.mapped.ground.terrain, surface=surface)
    ground = attrs.evolve(case.mapped.ground, terrain=terrain)
    return attrs.evolve(case, mapped=attrs.evolve(case.mapped, ground=ground))


@pytest.mark.parametrize("surface", [*SurfaceKind, None, "nowhere"])
def test_what_stands_up_over_which_ground(surface):
    case = over(surface)
    for below in Below:
        tall = below in {Below.BUILDING, Below.TREES}
        drawn = Thing(below, "X", shapely.Point(0, 0), item=DRAWN)
        charted = Thing(below, "X", shapely.Point(0, 0), charted_m=9.0)
        assert stands(case, drawn) is tall
        assert stands(case, charted) is (tall and surface is not SurfaceKind.SURFACE)


@pytest.mark.parametrize(
    ("item", "charted_m", "reach_m"),
    [
        (DRAWN, None, 9.0),
        (attrs.evolve(DRAWN, height_m=None), None, math.inf),
        (None, 12.0, 12.0),
        # As for sight: own choice.
        (None, None, 20.0),
    ],
)
def test_how_high_it_may_stand(item, charted_m, reach_m):
    case = over(SurfaceKind.BARE_EARTH)
    assert may_reach_m(case, Thing(Below.BUILDING, "X", HERE, item=item, charted_m=charted_m)) == reach_m
    assert may_reach_m(case, Thing(Below.PEOPLE, "X", HERE, item=item, charted_m=charted_m)) is None
