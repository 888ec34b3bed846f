"""An area against the sun: parts and times, by the sun of another algorithm, and what cures it.

The cone of 20 degrees is common practice, no rule. The sun is pvlib's (NREL's algorithm).
"""

import re
from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pandas as pd
import pvlib
import pytest

from planner.assess import assess
from planner.geo.window import TimeWindow
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from tests import worlds
from tests.worlds import at, plan, world

# In June the sun stands low in the west-north-west then; it sets at about 05:30 UTC.
EVENING = datetime(2027, 6, 13, 3, 0, tzinfo=UTC)
NOON = datetime(2027, 6, 12, 22, 0, tzinfo=UTC)
WEST = worlds.area(worlds.box(-130, 20, -60, 90), worlds.points([(0, 0, 30.0)])[0].height)
AROUND = worlds.area(worlds.box(-90, -90, 90, 90), WEST.top)


def flight(start, minutes, area, *, against_sun=False, purpose=Purpose.PART_107, **changes):
    window = TimeWindow(start, start + timedelta(minutes=minutes))
    tried = attrs.evolve(worlds.TRIED[0], against_sun=against_sun)
    crew = tuple(attrs.evolve(member, tried_ranges=(tried,)) for member in plan().crew)
    notices = attrs.evolve(plan().notices, at_utc=start - timedelta(hours=1))
    given = {"window": window, "notices": notices, "crew": crew, "path": (), "area": area}
    return plan(purpose, **{**given, **changes})


def finding_of(flown):
    found = [one for one in assess(flown, world()).findings if one.rule.startswith("area-")]
    assert len(found) <= 1, found
    return found[0] if found else None


def minutes_against_the_sun(start, minutes, azimuth_deg, least_deg, most_deg):
    """Minutes at which all rays of one bearing between two elevations lie within 20 degrees of the sun."""
    times = pd.date_range(start, periods=minutes + 1, freq="min")
    here = at()
    sun = pvlib.solarposition.get_solarposition(times, here.lat_deg, here.lon_deg, method="nrel_numpy")
    found = []
    for when, (azimuth, elevation) in zip(times, sun[["azimuth", "elevation"]].to_numpy(), strict=True):
        turn = np.radians(azimuth - azimuth_deg)
        cosines = [
            np.sin(np.radians(elevation)) * np.sin(np.radians(ray))
            + np.cos(np.radians(elevation)) * np.cos(np.radians(ray)) * np.cos(turn)
            for ray in (least_deg, most_deg)
        ]
        if min(cosines) >= np.cos(np.radians(20.0)) and elevation > -0.83:
            found.append(when)
    return found


def test_the_part_against_the_sun_is_unknown_from_when_to_when():
    """A pin-prick of an area 100 m away at 285 degrees, 2 to 30 m up: the clock is the sun's own."""
    east_m, north_m = 100.0 * np.sin(np.radians(285.0)), 100.0 * np.cos(np.radians(285.0))
    spot = worlds.area(
        worlds.box(east_m - 0.5, north_m - 0.5, east_m + 0.5, north_m + 0.5),
        worlds.points([(0, 0, 30.0)])[0].height,
    )
    glare = finding_of(flight(EVENING, 120, spot))
    assert glare.mark is Mark.UNKNOWN
    assert glare.numbers["share"] == pytest.approx(1.0)
    low, top = np.degrees(np.arctan2([0.3, 28.3], 100.0))
    expected = minutes_against_the_sun(EVENING, 120, 285.0, low, top)
    zone = flight(EVENING, 120, spot).window
    said = [datetime.strptime(clock, "%H:%M") for clock in re.findall(r"\d\d:\d\d", glare.message)]  # noqa: DTZ007
    ends = [
        datetime.strptime(f"{zone.local(end.to_pydatetime()):%H:%M}", "%H:%M")  # noqa: DTZ007
        for end in (expected[0], expected[-1])
    ]
    for ours, theirs in zip(said, ends, strict=True):
        assert abs(ours - theirs) <= timedelta(minutes=3)
    assert said[0] <= ends[0]


def test_the_hour_that_the_remedy_names_and_a_trial_toward_the_sun_cure_it():
    flown = flight(EVENING + timedelta(minutes=90), 20, WEST)
    glare = finding_of(flown)
    assert glare.mark is Mark.UNKNOWN
    hour, minute = map(int, re.search(r"begin the window at (\d\d):(\d\d)", glare.remedy).groups())
    start = flown.window.local(flown.window.start_utc).replace(hour=hour, minute=minute)
    cured = finding_of(flight(start.astimezone(UTC), 20, WEST))
    assert cured is None or cured.mark is Mark.ACT
    tried = finding_of(attrs.evolve(flown, crew=flight(EVENING, 20, WEST, against_sun=True).crew))
    assert tried.mark is Mark.NOTE
    assert tried.remedy == ""


def test_a_high_sun_takes_but_some_heights_and_that_is_something_to_do():
    glare = finding_of(flight(NOON, 30, AROUND))
    assert glare.mark is Mark.ACT
    assert "at some height" in glare.message
    assert "keep out" in glare.remedy
    assert 0.0 < glare.numbers["share"] < 0.6


def test_with_the_sun_behind_nothing_is_said():
    east = worlds.area(worlds.box(60, -90, 130, -20), WEST.top)
    assert finding_of(flight(EVENING + timedelta(minutes=90), 20, east)) is None


def test_of_observers_one_on_the_other_side_is_enough_but_whoever_flies_must_see_by_themselves():
    """49 USC 44809(a)(3) asks for an observer, 14 CFR 107.31(a) for those who fly, too (standing A)."""
    start = EVENING + timedelta(minutes=90)
    beyond = CrewMember("beyond", Role.OBSERVER, "", at(-190, 110), None, (worlds.TRIED[0],))
    beyond = attrs.evolve(beyond, tried_ranges=(attrs.evolve(worlds.TRIED[0], against_sun=False),))
    for purpose, mark in ((Purpose.RECREATIONAL, None), (Purpose.PART_107, Mark.UNKNOWN)):
        flown = flight(start, 20, WEST, purpose=purpose, guidelines="INVENTED GUIDELINES")
        alone = finding_of(flown)
        assert alone.mark is Mark.UNKNOWN
        both = finding_of(attrs.evolve(flown, crew=(*flown.crew, beyond)))
        assert (both.mark if both else None) is mark


def test_without_a_time_it_says_that_the_sun_is_not_judged():
    glare = finding_of(flight(EVENING, 20, WEST, window=None))
    assert (glare.rule, glare.mark) == ("area-sun", Mark.NOTE)
