"""Whom a return from an area flies into before it turns home: places, heights and ways put in by hand (m).

It may be flown as low as its ground; people are 2.5 m high, what moves on roads 4.2 m (own choices); a place
is known to 7 m (check value 8.4).
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.plan.aircraft import LinkLossAction
from planner.rules import area_flies_into as rule
from planner.rules.finding import Mark
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
STOP, ACT, OPEN = Mark.STOP, Mark.ACT, Mark.UNKNOWN
NAN = math.nan


def near(apart_m=30.0, below=Below.PEOPLE, name="JO (INVENTED)"):
    """Somebody east of an area that ends at 0 m."""
    return SimpleNamespace(
        thing=Thing(below, name, shapely.box(apart_m, -5.0, apart_m + 10.0, 5.0)), apart_m=apart_m
    )


def case_of(ground_m=(300.0, 300.0, 300.0), ground="ground", **without):
    """An area with places 0, 20 and 40 m west of its eastern end."""
    samples = SimpleNamespace(
        x_m=np.array([0.0, -20.0, -40.0]), y_m=np.zeros(3), ground_amsl_m=np.array(ground_m, dtype=float)
    )
    plan = SimpleNamespace(aircraft=None)
    given = {"area_samples": samples, "mapped": SimpleNamespace(ground=ground), "plan": plan}
    return SimpleNamespace(**given | without)


def into(monkeypatch, one, reach_m, there_m=300.0, doubt_m=3.0, case=None, east_m=None):
    """Whether it flies into somebody: the ground there is so high, from so far east on if that is said."""

    def over(surfaces, x_m, _y_m):
        assert surfaces == ("ground",)
        return np.where(x_m >= east_m, there_m, 300.0) if east_m else np.full(len(x_m), there_m)

    monkeypatch.setattr(rule, "ground_over", over)
    monkeypatch.setattr(rule, "vertical_doubt_m", lambda *_: doubt_m)
    return rule.flown_into(case or case_of(), one, reach_m)


@pytest.mark.parametrize(
    ("apart_m", "reach_m", "met"),
    [
        (30.0, 23.1, True),
        (30.0, 22.9, None),
        (30.0, 60.0, True),
        (30.0, NAN, None),
        (6.0, 0.0, None),  # it flies on by nothing
        (6.0, 0.5, True),
        (0.5, 30.0, True),
        # Who is inside is told otherwise.
        (0.0, 30.0, None),
    ],
)
def test_how_far_on_it_meets_them(apart_m, reach_m, met, monkeypatch):
    assert into(monkeypatch, near(apart_m), reach_m) is met


@pytest.mark.parametrize(
    ("below", "there_m", "doubt_m", "met"),
    [
        (Below.PEOPLE, 300.0, 3.0, True),
        (Below.PEOPLE, 297.6, 3.0, True),
        (Below.PEOPLE, 297.4, 3.0, False),
        (Below.PEOPLE, 294.6, 3.0, False),
        (Below.PEOPLE, 294.4, 3.0, None),
        (Below.PEOPLE, 297.4, 0.0, None),
        (Below.ROAD, 295.9, 3.0, True),
        (Below.ROAD, 295.7, 3.0, False),
        (Below.ROAD, 292.7, 3.0, None),
        (Below.PEOPLE, 350.0, 3.0, True),
        (Below.PEOPLE, NAN, 3.0, True),
    ],
)
def test_how_low_it_is_over_them(below, there_m, doubt_m, met, monkeypatch):
    assert into(monkeypatch, near(below=below), 60.0, there_m, doubt_m) is met


def test_the_highest_ground_on_which_they_stand_counts(monkeypatch):
    case = case_of((310.0, 310.0, 310.0))
    assert into(monkeypatch, near(), 60.0, 308.0, case=case, east_m=40.0) is True
    assert into(monkeypatch, near(), 60.0, 308.0, case=case, east_m=41.0) is None
    assert into(monkeypatch, near(), 60.0, NAN, case=case_of(), east_m=40.0) is True
    assert into(monkeypatch, near(), 60.0, case=case_of(ground=None)) is True


@pytest.mark.parametrize(
    ("ground_m", "reach_m", "met"),
    [
        # 30, 50 and 70 m away; what flies on 42.9 m strikes up to 49.9 m away.
        ((310.0, 300.0, 290.0), 31.0, None),
        ((310.0, 300.0, 290.0), 42.9, None),
        ((310.0, 300.0, 290.0), 43.1, True),
        # Nothing of it is so near: its nearest place.
        ((300.0, 310.0, 310.0), 25.0, True),
        ((310.0, 300.0, 300.0), 25.0, None),
        ((NAN, 310.0, 300.0), 51.0, None),
        ((NAN, 310.0, 300.0), 64.0, True),
    ],
)
def test_the_lowest_ground_from_which_it_comes_there(ground_m, reach_m, met, monkeypatch):
    assert into(monkeypatch, near(), reach_m, case=case_of(ground_m)) is met


@pytest.mark.parametrize("without", ["area_samples", "mapped"])
def test_without_an_area_on_a_map_nobody(without, monkeypatch):
    assert into(monkeypatch, near(), 60.0, case=case_of(**{without: None})) is None


# ---- what is told


def told(monkeypatch, *near_by, ways=(30.0, 60.0, 90.0), highest=True, action=BACK, **without):
    """What is told: how far on it flies by what is given, at the most, and as fast as the speed limit.

    Who is 5 m beside what it reaches is met only within the errors.
    """
    flight = SimpleNamespace(
        comes=SimpleNamespace(wait_m=ways[0]), at_most=SimpleNamespace(wait_m=ways[1]), wind_mps=4.0
    )

    def flown_into(_case, one, reach_m):
        return None if one.apart_m >= reach_m + 5.0 else one.apart_m < reach_m

    def wait_reach_m(_plan, airspeed_mps, wind_mps):
        assert (round(airspeed_mps, 1), wind_mps) == (44.8, 4.0)  # 87 kt (14 CFR 107.51(a))
        return ways[2]

    failsafe = None if action is None else attrs.evolve(CASE.flight.loss.failsafe, action=action, delay_s=3.0)
    for name, one in {
        "area_failsafe": lambda _case: failsafe,
        "of_kinds": lambda _case, kinds: (one for one in near_by if one.thing.below in kinds),
        "flown_into": flown_into,
        "wait_reach_m": wait_reach_m,
        "airspeed_of": lambda _plan: (None, highest),
        "fastest_said": lambda _plan: "its highest speed",
        "by_category": lambda _case, thing, found: (thing.called, found),
        "place_of": lambda _case, one: one.apart_m,
        "matters": lambda thing: thing.called != "nobody",
    }.items():
        monkeypatch.setattr(rule, name, one)
    case = SimpleNamespace(**{"area_flight": flight, "plan": CASE.plan} | without)
    return list(rule.flies_into(case))


@pytest.mark.parametrize(
    ("apart_m", "below", "highest", "mark", "word"),
    [
        (20.0, Below.PEOPLE, True, STOP, "flies into people"),
        (32.0, Below.PEOPLE, True, ACT, "may fly into people"),
        (40.0, Below.PEOPLE, True, OPEN, "may fly into people"),
        (62.0, Below.PEOPLE, True, ACT, "may fly into people"),
        (70.0, Below.PEOPLE, True, None, None),
        (70.0, Below.PEOPLE, False, ACT, "may fly into people"),
        (92.0, Below.PEOPLE, False, ACT, "may fly into people"),
        (96.0, Below.PEOPLE, False, None, None),
        (20.0, Below.ROAD, True, ACT, "may fly through where people may be"),
        (40.0, Below.ROAD, True, ACT, "may fly through where people may be"),
        (20.0, Below.CREW, True, None, None),
    ],
)
def test_what_it_means_by_which_speed_it_comes_there(apart_m, below, highest, mark, word, monkeypatch):
    found = told(monkeypatch, near(apart_m, below), highest=highest)
    assert [one.mark for _, one in found] == ([mark] if mark else [])
    for name, one in found:
        assert (name, one.title, one.place) == ("JO (INVENTED)", f"On lost link it {word}", apart_m)
        reach_m = 30.0 if apart_m < 35.0 else 60.0 if apart_m < 65.0 else 90.0
        assert one.numbers == {"apart_m": apart_m, "reach_m": reach_m}
        # Who says its highest speed needs not say it once more.
        assert ("highest airspeed" in one.remedy) is (reach_m > 30.0)


def test_everybody_is_told_and_with_which_words(monkeypatch):
    found = told(monkeypatch, near(20.0, name="A"), near(20.0, name="nobody"), near(9.0, name="B"))
    assert [name for name, _ in found] == ["A", "B"]
    # 30 m are 98.4 ft, rounded up; 20 m 65.6 ft, rounded down.
    words = "flies on as it flew for 3 s, 99 ft at its highest speed and with the wind, however low it flew: "
    assert words + "into A, 65 ft outside; only then it" in found[0][1].message
    ((_, road),) = told(monkeypatch, near(20.0, Below.ROAD))
    assert "into a road on which vehicles may move (JO (INVENTED)), 65 ft outside" in road.message


@pytest.mark.parametrize("without", [{"area_flight": None}, {"action": None}, {"action": LAND}])
def test_of_no_return_nothing_is_told(without, monkeypatch):
    assert told(monkeypatch, near(20.0), **without) == []
