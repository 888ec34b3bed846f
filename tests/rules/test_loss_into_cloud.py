"""A return on lost link that is set above the base of cloud.

In cloud nobody sees the aircraft: 14 CFR 107.31, 49 USC 44809(a)(3) (sight is kept to). That this is
something to do on lost link, where nobody steers it, is our own rule. Heights by hand.
"""

import pytest

from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.model import Purpose
from planner.plan.weather import PlannedWeather
from planner.rules.finding import Mark
from tests.rules import test_area_links
from tests.rules.test_area_links import returning
from tests.rules.test_flight_rules import finding, judged

RULE = "link-loss-into-cloud"
# The path is 40 m up, the box 60 m; the typed base counts from the launch ground.


def cloud(base_m):
    return PlannedWeather(cloud_base_m=base_m)


@pytest.mark.parametrize("purpose", [Purpose.PART_107, Purpose.RECREATIONAL])
@pytest.mark.parametrize(
    ("height_m", "base_m", "told"), [(80.0, 200.0, False), (110.0, 100.0, True), (99.0, 100.0, False)]
)
def test_a_return_above_the_base_is_something_to_do(height_m, base_m, told, purpose):
    answer = judged(weather=cloud(base_m), link_loss=returning(height_m), purpose=purpose)
    found = finding(answer, RULE)
    assert (found is not None) is told
    if found is not None:
        assert found.mark is Mark.ACT
        assert found.numbers["above_base_m"] == pytest.approx(height_m - base_m, abs=0.1)
        # 10 m are 32.8 ft, rounded up.
        assert "up to 33 ft above the base of cloud" in found.message


def test_of_an_area_as_well():
    assert finding(test_area_links.judged(weather=cloud(70.0), loss=returning(80.0)), RULE).mark is Mark.ACT
    assert finding(test_area_links.judged(weather=cloud(90.0), loss=returning(80.0)), RULE) is None


def test_where_the_flight_itself_is_in_it_that_is_told():
    answer = judged(weather=cloud(30.0), link_loss=returning(80.0), purpose=Purpose.RECREATIONAL)
    assert finding(answer, "cloud-too-near").mark is Mark.STOP
    assert finding(answer, RULE) is None


def test_what_stays_where_it_is_climbs_into_none():
    landing = LinkLoss(LinkLossAction.LAND, 1.0)
    assert finding(judged(weather=cloud(41.0), link_loss=landing), RULE) is None


def test_without_a_base_nothing_is_said():
    assert finding(judged(weather=PlannedWeather(), link_loss=returning(110.0)), RULE) is None
