"""Restrictions given by bare days, and those that end or begin close to the window.

A day lasts on earth from 10:00 UTC of the day before (UTC+14) to 12:00 UTC of the day after (UTC-12): the
IANA zones Pacific/Kiritimati and Etc/GMT+12. How close is close is an own choice, stated in the rule.
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import shapely

from planner.assess import assess
from planner.geo.window import TimeWindow
from planner.plan.records import NoticesChecked
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from planner.world.readers import stadiums, temporary
from tests import worlds
from tests.world.chart_files import table
from tests.worlds import HERE, START, disc, plan, world

SPOT = shapely.Point(HERE.lon_deg, HERE.lat_deg)


def game(begin, end):
    row = {"STADIUM": "INVENTED BOWL", "EVENT": "FINAL", "SEATS": 34_000, "START_UTC": begin, "END_UTC": end}
    return stadiums.read_events(None, table(row, shape=SPOT)).content.airspace


def closure(begin, end):
    row = {"NAME": "INVENTED SHOW", "FROM_UTC": begin, "TO_UTC": end, "RADIUS_NM": 3}
    return temporary.read(table(row, shape=SPOT)).content.airspace


def judged(airspace, begin_utc=START, minutes=40):
    window = TimeWindow(begin_utc, begin_utc + timedelta(minutes=minutes), "Etc/GMT+10")
    notices = NoticesChecked(begin_utc - timedelta(hours=2), "pilot")
    return assess(plan(window=window, notices=notices), world(airspace=airspace))


def told(answer, rule):
    return [finding for finding in answer.findings if finding.rule == rule]


@pytest.mark.parametrize("restriction", [game, closure])
@pytest.mark.parametrize("day", ["2027-06-12", "06/12/2027"])
def test_an_evening_of_the_day_is_closed_though_it_is_the_next_day_in_utc(restriction, day):
    """17:00 on 12 June at the invented place in UTC-10 is 03:00 UTC on the 13th."""
    evening = datetime(2027, 6, 12, 17, tzinfo=ZoneInfo("Etc/GMT+10")).astimezone(UTC)
    assert evening.day == 13
    answer = judged(restriction(day, day), evening)
    assert answer.verdict is Verdict.MUST_CHANGE
    (words,) = told(answer, "dates-without-hours")
    assert "11 Jun 2027" in words.message
    assert "13 Jun 2027" in words.message


def test_a_bare_day_lasts_from_the_first_place_on_earth_to_the_last():
    first = datetime(2027, 6, 12, tzinfo=ZoneInfo("Pacific/Kiritimati")).astimezone(UTC)
    last = datetime(2027, 6, 13, tzinfo=ZoneInfo("Etc/GMT+12")).astimezone(UTC)
    (volume,) = closure("2027-06-12", "2027-06-12")
    assert (volume.active_from_utc, volume.active_to_utc) == (first, last)
    hour = timedelta(hours=1)
    (volume,) = game("2027-06-12", "2027-06-12")
    assert (volume.active_from_utc, volume.active_to_utc) == (first - hour, last + hour)


def test_a_time_in_an_attribute_of_utc_is_utc_and_says_nothing_of_days():
    (volume,) = closure("2027-06-12 18:30", "2027-06-12T19:10:00-01:00")
    assert volume.active_from_utc == datetime(2027, 6, 12, 18, 30, tzinfo=UTC)
    assert volume.active_to_utc == datetime(2027, 6, 12, 20, 10, tzinfo=UTC)
    answer = judged((volume,))
    assert answer.verdict is Verdict.MUST_CHANGE
    assert not told(answer, "dates-without-hours")


@pytest.mark.parametrize("restriction", [game, closure])
def test_no_time_between_beginning_and_end_counts_as_for_ever(restriction):
    (volume,) = restriction("2027-06-12T19:00:00Z", "2027-06-12T19:00:00Z")
    assert (volume.active_from_utc, volume.active_to_utc) == (None, None)


@pytest.mark.parametrize(
    ("kind", "before_s", "acts"),
    [
        (AirspaceKind.STADIUM, 1, True),
        (AirspaceKind.STADIUM, 3 * 3600, True),
        (AirspaceKind.STADIUM, 3 * 3600 + 1, False),
        (AirspaceKind.TEMPORARY, 1, True),
        (AirspaceKind.TEMPORARY, 3600, True),
        (AirspaceKind.TEMPORARY, 3601, False),
    ],
)
def test_a_restriction_that_ends_shortly_before_is_looked_up(kind, before_s, acts):
    over = worlds.volume(kind, name="GAME", active_to_utc=START - timedelta(seconds=before_s))
    answer = judged((over,))
    assert answer.verdict is Verdict.READY
    found = told(answer, "restriction-just-over")
    assert [finding.mark for finding in found] == [Mark.ACT] * acts
    if acts:
        assert found[0].numbers == {"gap_s": before_s}


def test_the_second_of_an_end_is_said():
    over = worlds.volume(AirspaceKind.STADIUM, name="GAME", active_to_utc=START - timedelta(seconds=1))
    (finding,) = told(judged((over,)), "restriction-just-over")
    assert "08:59:59" in finding.message
    assert "less than a minute before" in finding.message


@pytest.mark.parametrize(("after_s", "acts"), [(1, True), (3600, True), (3601, False)])
@pytest.mark.parametrize("kind", [AirspaceKind.STADIUM, AirspaceKind.TEMPORARY])
def test_a_restriction_that_begins_shortly_after_is_told(kind, after_s, acts):
    coming = worlds.volume(kind, name="SHOW", active_from_utc=START + timedelta(minutes=40, seconds=after_s))
    answer = judged((coming,))
    assert answer.verdict is Verdict.READY
    assert [finding.mark for finding in told(answer, "restriction-soon")] == [Mark.ACT] * acts


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
@pytest.mark.parametrize(
    ("hours", "acts"),
    [
        ("0945-1700", True),  # the window is 09:00 to 09:40 by the place's clock
        ("1040-1700", True),
        ("1041-1700", False),
        ("0600-0850", False),
        ("0600-0850 1000-1100", True),
        ("SAT 1000-1100", True),  # 12 June 2027 is a Saturday
        ("MON-FRI 1000-1100", False),
    ],
)
def test_published_hours_that_begin_shortly_after_are_told_with_their_moment(kind, hours, acts):
    """check_values 1.15 and 1.17 (standing A) on what hours do; how close is the rule's own choice."""
    schedule = f"{hours} LCL, OTHER TIMES CLASS G" if kind is AirspaceKind.CLASS_D else f"{hours} LCL"
    area = worlds.volume(kind, schedule=schedule, utc_offset_h=-10.0)
    found = told(judged((area,)), "restriction-soon")
    assert [one.mark for one in found] == [Mark.ACT] * acts
    if hours.startswith("0945"):
        assert "By the published hours it begins at 12 Jun 2027 09:45" in found[0].message
        assert found[0].numbers == {"gap_s": 300.0}


def test_one_that_is_elsewhere_is_not_told():
    away = disc(500.0, centre=(0, 5_000))
    over = worlds.volume(AirspaceKind.STADIUM, away, active_to_utc=START - timedelta(minutes=1))
    assert not told(judged((over,)), "restriction-just-over")
