"""Which airspace a flight may come into, asked directly: distances and heights by hand over level ground.

Our own rule (design: missing data never becomes ready): what is entered, what lies within 20 m beside, and
what a way that is not drawn leads through is at hand, each at the heights of both.
"""

import attrs
import pytest

from planner.assess import assess_live
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.at_hand import at_hand
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, at, box, plan, points, volume, world

# From the launch point, 400 m north of the path's beginning, the way climbs to 30 m.
FLIGHT = {
    "path": points([(0, 0, 30.0), (300, 0, 30.0)]),
    "launch": GroundSpot(at(0, 400), LandStatus.OWN),
    "landing": GroundSpot(at(300, 0), LandStatus.OWN),
}


def case_with(outline, **limits):
    shut = volume(AirspaceKind.RESTRICTED, outline, name="INVENTED V", **limits)
    case = assess_live(plan(**FLIGHT), world(airspace=(shut,))).case
    ((column, laid),) = case.mapped.airspace.items()
    return case, column, laid


OPEN = {"floor": above_ground(5.0), "top": above_ground(100.0)}


@pytest.mark.parametrize(
    ("outline", "limits", "is_at_hand"),
    [
        (box(100, -50, 200, 50), OPEN, True),
        (box(100, 15, 200, 50), OPEN, True),
        (box(100, 21, 200, 50), OPEN, False),
        (box(-30, 150, 30, 250), OPEN, True),  # the way passes at 11 to 19 m
        (box(-30, 150, 30, 250), {**OPEN, "floor": above_ground(18.0)}, True),  # only at its southern end
        (box(-30, 150, 30, 250), {**OPEN, "floor": above_ground(25.0)}, False),
        (box(100, -50, 200, 50), {**OPEN, "floor": above_ground(40.0)}, False),
        (box(900, 900, 950, 950), OPEN, False),
    ],
)
def test_what_is_entered_passed_close_or_on_a_way_not_drawn_is_at_hand(outline, limits, is_at_hand):
    assert at_hand(*case_with(outline, **limits)) is is_at_hand


def test_without_charts_laid_into_the_plane_nothing_but_what_is_entered_is_at_hand():
    case, column, laid = case_with(box(-30, 150, 30, 250), **OPEN)
    assert at_hand(case, column, laid)
    assert not at_hand(attrs.evolve(case, mapped=None), column, laid)
