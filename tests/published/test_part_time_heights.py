"""Recreational heights in airspace that is controlled only at times.

49 USC 44809(a)(6) limits flights in Class G to 400 ft (check_values 1.4, standing A), and a part-time surface
area reverts to Class E or G (1.15, standing A). So what an agreement or authorization for the surface area
grants above 400 ft holds only while it is surely active; that a doubt counts against it is the program's own.
"""

from datetime import timedelta

import pytest

from planner.assess import assess
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict
from tests import worlds
from tests.worlds import START, ft, hover, plan, record, volume, world

AGREED = (record("INVENTED MEADOW", ft(600), PermissionKind.FIXED_SITE_AGREEMENT),)


def answer(hours, height_ft=500):
    """09:00 to 10:00 by the clock of HERE, ten hours behind UTC; 12 June 2027 is a Saturday."""
    charts = world(airspace=(volume(schedule=hours, utc_offset_h=-10.0),), fixed_sites=(worlds.fixed_site(),))
    flight = plan(Purpose.RECREATIONAL, path=hover(ft(height_ft)), permissions=AGREED)
    return assess(flight, charts)


@pytest.mark.parametrize(
    ("hours", "verdict"),
    [
        ("", Verdict.READY),
        ("0600-2200; OTHER TIMES CLASS G", Verdict.READY),
        ("0600-0930; OTHER TIMES CLASS E", Verdict.READY),
        ("0600-0930; OTHER TIMES CLASS G", Verdict.MUST_CHANGE),
        ("0930-2200; OTHER TIMES CLASS G", Verdict.MUST_CHANGE),
        ("2200-2300; OTHER TIMES CLASS G", Verdict.MUST_CHANGE),
        ("MON-FRI 0600-2200", Verdict.MUST_CHANGE),
        ("0600-2200 EXCEPT FEDERAL HOLIDAYS", Verdict.MUST_CHANGE),
        ("BY NOTAM", Verdict.MUST_CHANGE),
        ("when the tower feels like it", Verdict.MUST_CHANGE),
    ],
)
def test_above_400_ft_by_an_agreement_only_while_it_is_surely_controlled(hours, verdict):
    assert answer(hours).verdict is verdict


def test_the_stop_says_that_it_is_not_controlled_all_the_time():
    (stop,) = [
        one for one in answer("0600-0930; OTHER TIMES CLASS G").findings if one.rule == "above-height-limit"
    ]
    assert (
        "INVENTED CLASS-D is not surely active all the time; while it is not, 400 ft hold there. "
        "It surely is to 12 Jun 2027 19:30 UTC: end the window by then." in stop.message
    )


@pytest.mark.parametrize("hours", ["0930-2200; OTHER TIMES CLASS G", "BY NOTAM"])
def test_no_end_of_the_window_is_named_where_it_is_not_sure_at_its_start(hours):
    """Own rule: what to do is said where it helps."""
    (stop,) = [one for one in answer(hours).findings if one.rule == "above-height-limit"]
    assert "not surely active all the time" in stop.message
    assert "end the window" not in stop.message


@pytest.mark.parametrize(
    "hours", ["0600-0930; OTHER TIMES CLASS G", "BY NOTAM", "when the tower feels like it"]
)
def test_up_to_400_ft_the_agreement_still_counts(hours):
    assert answer(hours, 390).verdict is Verdict.READY


def test_a_restriction_that_ends_within_the_window_lifts_nothing_after_it():
    ends = START + timedelta(minutes=30)
    charts = world(airspace=(volume(active_to_utc=ends),), fixed_sites=(worlds.fixed_site(),))
    flight = plan(Purpose.RECREATIONAL, path=hover(ft(500)), permissions=AGREED)
    assert assess(flight, charts).verdict is Verdict.MUST_CHANGE
