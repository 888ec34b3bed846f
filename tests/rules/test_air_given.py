"""A battery that is reckoned without a temperature is reckoned as if warm, and that is said.

Cold takes from a pack (data sheets, from memory; the model of `planner.flight.battery`); what is not given is
printed as not checked (issue 6).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.geometry import Area
from planner.plan.weather import PlannedWeather, TypedWind
from tests.rules.test_flight_rules import ABLE, PACK
from tests.worlds import at, plan, world

CALM = PlannedWeather(wind=TypedWind(2.0, 270.0, None, 10.0))
AREA = Area(tuple(at(x, y) for x, y in ((-60, -60), (60, -60), (60, 60), (-60, 60))), AboveGround(20.0))


def lines(weather, *, area=None, battery=PACK):
    given = {"area": area, "path": ()} if area else {}
    flown = plan(weather=weather, **given)
    craft = attrs.evolve(flown.aircraft, battery=battery, performance=ABLE)
    answer = assess(attrs.evolve(flown, aircraft=craft), world())
    return [one for one in answer.not_known if one.startswith("temperature: ")]


@pytest.mark.parametrize("area", [None, AREA])
def test_without_a_temperature_it_is_said_that_the_pack_is_taken_for_warm(area):
    (line,) = lines(CALM, area=area)
    assert "full capacity" in line
    assert not lines(attrs.evolve(CALM, temperature_c=-15.0), area=area)


@pytest.mark.parametrize(
    ("weather", "told"),
    [
        (PlannedWeather(taf="TAF XX01 121720Z 1218/1318 25008KT P6SM FEW040"), True),
        (PlannedWeather(metar="XX01 121853Z 25008KT 10SM SKC 15/10 A2992"), False),
        (None, True),
    ],
)
def test_a_forecast_tells_none_and_a_report_does(weather, told):
    assert bool(lines(weather)) is told


def test_where_no_battery_is_given_that_is_said_and_no_more():
    assert not lines(CALM, battery=None)
