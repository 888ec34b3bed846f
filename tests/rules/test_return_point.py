"""Where an aircraft returns to by itself can be set: its ways lead there, the pilot's own way home does not.

Where it was armed is usual (common practice). Ground, people and aircraft are invented.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.link_loss_words import link_loss_lines
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathKind
from planner.plan.ground import GroundSpot
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, people
from tests.rules.test_flight_rules import ABLE, PACK

BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(60.0), False, False, 10.0, 3.0, 2.0)
AWAY = worlds.at(400.0, 500.0)


def plan(return_point=None, **changes):
    given = {"path": worlds.points([(0, 0, 40.0), (400, 0, 40.0)]), "return_point": return_point} | changes
    made = attrs.evolve(worlds.plan(), **given)
    craft = attrs.evolve(made.aircraft, link_loss=BACK, battery=PACK, performance=ABLE)
    return attrs.evolve(made, aircraft=craft)


@pytest.mark.parametrize(("spot", "ends"), [(None, (0.0, 0.0)), (AWAY, (400.0, 500.0))])
def test_every_way_on_lost_link_leads_there(spot, ends):
    answer = assess(plan(spot), worlds.world())
    loss = answer.flight.loss
    x_m, y_m = answer.track.frame.place_to_xy(worlds.at(*ends))
    assert loss.corner_x_m[:, 3] == pytest.approx(np.full(len(answer.track), x_m), abs=0.01)
    assert loss.corner_y_m[:, 3] == pytest.approx(np.full(len(answer.track), y_m), abs=0.01)
    # From the far end it is 400 m to the launch point, 500 m to the other: at 10 m/s, level.
    assert loss.parts_s[-1, 2] == pytest.approx(40.0 if spot is None else 50.0, abs=0.1)


def test_the_pilots_own_way_home_does_not_lead_there():
    armed, away = (assess(plan(spot), worlds.world()).flight.charge for spot in (None, AWAY))
    assert away.turn_back.home_wh == pytest.approx(armed.turn_back.home_wh)


def test_who_is_on_that_way_is_asked_and_it_is_said_where_to():
    crowd = people(400.0, 300.0, BeneathKind.GATHERING)
    there = assess(plan(AWAY, beneath=(crowd,)), worlds.world())
    assert finding(there, "return-over-people").mark is Mark.STOP
    assert finding(assess(plan(beneath=(crowd,)), worlds.world()), "return-over-people") is None
    assert "returns to the return point, at a fixed height" in finding(there, "link-loss-action").message
    assert "Keep clear of the return point" in " ".join(link_loss_lines(there))
    armed = assess(plan(landing=GroundSpot(AWAY)), worlds.world())
    assert "returns to where it was armed" in finding(armed, "link-loss-action").message


def test_a_flight_in_an_area_returns_there_too():
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(40.0))
    between = people(250.0, 300.0, BeneathKind.GATHERING)
    there = assess(plan(AWAY, path=(), area=area, beneath=(between,)), worlds.world())
    assert finding(there, "return-over-people").mark is Mark.STOP
    armed = assess(plan(path=(), area=area, beneath=(between,)), worlds.world())
    assert finding(armed, "return-over-people") is None
