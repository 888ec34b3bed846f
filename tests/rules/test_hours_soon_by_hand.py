"""Airspace whose published hours begin shortly after the window, asked by hand.

An hour is an own choice. The window of `tests.worlds` is 09:00 to 10:00 by the place's clock (UTC-10).
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess_live
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.rules.hours import published_hours
from planner.rules.near_times import hours_near_in_time, restrictions_near_in_time
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import START, WINDOW, at, box, disc, plan, volume, world


def case(hours, kind=AirspaceKind.RESTRICTED, outline=None):
    return judged(plan(), world(airspace=(volume(kind, outline, schedule=hours),)))


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        ("0800-2200", False),  # active all along
        ("1000-2200", False),  # at its last moment it is active
        ("1001-2200", True),
        ("1059-2200", True),
        ("1102-2200", False),
        ("1200-2200", False),
        ("", False),
    ],
)
def test_hours_that_begin_within_an_hour_after_the_window_are_told(hours, told):
    assert len(list(hours_near_in_time(case(hours)))) == told


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        (AirspaceKind.RESTRICTED, True),
        (AirspaceKind.CLASS_D, True),
        (AirspaceKind.PARACHUTE, False),
        (AirspaceKind.OTHER, False),
    ],
)
def test_only_what_closes_or_asks_matters(kind, told):
    hours = "1030-2200; OTHER TIMES CLASS G" if kind is AirspaceKind.CLASS_D else "1030-2200"
    assert len(list(hours_near_in_time(case(hours, kind)))) == told


# check_values 1.13 (standing A) on extensions, 1.8 (standing B) on recreational flights in low Class E.
@pytest.mark.parametrize(
    ("kind", "purpose", "told"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107, True),
        (AirspaceKind.CLASS_E3, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL, True),
        (AirspaceKind.CLASS_E_OTHER, Purpose.PART_107, False),
    ],
)
def test_where_only_the_authority_can_say_who_may_fly_hours_matter_too(kind, purpose, told):
    soon = judged(plan(purpose), world(airspace=(volume(kind, schedule="1030-2200; OTHER TIMES CLASS G"),)))
    assert len(list(hours_near_in_time(soon))) == told
    assert len([one for one in published_hours(soon) if one.rule == "hours-not-active"]) == told


def test_what_is_not_flown_in_or_has_no_time_is_not_told():
    assert not list(hours_near_in_time(case("1030-2200", outline=disc(500.0, (20_000, 0)))))
    soon = case("1030-2200")
    assert list(hours_near_in_time(soon))
    assert not list(hours_near_in_time(attrs.evolve(soon, plan=attrs.evolve(soon.plan, window=None))))
    assert not list(hours_near_in_time(attrs.evolve(soon, mapped=None)))


# ---- dates and daily hours together, hours that ended, what lies beside or on a way not drawn; own choices


DAY = timedelta(days=1)
SINCE = {"active_from_utc": START - 2 * DAY}


def rules(hours, kind=AirspaceKind.TEMPORARY, outline=None, flight=None, **dates):
    charts = world(airspace=(volume(kind, outline, schedule=hours, **dates),))
    found = assess_live(plan() if flight is None else flight, charts).case
    return [
        (one.rule, one.numbers["gap_s"] / 60)
        for rule in (hours_near_in_time, restrictions_near_in_time)
        for one in rule(found)
    ]


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        ("1005-1700 DLY", [("restriction-soon", 5.0)]),
        ("0600-0855 DLY", [("restriction-just-over", 5.0)]),
        ("0600-0800 DLY", [("restriction-just-over", 60.0)]),
        ("0600-0757 DLY", []),
        ("0600-0830 1030-1200", [("restriction-just-over", 30.0), ("restriction-soon", 30.0)]),
        ("0930-0945 DLY", []),  # active then
    ],
)
@pytest.mark.parametrize("dates", [{}, SINCE, {**SINCE, "active_to_utc": START + 9 * DAY}])
def test_daily_hours_close_to_the_window_are_told_with_dates_or_without(hours, told, dates):
    """A notice as they come: from day to day, daily from hour to hour."""
    assert rules(hours, **dates) == told


@pytest.mark.parametrize(
    ("dates", "told"),
    [
        # Its dates begin 20 min after the window: that is told, not the hours as well.
        ({"active_from_utc": WINDOW.end_utc + timedelta(minutes=20)}, [("restriction-soon", 20.0)]),
        ({"active_from_utc": START + DAY}, []),
        ({"active_to_utc": START - DAY}, []),
        ({"active_to_utc": START - timedelta(minutes=30)}, [("restriction-just-over", 30.0)]),
    ],
)
def test_outside_its_dates_daily_hours_are_none(dates, told):
    assert rules("0600-0855 1005-1700", **dates) == told


def test_hours_about_a_stadium_that_ended_are_told_for_three_hours():
    """Own choice, as of dates: the restriction lasts until an hour after the event really ends (99.7)."""
    assert rules("0300-0630 DLY", AirspaceKind.STADIUM) == [("restriction-just-over", 150.0)]
    assert rules("0300-0630 DLY", AirspaceKind.RESTRICTED) == []


@pytest.mark.parametrize(
    ("outline", "told"),
    [
        (box(-100, 5, 100, 200), True),
        (box(-100, 25, 100, 200), False),
        (box(-900, -50, -700, 50), True),  # on the way to the path, which is not drawn
        (box(-900, 50, -700, 90), False),
    ],
)
def test_what_lies_close_beside_or_on_a_way_not_drawn_begins_soon_as_well(outline, told):
    spots = {"launch": GroundSpot(at(-950), LandStatus.OWN), "landing": GroundSpot(at(500), LandStatus.OWN)}
    found = rules("1005-1700 DLY", outline=outline, flight=plan(**spots))
    assert found == ([("restriction-soon", 5.0)] if told else [])


@pytest.mark.parametrize(
    ("kind", "why"),
    [
        (AirspaceKind.STADIUM, "The restriction lasts until an hour after the event really ends"),
        (AirspaceKind.RESTRICTED, "Restrictions are prolonged by notice."),
        (AirspaceKind.CLASS_E4, "Hours are prolonged by notice."),
    ],
)
def test_why_an_end_may_come_later_is_told_by_what_it_is(kind, why):
    """Stadiums: the notice closes until an hour after the event ends (from memory); else common practice."""
    (one,) = hours_near_in_time(case("0500-0840; OTHER TIMES CLASS G", kind))
    assert one.rule == "restriction-just-over"
    assert why in one.message


def test_without_hours_or_while_they_may_hold_nothing_begins_soon():
    for hours in ("", "BY NOTAM", "0800-2200"):
        assert not list(hours_near_in_time(case(hours)))
    assert not list(hours_near_in_time(case("1030-2200", AirspaceKind.PARACHUTE)))
