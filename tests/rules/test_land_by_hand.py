"""Who stands on closed land, and who so near that no map tells: places are put in by hand.

Where launching, landing and operating is closed: 36 CFR 1.5 (check_values 1.20, standing A). That 8 m
beside is too near to be sure of (a satellite fix and a map, check value 8.4) is our own rule.
"""

import attrs
import pytest

from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot
from planner.rules.finding import Mark
from planner.rules.land import closed_land
from planner.world.sites import ClosedLand
from tests.rules.hand_made import complete
from tests.worlds import at, box

CASE = complete()
PILOT, OBSERVER = CASE.plan.crew
PARK = box(0, -500, 400, 500)
BACK = LinkLoss(LinkLossAction.RETURN_FIXED)


def told(launch=-300, landing=-300, pilot=-300, observer=-300, back=None, loss=BACK, case=None, **changes):
    """What is told of a park that begins in the middle of the path; each stands so far east of that."""

    def spot(east):
        return None if east is None else GroundSpot(at(east))

    plan = attrs.evolve(
        CASE.plan,
        launch=spot(launch),
        landing=spot(landing),
        crew=(attrs.evolve(PILOT, place=at(pilot)), attrs.evolve(OBSERVER, place=at(observer))),
        aircraft=attrs.evolve(CASE.plan.aircraft, link_loss=loss),
        return_point=None if back is None else at(back),
    )
    world = attrs.evolve(CASE.world, closed_lands=(ClosedLand("p", "PARK", PARK),))
    return list(
        closed_land(attrs.evolve(CASE, plan=attrs.evolve(plan, **changes), world=world, **(case or {})))
    )


NEAR = [("closed-land-near", "PARK is close or beneath")]


def beside(who):
    return [("closed-land-beside", f"{who} close beside PARK")]


STOP = ("closed-land", "PARK: closed to launching, landing and operating")


@pytest.mark.parametrize(
    ("spots", "found"),
    [
        ({}, NEAR),
        ({"launch": 50}, [STOP]),
        # Who is in it is told, and not who is beside it as well.
        ({"launch": 50, "landing": -3}, [STOP]),
        ({"launch": 50, "landing": 60}, [STOP, STOP]),
        ({"launch": None, "landing": 50}, [STOP]),
        ({"launch": 0.5}, [STOP]),
        ({"launch": -0.5}, beside("The launch point lies")),
        ({"launch": -7.5}, beside("The launch point lies")),
        ({"launch": -8.5}, NEAR),
        # Of several beside it the nearest.
        ({"launch": -5, "landing": -3}, beside("The landing point lies")),
        ({"launch": -3, "landing": -5}, beside("The launch point lies")),
        ({"observer": -3}, beside("Observer stands")),
        # An aircraft that comes home by itself lands at its return point, another does not.
        ({"back": 50}, [STOP]),
        ({"back": -3}, beside("The return point lies")),
        ({"back": 50, "loss": LinkLoss(LinkLossAction.LAND)}, NEAR),
        ({"back": 50, "loss": None}, NEAR),
        ({"back": 50, "aircraft": None}, NEAR),
    ],
)
def test_who_is_on_closed_land_or_beside_it(spots, found):
    rules = told(**spots)
    assert [(one.rule, one.title) for one in rules] == found
    marks = {"closed-land": Mark.STOP, "closed-land-beside": Mark.ACT, "closed-land-near": Mark.NOTE}
    assert all(one.mark is marks[one.rule] for one in rules)


def test_where_nothing_is_laid_into_a_plane_nobody_is_measured():
    assert [one.rule for one in told(launch=-3, case={"mapped": None})] == ["closed-land-near"]
    assert [one.rule for one in told(launch=50, case={"mapped": None})] == ["closed-land"]
