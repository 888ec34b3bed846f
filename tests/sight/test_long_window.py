"""Windows of more than twelve hours: each minute counts, against brute force over all of them.

The sun's own places are held against outside data in tests/published/test_sun.py.
"""

from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.rules.finding import Mark
from planner.sight.answer import conditions_over, starts_within, suns_at
from planner.sight.area_sun import Columns, dazzle, doubt_deg, moments_of, sun_in_window
from planner.sight.lines import Targets
from planner.sight.long_window import LongWindow
from planner.sight.spot import Spot
from planner.sight.sun import least_sun_angle_deg, sun_angle_deg
from planner.track.timing import PathTimes
from planner.world.sun_position import SunCourse, sun_course
from tests import worlds
from tests.worlds import plan, world

EYE = Spot(0.0, 0.0, 1.7, 0.0)
# The library leaves fractions of a second out: the sun goes 0.004 degrees in one.
SAME_DEG = 0.005
BEGIN = datetime(2027, 6, 12, 19, 7, 23, tzinfo=UTC)


def about(seed, count=60):
    generator = np.random.default_rng(seed)
    x_m, y_m = generator.uniform(-200.0, 200.0, (2, count))
    return Targets(x_m, y_m, generator.uniform(2.0, 120.0, count), np.zeros(count))


def window_of(lat_deg, hours, takes_s=247.0, count=60):
    starts_s = np.linspace(0.0, hours * 3600.0, int(np.ceil(hours * 60)) + 1)
    return LongWindow(Place(-150.2, lat_deg), BEGIN, starts_s, np.linspace(0.0, takes_s, count))


def by_brute_force(window, targets):
    """The least angle over every start, one after the other."""
    least = np.full(len(targets), np.nan)
    for start_s in window.starts_s:
        sun = sun_course(window.place, window.start_utc, start_s + window.time_s)
        least = np.fmin(least, sun_angle_deg(EYE, targets, sun))
    return least


@pytest.mark.parametrize(
    ("lat_deg", "hours"), [(37.8, 13.0), (0.0, 25.5), (-62.0, 30.0), (71.0, 26.0), (-89.0, 14.0)]
)
def test_the_least_angle_is_that_of_every_minute(lat_deg, hours):
    window, targets = window_of(lat_deg, hours), about(3)
    expected = by_brute_force(window, targets)
    found = window.least_angle_deg(EYE, targets)
    assert np.array_equal(np.isnan(found), np.isnan(expected))
    assert np.nan_to_num(found) == pytest.approx(np.nan_to_num(expected), abs=SAME_DEG)


def test_a_height_that_is_not_known_leaves_its_own_angle_unknown_only():
    window, targets = window_of(37.8, 13.0), about(4)
    holed = attrs.evolve(targets, amsl_m=np.where(np.arange(60) == 7, np.nan, targets.amsl_m))
    found, whole = window.least_angle_deg(EYE, holed), window.least_angle_deg(EYE, targets)
    assert np.flatnonzero(np.isnan(found)).tolist() == [7]
    assert np.delete(found, 7) == pytest.approx(np.delete(whole, 7))


def test_where_the_sun_is_never_up_there_is_no_angle():
    dark = attrs.evolve(window_of(75.0, 30.0), start_utc=datetime(2026, 12, 20, tzinfo=UTC))
    assert np.isnan(dark.least_angle_deg(EYE, about(1))).all()


def timed(time_s):
    return PathTimes(time_s, assumed=np.zeros(len(time_s), dtype=bool), assumed_speed_mps=10.0)


def long_plan(hours, **changes):
    window = TimeWindow(worlds.START, worlds.START + timedelta(hours=hours))
    return plan(window=window, **changes)


@pytest.mark.parametrize("hours", [11.9, 12.2, 40.0])
def test_a_plan_of_many_hours_is_judged_at_every_minute(hours):
    flown = long_plan(hours)
    times = timed(np.linspace(0.0, 100.0, 30))
    starts_s = starts_within(flown.window, times.duration_s)
    assert np.diff(starts_s).max() <= 60.0
    assert starts_s[-1] + 100.0 == pytest.approx(hours * 3600.0)
    expected = least_sun_angle_deg(EYE, about(8, 30), suns_at(flown, times, starts_s))
    found = conditions_over(flown, times).least_sun_angle_deg(EYE, about(8, 30))
    assert found == pytest.approx(expected, abs=SAME_DEG)


def test_a_glare_of_a_few_minutes_in_a_day_is_found():
    """A cone as wide as lets the sun in for less than four minutes of a day and a half."""
    targets = about(8, 1)
    flown, times = long_plan(36.0), timed(np.zeros(1))
    conditions = conditions_over(flown, times)
    minutes_s = starts_within(flown.window, 0.0)
    sun = sun_course(flown.anchor(), flown.window.start_utc, minutes_s)
    angles = np.array([sun_angle_deg(EYE, targets, SunCourse(*one)).item() for one in columns_of(sun)])
    cone_deg = np.sort(angles)[2] + 1e-3
    assert (angles <= cone_deg).sum() <= 3
    # The starts that searches take, twelve hours' worth of a day and a half, miss some of them.
    assert conditions.least_sun_angle_deg(EYE, targets)[0] == pytest.approx(np.nanmin(angles), abs=SAME_DEG)
    assert len(conditions.suns) < len(minutes_s) / 2


def columns_of(sun):
    return [(sun.azimuth_deg[k : k + 1], sun.altitude_deg[k : k + 1]) for k in range(len(sun.azimuth_deg))]


# ---- an area


def area_columns(count):
    targets = about(9, count)
    return Columns(targets.x_m, targets.y_m, np.full(count, 4.0), targets.amsl_m + 4.0)


def test_over_an_area_nothing_of_any_minute_is_missed():
    """Twenty thousand places for thirty hours: fewer moments, each for all about it."""
    flown = long_plan(30.0)
    columns = area_columns(80)
    coarse_s, fine_s = moments_of(flown, 20_000), moments_of(flown, 80)
    assert np.diff(fine_s).max() <= 60.0 < np.diff(coarse_s).max() <= 600.0
    assert doubt_deg(fine_s) == 0.0
    coarse, fine = (
        dazzle(EYE, columns, sun_in_window(flown, moments_s), 20.0, doubt_deg(moments_s))
        for moments_s in (coarse_s, fine_s)
    )
    for name in ("some", "whole"):
        seldom, often = getattr(coarse, name).any(axis=0), getattr(fine, name).any(axis=0)
        assert not (often & ~seldom).any()
        # And hardly more: as far as the sun goes in half a step.
        wide = dazzle(EYE, columns, sun_in_window(flown, fine_s), 20.0 + 2 * doubt_deg(coarse_s))
        assert not (seldom & ~getattr(wide, name).any(axis=0)).any()


def test_a_day_long_window_over_an_area_tells_the_sun_and_no_hour_that_is_not_free():
    drawn = worlds.area(worlds.box(-100, -60, -20, 60), worlds.points([(0, 0, 30.0)])[0].height)
    tried = attrs.evolve(worlds.TRIED[0], against_sun=False)
    crew = tuple(attrs.evolve(member, tried_ranges=(tried,)) for member in plan().crew)
    # From 5:30 to 18:30 by the sun, all of it by day: a range tried by day counts all the while.
    begin = worlds.START - timedelta(hours=3.5)
    window = TimeWindow(begin, begin + timedelta(hours=13))
    answer = assess(plan(window=window, path=(), area=drawn, crew=crew), world())
    found = [one for one in answer.findings if one.rule == "area-against-the-sun"]
    assert [one.mark for one in found] == [Mark.UNKNOWN]
    assert "begin the window" not in found[0].remedy
