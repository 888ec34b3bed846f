"""Over what it may come down from an area, and from how high: places and ways put in by hand (plane, m).

Distances by hand; that the highest within reach counts, and the nearest in any case, is our own rule.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.area_comes import NO_WAY
from planner.plan.aircraft import LinkLossAction
from planner.rules import area_down as rule
from planner.rules.area_down import down_over, highest_within, straight_m
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND, DROP = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.DROP
AREA = SimpleNamespace(
    x_m=np.array([-100.0, 0.0, 100.0, 40.0]),
    y_m=np.array([-50.0, 0.0, 50.0, 0.0]),
    planned_amsl_m=np.array([300.0, 330.0, 310.0, np.nan]),
    footprint=shapely.box(-100.0, -50.0, 100.0, 50.0),
)


def failsafe(action):
    return attrs.evolve(CASE.flight.loss.failsafe, action=action)


@pytest.mark.parametrize(
    ("place", "far_m", "high_m"),
    [
        # 30 m east and 40 m north of a place of the area is 50 m away.
        ((30.0, 40.0), 51.0, 330.0),
        ((-70.0, -10.0), 51.0, 300.0),
        ((-60.0, -50.0), 51.0, 300.0),
        ((-70.0, -10.0), 71.0, 330.0),  # 70.7 m from the middle
        ((130.0, 90.0), 51.0, 310.0),
        ((100.0, 50.0), 10.0, 310.0),
        # None so near: the nearest one counts.
        ((130.0, 90.0), 10.0, 310.0),
        ((-900.0, 0.0), 10.0, 300.0),
        ((0.0, 900.0), 2_000.0, 330.0),
    ],
)
def test_it_comes_down_from_as_high_as_it_is_flown_within_reach(place, far_m, high_m):
    found = highest_within(AREA, np.array([place, (0.0, 0.0)]), far_m)
    assert found.tolist() == [high_m, 330.0]


@pytest.mark.parametrize(
    ("action", "wait_m", "ahead_m", "way_m"),
    [
        (LAND, 30.0, 50.0, 30.0),
        (DROP, 30.0, 50.0, 80.0),
        (DROP, math.nan, 50.0, 50.0),
        (DROP, 30.0, math.nan, 30.0),
        (LAND, math.nan, 50.0, 0.0),
    ],
)
def test_how_far_it_comes_without_wind(action, wait_m, ahead_m, way_m):
    comes = attrs.evolve(NO_WAY, wait_m=wait_m, ahead_m=ahead_m)
    assert straight_m(comes, failsafe(action)) == way_m


def lost(monkeypatch, action=LAND, wait_m=30.0, **without):
    given = {"area_samples": AREA, "area": object(), "area_flight": SimpleNamespace(comes=None)}
    given["area_flight"].comes = attrs.evolve(NO_WAY, wait_m=wait_m)
    monkeypatch.setattr(rule, "area_failsafe", lambda _case: None if action is None else failsafe(action))
    return down_over(SimpleNamespace(**{**given, **without}))


def test_over_what_it_may_come_down(monkeypatch):
    shape, far_m = lost(monkeypatch)
    assert far_m == 30.0
    assert shape.bounds == pytest.approx((-130.0, -80.0, 130.0, 80.0))
    assert lost(monkeypatch, wait_m=0.5)[1] == 0.5
    # It lands beneath, returns, or nobody set what it does.
    for action, wait_m in ((LAND, 0.0), (BACK, 30.0), (None, 30.0)):
        assert lost(monkeypatch, action, wait_m) is None


@pytest.mark.parametrize("without", ["area_samples", "area", "area_flight"])
def test_without_an_area_that_is_judged_it_comes_down_nowhere_beside(without, monkeypatch):
    assert lost(monkeypatch, **{without: None}) is None
