"""When an area is against the sun, and the hour that is not: the sun and what is seen are put in by hand.

The cone of 20 degrees and the steps of ten minutes are our own or common practice; 14 CFR 107.31, 107.33
(standing A) want the aircraft seen.
"""

from datetime import timedelta
from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.rules import area_sun
from planner.rules.area_sun import area_against_sun
from planner.rules.finding import Basis, Mark
from planner.sight.along import Viewer
from planner.sight.over_area import AreaSight
from planner.sight.ranges import SightRange
from planner.world.sun_position import SunCourse
from tests.rules.hand_made import judged
from tests.worlds import TRIED, area, box, plan, points

CASE = judged(plan(path=(), area=area(box(100, -20, 140, 20), points([(0, 0, 60.0)])[0].height)))
WHICH = np.arange(0, len(CASE.area_samples.x_m), 4)
PLACES = len(WHICH)
MINUTE = timedelta(minutes=1)


def sight(hidden=()):
    low = np.zeros(PLACES)
    low[list(hidden)] = np.inf
    return AreaSight("", WHICH, np.full(PLACES, 100.0), low, low)


def judged_sun(monkeypatch, some=(), whole=(), *, crew=None, later=None, **more):
    """What is told where at moments (row) places (column) are against the sun, at some height or at all.

    The window of an hour is looked at thrice. `later` are the shifts, in tens of minutes, that are free.
    """
    moments = np.array([0.0, 1_800.0, 3_600.0])
    doubt, night = more.get("doubt", 0.0), more.get("night", ())
    azimuth = more.get("azimuth", (268.4, 275.0, 283.0))

    def dazzle(_eye, _columns, sun, _cone_deg, _doubt_deg):
        rows = len(sun.altitude_deg)
        made = {name: np.zeros((rows, PLACES), dtype=bool) for name in ("some", "whole")}
        if rows == 3:
            for name, pairs in (("some", (*some, *whole)), ("whole", whole)):
                for moment, spot in pairs:
                    made[name][moment, spot] = True
        else:
            shifts = np.arange(-72, rows - 72)
            bad = np.ones(rows, dtype=bool) if later is None else ~np.isin(shifts, later)
            made["whole"][:, 0] = made["some"][:, 0] = bad
        return SimpleNamespace(**made)

    def sun(_plan, moments_s):
        rows = len(moments_s)
        bearings = np.array(azimuth) if rows == 3 else np.zeros(rows)
        heights = np.full(rows, 20.0)
        if rows > 3:
            heights[np.isin(np.arange(-72, rows - 72), night)] = 0.5 - 0.5 * (len(night) > 1)
        return SunCourse(bearings, heights)

    monkeypatch.setattr(area_sun, "moments_of", lambda _plan, _places: moments)
    monkeypatch.setattr(area_sun, "sun_in_window", sun)
    monkeypatch.setattr(area_sun, "doubt_deg", lambda _moments: doubt)
    monkeypatch.setattr(area_sun, "dazzle", dazzle)
    seen = crew or {"observer": (), "pilot": ()}
    parts = tuple(attrs.evolve(sight(hidden), key=key) for key, hidden in seen.items())
    trial = attrs.evolve(TRIED[0], against_sun=False)
    reaches = {key: more.get(key, SightRange(150.0, 500.0, trial)) for key in seen}
    viewers = tuple(Viewer(key, CASE.sight.viewers[0].eye, reaches[key]) for key in seen)
    answer = attrs.evolve(CASE.sight, area=parts, viewers=viewers)
    pilot, observer = CASE.plan.crew
    people = tuple(attrs.evolve(pilot if key == "pilot" else observer, key=key) for key in seen)
    flight = attrs.evolve(CASE.plan, crew=people)
    return list(area_against_sun(attrs.evolve(CASE, sight=answer, plan=flight)))


def test_what_is_against_the_sun_at_every_height_is_open_with_times_and_bearings(monkeypatch):
    (one,) = judged_sun(monkeypatch, whole=((1, 3), (1, 4), (2, 3)), doubt=0.3)
    assert (one.rule, one.mark, one.basis) == ("area-against-the-sun", Mark.UNKNOWN, Basis.LAW)
    assert one.citation == "14 CFR 107.31, 107.33"
    # From the step before to the window's end; 20 and 0.3 degrees are 21, rounded up.
    assert one.message == (
        f"{100 * 2 / PLACES:.0f} % of the area lies at every height within 21° of the sun from 19:00 to "
        "20:00, toward 275° to 283° true; there it may be lost (common practice, no rule)."
    )
    assert one.numbers["share"] == pytest.approx(2 / PLACES)
    index = int(WHICH[3])
    there = CASE.mapped.frame.xy_to_place(
        float(CASE.area_samples.x_m[index]), float(CASE.area_samples.y_m[index])
    )
    assert one.place == there


@pytest.mark.parametrize(
    ("moments", "clock", "bearing"),
    [
        ((0,), "from 19:00 to 19:30", "toward 268° true"),
        ((2,), "from 19:30 to 20:00", "toward 283° true"),
        ((0, 2), "from 19:00 to 19:30 and from 19:30 to 20:00", "toward 268° to 283° true"),
        ((0, 1, 2), "from 19:00 to 20:00", "toward 268° to 283° true"),
    ],
)
def test_times_reach_a_step_beyond_what_is_found(moments, clock, bearing, monkeypatch):
    (one,) = judged_sun(monkeypatch, whole=tuple((moment, 0) for moment in moments))
    assert f"of the sun {clock}, {bearing};" in one.message


def test_a_bearing_past_north_goes_on(monkeypatch):
    (one,) = judged_sun(monkeypatch, whole=((0, 0), (1, 0), (2, 0)), azimuth=(350.0, 359.6, 8.0))
    assert "toward 350° to 008° true" in one.message
    (one,) = judged_sun(monkeypatch, whole=((1, 0),), azimuth=(350.0, 359.6, 8.0))
    assert "toward 000° true" in one.message


def test_at_some_height_it_is_something_to_do_and_tried_by_all_a_note(monkeypatch):
    (act,) = judged_sun(monkeypatch, some=((1, 3),))
    assert (act.mark, act.basis, act.citation) == (Mark.ACT, Basis.SAFETY, "")
    assert "lies at some height within" in act.message
    assert act.remedy.startswith("keep out of that part then")
    tried = {key: SightRange(150.0, 500.0, TRIED[0]) for key in ("observer", "pilot")}
    (note,) = judged_sun(monkeypatch, whole=((1, 3),), **tried)
    assert (note.mark, note.remedy) == (Mark.NOTE, "")
    (one,) = judged_sun(monkeypatch, whole=((1, 3),), pilot=tried["pilot"])
    assert one.mark is Mark.UNKNOWN
    assert not judged_sun(monkeypatch)


def test_what_is_not_seen_anyway_is_no_matter_of_the_sun(monkeypatch):
    hidden = {"observer": (3,), "pilot": (3,)}
    assert not judged_sun(monkeypatch, whole=((1, 3),), crew=hidden)
    (one,) = judged_sun(monkeypatch, whole=((1, 3), (1, 4)), crew=hidden)
    assert one.numbers["share"] == pytest.approx(1 / PLACES)
    # Whose range is not known is told elsewhere.
    unknown = {key: SightRange(150.0) for key in ("observer", "pilot")}
    assert not judged_sun(monkeypatch, whole=((1, 3),), **unknown)


@pytest.mark.parametrize(
    ("free", "said"),
    [
        # The window lasts an hour: seven moments in a row must be free.
        (range(3, 10), "begin the window at 19:30, or "),
        (range(3, 9), ""),
        (range(-9, -2), "begin the window at 17:30, or "),
        ((*range(3, 10), *range(-9, -2)), "begin the window at 19:30, or "),
        ((*range(-8, -1), *range(8, 15)), "begin the window at 17:40, or "),
        (range(60, 67), "begin the window at 05:00 on 13 Jun, or "),
        (range(72, 79), "begin the window at 07:00 on 13 Jun, or "),
        (range(-72, -65), "begin the window at 07:00, or "),
        (None, ""),
    ],
)
def test_the_nearest_hour_out_of_the_sun_is_told(free, said, monkeypatch):
    (one,) = judged_sun(monkeypatch, whole=((1, 3),), later=None if free is None else list(free))
    assert one.remedy.startswith(f"{said}keep out of that part then, with the sun at the crew's back: shrink")


def test_no_hour_is_told_in_which_the_sun_is_down(monkeypatch):
    free = list(range(3, 20))
    for night, said in (((9, 10), "20:50"), ((9,), "19:30")):
        (one,) = judged_sun(monkeypatch, whole=((1, 3),), later=free, night=night)
        assert one.remedy.startswith(f"begin the window at {said}, or ")


def test_of_two_observers_one_who_sees_it_out_of_the_sun_is_enough(monkeypatch):
    crew = {"first": (3,), "observer": (), "pilot": (3,)}
    (one,) = judged_sun(monkeypatch, whole=((1, 3),), crew=crew)
    assert one.mark is Mark.UNKNOWN
    assert not judged_sun(monkeypatch, whole=((1, 3),), crew={**crew, "observer": (3,)})


def test_what_is_farther_than_was_tried_is_against_the_sun_all_the_same(monkeypatch):
    near = {key: SightRange(50.0, 500.0) for key in ("observer", "pilot")}
    (one,) = judged_sun(monkeypatch, whole=((1, 3),), **near)
    assert one.mark is Mark.UNKNOWN


def test_without_an_hour_the_sun_is_not_judged(monkeypatch):
    monkeypatch.setattr(area_sun, "sun_in_window", lambda _plan, _moments: None)
    (note,) = area_against_sun(CASE)
    assert (note.rule, note.mark) == ("area-sun", Mark.NOTE)
    for lacking in ({"sight": None}, {"area": None}, {"sight": attrs.evolve(CASE.sight, area=())}):
        assert not list(area_against_sun(attrs.evolve(CASE, **lacking)))
    assert not list(area_against_sun(attrs.evolve(CASE, area_samples=None)))
