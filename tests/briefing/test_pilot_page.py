"""What the pilot's page says of the battery is what the check says."""

import attrs

from planner.briefing.pilot_page import battery_lines
from tests.rules.test_flight_rules import ABLE, PACK, blowing, finding, judged


def test_a_wind_that_keeps_it_from_home_is_no_charge_left_at_home():
    """It flies 15 m/s at most; at 16 m/s from where it flies to, only the launch point itself is home."""
    slow = attrs.evolve(ABLE, highest_mps=15.0)
    lost = judged(weather=blowing(16.0), battery=PACK, performance=slow)
    assert finding(lost, "home-not-reached") is not None
    words = " ".join(battery_lines(lost))
    assert "the wind keeps it from home" in words
    assert "at least" not in words
    assert "At home with" in " ".join(battery_lines(judged(battery=PACK, performance=ABLE)))
