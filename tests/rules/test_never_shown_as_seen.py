"""What nobody can see, or nobody can know, is neither ready nor shown as seen: JSON, paper and desk.

Sources: 14 CFR 107.31 (standing A); the own limit is the pilot's word, its end our own figure.
"""

from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
import pandas as pd
import pvlib
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.sight_words import sight_lines
from planner.desk.profile.sight_readout import sight_words
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Lights
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.crew import Role
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Basis, Mark
from planner.rules.light import dark_spans
from planner.rules.verdict import Verdict
from planner.sight.ranges import range_in_plan
from tests import worlds
from tests.worlds import at, plan, points, world

PILOT, OBSERVER = plan().crew
BEHIND = points([(220, 0, 2.0), (220, 60, 2.0)])


def wall(east_m, _north_m):
    """A wall across, 20 m high, 60 m wide, 150 m east of HERE."""
    return np.where(np.abs(east_m - 150.0) < 31.0, worlds.GROUND_M + 20.0, worlds.GROUND_M)


@pytest.mark.parametrize(
    "crew",
    [
        (PILOT, attrs.evolve(OBSERVER, place=None)),
        (attrs.evolve(PILOT, place=None), OBSERVER),
        (PILOT,),
        (OBSERVER,),
        (PILOT, attrs.evolve(OBSERVER, role=Role.SPECTATOR)),
    ],
    ids=["observer nowhere", "pilot nowhere", "no observer", "no pilot", "spectator only"],
)
def test_while_somebody_who_must_see_is_missing_or_stands_nowhere(crew):
    """107.31 wants both: what the one who has a place sees does not speak for the other."""
    assert set(check_json(assess(plan(), world()))["sight"]["seen"]) == {True}
    answer = assess(plan(crew=crew), world())
    told = check_json(answer)["sight"]
    assert set(told["seen"]) == {None}
    assert set(told["reason"]) == {"unknown"}
    assert answer.verdict is not Verdict.READY
    lines = sight_lines(answer)
    assert not [line for line in lines if "is in sight" in line]
    assert any("not all who must see it" in line for line in lines)
    assert sight_words(answer, 100.0) == ("sight: not known, not all who must see it stand on the map",)


def test_what_is_hidden_from_the_one_who_stands_somewhere_stays_hidden():
    crew = (PILOT, attrs.evolve(OBSERVER, place=None))
    answer = assess(plan(path=BEHIND, crew=crew), world(terrain=worlds.terrain(wall)))
    assert set(check_json(answer)["sight"]["reason"]) == {"hidden"}


def test_of_several_observers_one_who_stands_somewhere_is_enough():
    crew = (PILOT, OBSERVER, attrs.evolve(OBSERVER, key="second", place=None))
    assert set(check_json(assess(plan(crew=crew), world()))["sight"]["seen"]) == {True}


@pytest.mark.parametrize("own_s", [5.5, 60.0, 99_999.0])
def test_an_own_limit_is_no_leave_to_fly_on_behind_a_wood(own_s):
    """Some 120 m at 10 m/s are lost behind pines for longer than 5 s."""
    ring = tuple(at(*one) for one in ((90, -100), (110, -100), (110, 100), (90, 100)))
    pines = BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, name="pines", height_m=12.0)
    path = points([(150, -60, 5.0), (150, 60, 5.0)])
    answer = assess(plan(path=path, beneath=(pines,), own_unseen_s=own_s), world())
    (hidden,) = [one for one in answer.findings if one.rule == "hidden-from-crew"]
    assert (hidden.mark, hidden.basis) == (Mark.STOP, Basis.LAW)
    assert "counts for 5 s at the most" in hidden.message
    assert set(check_json(answer)["sight"]["reason"]) == {"hidden"}
    # Faster past it, within 5 s, it is the pilot's own word.
    quick = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=30.0)) for one in path)
    answer = assess(plan(path=quick, beneath=(pines,), own_unseen_s=own_s), world())
    (hidden,) = [one for one in answer.findings if one.rule == "hidden-from-crew"]
    assert (hidden.mark, hidden.basis) == (Mark.ACT, Basis.OWN_LIMIT)


# ---- while the sun is down

LIGHT = Lights(True, 5_000.0)
# The sun sets at about 05:23 UTC.
AFTERNOON, SUNSET, DUSK = (datetime(2027, 6, 13, *clock, tzinfo=UTC) for clock in ((1, 0), (5, 10), (5, 32)))


def at_hour(start_utc, tried, lights=LIGHT):
    """A flight of a quarter of an hour up to 60 m away, at eye height, from the sun."""
    crew = tuple(attrs.evolve(member, place=at(), tried_ranges=tried) for member in (PILOT, OBSERVER))
    return plan(
        path=points([(20, -20, 1.7), (40, -40, 1.7)]),
        window=TimeWindow(start_utc, start_utc + timedelta(minutes=15)),
        notices=attrs.evolve(plan().notices, at_utc=start_utc - timedelta(hours=1)),
        aircraft=attrs.evolve(plan().aircraft, lights=lights),
        crew=crew,
    )


BY_DAY = worlds.TRIED[0]
BY_DARK = attrs.evolve(BY_DAY, by_dark=True)


@pytest.mark.parametrize(
    ("start_utc", "tried", "lights", "seen"),
    [
        (DUSK, (BY_DAY,), LIGHT, None),
        (DUSK, (), LIGHT, None),
        (DUSK, (BY_DAY, BY_DARK), LIGHT, True),
        (DUSK, (BY_DARK,), LIGHT, True),
        (DUSK, (BY_DARK,), Lights(False), None),
        (DUSK, (BY_DARK,), None, None),
        (DUSK, (attrs.evolve(BY_DARK, distance_m=30.0),), LIGHT, None),
        (SUNSET, (BY_DAY,), LIGHT, None),
        (SUNSET, (BY_DARK,), LIGHT, True),
        # By day the light tells nothing of the attitude: the estimate counts, 134 m for this aircraft.
        (AFTERNOON, (attrs.evolve(BY_DARK, distance_m=5.0),), LIGHT, True),
        (AFTERNOON, (attrs.evolve(BY_DAY, distance_m=5.0), BY_DARK), LIGHT, None),
        (SUNSET, (attrs.evolve(BY_DAY, distance_m=5.0), BY_DARK), LIGHT, None),
    ],
)
def test_while_the_sun_is_down_only_what_was_tried_by_dark_counts(start_utc, tried, lights, seen):
    """The issue: not known until the observer's own range (aircraft, date, light) is on record."""
    answer = assess(at_hour(start_utc, tried, lights), world())
    last = check_json(answer)["sight"]["seen"][-1]
    assert last is seen
    if seen is None:
        assert answer.verdict not in (Verdict.READY, Verdict.PERMISSION_NEEDED)
    dark = start_utc is not AFTERNOON
    lacking = dark and not (any(one.by_dark for one in tried) and lights == LIGHT)
    assert bool([one for one in answer.findings if one.rule == "not-tried-by-dark"]) is lacking


def test_a_short_trial_by_day_and_a_long_one_by_dark_leave_the_short_one_in_a_window_of_both():
    short = attrs.evolve(BY_DAY, distance_m=31.0)
    (reach, _) = (viewer.reach for viewer in assess(at_hour(SUNSET, (short, BY_DARK)), world()).sight.viewers)
    assert reach.attitude_m == 31.0


def test_the_night_that_comes_late_in_a_long_window_counts():
    """71 degrees north, 20 days from 20 July: the sun sets after the first week only (pvlib's altitude)."""
    north, start_utc = Place(25.0, 71.0), datetime(2027, 7, 20, 12, tzinfo=UTC)
    spot = GroundSpot(north, LandStatus.OWN)
    far = plan(launch=spot, window=TimeWindow(start_utc, start_utc + timedelta(days=20)))
    spans = dark_spans(far)
    assert spans
    assert spans[0].start_utc > start_utc + timedelta(days=7)
    for span in (spans[0], spans[-1]):
        middle = span.start_utc + (span.end_utc - span.start_utc) / 2
        sun = pvlib.solarposition.get_solarposition(pd.DatetimeIndex([middle]), 71.0, 25.0)
        assert float(sun["elevation"].iloc[0]) < -0.7
    assert range_in_plan(far, OBSERVER).attitude_m is None
    lit = attrs.evolve(far, aircraft=attrs.evolve(far.aircraft, lights=LIGHT))
    assert range_in_plan(lit, attrs.evolve(OBSERVER, tried_ranges=(BY_DARK, BY_DAY))).attitude_m == 9_000.0
