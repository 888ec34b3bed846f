"""A flying area behind higher ground: behind a ridge air eddies to ten of its heights (common practice)."""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding
from tests.worlds import GROUND_M


def behind(ridge_m, away_m, from_deg=270.0, mps=8.0, top_m=60.0):
    """A box of 400 m that begins so far east of a ridge so high, 120 m wide."""
    ridge = worlds.terrain(
        lambda east, _north: GROUND_M + np.where(np.abs(east + 200.0 + away_m + 60.0) < 60.0, ridge_m, 0.0)
    )
    box = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(top_m))
    weather = PlannedWeather(wind=TypedWind(mps, from_deg))
    plan = attrs.evolve(worlds.plan(path=(), area=box), weather=weather)
    return finding(assess(plan, attrs.evolve(worlds.world(), terrain=ridge)), "in-lee")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"ridge_m": 80.0, "away_m": 100.0}, True),
        # Lower than the area's top, and flown low behind it.
        ({"ridge_m": 30.0, "away_m": 100.0}, True),
        ({"ridge_m": 30.0, "away_m": 400.0}, False),
        # Lower than the 10 m up at which an area is asked (own choice), or than a lower area's top.
        ({"ridge_m": 8.0, "away_m": 20.0}, False),
        ({"ridge_m": 8.0, "away_m": 20.0, "top_m": 5.0}, True),
        ({"ridge_m": 80.0, "away_m": 100.0, "from_deg": 90.0}, False),
        # Lighter wind makes no eddies worth a word (own choice).
        ({"ridge_m": 80.0, "away_m": 100.0, "mps": 2.0}, False),
    ],
)
def test_downwind_of_a_ridge_an_area_lies_in_its_lee(given, told):
    act = behind(**given)
    assert (act.mark if act else None) is (Mark.ACT if told else None)
    if act:
        # 10 m are 32.8 ft, 5 m 16.4 ft.
        assert f"{16 if 'top_m' in given else 33} ft up" in act.message
        assert act.place is not None
