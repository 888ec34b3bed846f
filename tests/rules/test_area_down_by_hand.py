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
from planner.rules.area_ahead import Ahead, highest_within
from planner.rules.area_down import down_over, straight_m
from planner.track.way_samples import WaySamples
from planner.world.airspace import LimitReference
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND, DROP = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.DROP
AREA = SimpleNamespace(
    x_m=np.array([-100.0, 0.0, 100.0, 40.0]),
    y_m=np.array([-50.0, 0.0, 50.0, 0.0]),
    planned_amsl_m=np.array([300.0, 330.0, 310.0, np.nan]),
    footprint=shapely.box(-100.0, -50.0, 100.0, 50.0),
    kept={},
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
    # What returns flies on as far first.
    assert lost(monkeypatch, BACK)[1] == 30.0
    # It lands beneath, or nobody set what it does.
    for action, wait_m in ((LAND, 0.0), (None, 30.0)):
        assert lost(monkeypatch, action, wait_m) is None


@pytest.mark.parametrize("without", ["area_samples", "area", "area_flight"])
def test_without_an_area_that_is_judged_it_comes_down_nowhere_beside(without, monkeypatch):
    assert lost(monkeypatch, **{without: None}) is None


# ---- where it comes down through an airspace beside it


V = SimpleNamespace(floor=SimpleNamespace(reference=LimitReference.SURFACE))


def down(monkeypatch, reach_m=None, *, top_m=400.0, near=True, wanted=True, **given):
    """Places, heights from and to; and how far ahead was looked. An outline begins 10 m east of the area."""
    asked = []
    outline = given.get("outline", shapely.box(110.0, -20.0, 200.0, 20.0))

    def comes_near(_mapped, _samples, volume, shape, far_m):
        assert (volume, shape) == (V, outline)
        asked.append(far_m)
        return near

    def samples_at(_mapped, places, to_m, from_m):
        return WaySamples(None, *places.T, np.zeros(len(places)), np.zeros(len(places)), to_m, from_m)

    def is_wanted(column, volume):
        assert (column, volume) == (3, V)
        return wanted

    over = shapely.buffer(AREA.footprint, 30.0), 30.0
    for name, one in {
        "down_over": lambda _case: given.get("over", over),
        "comes_near": comes_near,
        "ahead_of": lambda _case, _mapped, _samples, far_m: Ahead(
            np.array([(120.0, 0.0), (128.0, 5.0), (150.0, 0.0), (120.0, 60.0)]), np.full(4, 300.0 + far_m)
        ),
        "highest_within": lambda _samples, places, far_m: np.full(len(places), 300.0 + far_m),
        "sample_way": samples_at,
        "top_amsl_m": lambda _volume, samples: np.full(len(samples.x_m), top_m),
        "_where": lambda _case: "where it comes down by itself on lost link",
    }.items():
        monkeypatch.setattr(rule, name, one)
    outlines = SimpleNamespace(columns_near=lambda _box: [3, 4], polygon=lambda _column: outline)
    mapped = SimpleNamespace(outlines=outlines, airspace=given.get("airspace", {3: V}))
    case = SimpleNamespace(area_samples=given.get("samples", AREA))
    return list(rule.down_beside_area(case, mapped, is_wanted, reach_m)), asked


@pytest.mark.parametrize(
    ("reach_m", "top_m", "far_m", "east_m", "to_m"),
    [
        (None, 400.0, 30.0, 130.0, 330.0),
        (15.0, 400.0, 15.0, 115.0, 315.0),
        (None, 320.0, 30.0, 130.0, 320.0),  # no higher than the airspace goes up
        (None, math.nan, 30.0, 130.0, 330.0),
    ],
)
def test_from_as_high_as_it_is_flown_it_comes_down_to_the_ground(
    reach_m, top_m, far_m, east_m, to_m, monkeypatch
):
    (one,), asked = down(monkeypatch, reach_m, top_m=top_m)
    assert asked == [far_m]
    places = set(zip(one.x_m.tolist(), one.y_m.tolist(), strict=True))
    assert (min(one.x_m), max(one.x_m)) == (110.0, pytest.approx(east_m))
    # Those ahead of the area that lie in the outline, and within reach.
    assert {(120.0, 0.0), (128.0, 5.0)} & places == ({(120.0, 0.0), (128.0, 5.0)} if far_m == 30.0 else set())
    assert not {(150.0, 0.0), (120.0, 60.0)} & places
    assert set(one.planned_amsl_m) == {to_m}
    assert set(one.flown_from_amsl_m) == {-math.inf}


@pytest.mark.parametrize(
    "given",
    [
        {"samples": None},
        {"over": None},
        {"near": False},
        {"wanted": False},
        {"airspace": {}},
        {"outline": shapely.box(140.0, -20.0, 200.0, 20.0)},
    ],
)
def test_it_comes_down_through_no_other_airspace(given, monkeypatch):
    assert down(monkeypatch, **given)[0] == []
    # How far it comes may be said otherwise than by what is given of it.
    assert bool(down(monkeypatch, 60.0, **given)[0]) is ("over" in given or "outline" in given)


@pytest.mark.parametrize(
    ("floor_m", "high"),
    [
        (320.0, True),
        (329.9, True),
        (330.1, False),
        (math.nan, True),  # ground that nobody knows could be any
    ],
)
def test_through_what_begins_above_ground_it_comes_only_from_as_high(floor_m, high, monkeypatch):
    """It comes ahead as high as 330 m; whether the area itself is near does not count."""
    monkeypatch.setattr(V.floor, "reference", LimitReference.ABOVE_GROUND)
    monkeypatch.setattr(
        rule, "floor_amsl_m", lambda volume, there: np.where(there.x_m > 125.0, floor_m, 400.0)
    )
    found, asked = down(monkeypatch, near=False)
    assert asked == []
    assert [set(one.x_m.tolist()) for one in found] == ([{128.0, 130.0}] if high else [])


@pytest.mark.parametrize("near", [None, "near"])
def test_it_comes_near_as_what_comes_down_does(near, monkeypatch):
    def nearest(*given, comes_down):
        assert (given, comes_down) == (("map", AREA, "V", "outline", 30.0), True)
        return near

    monkeypatch.setattr(rule, "nearest_of_area", nearest)
    assert rule.comes_near("map", AREA, "V", "outline", 30.0) is (near is not None)


@pytest.mark.parametrize(
    ("action", "words"),
    [
        (BACK, "where it flies on on lost link"),
        (LAND, "where it comes down by itself on lost link"),
        (DROP, "where it comes down by itself on lost link"),
        (None, "where it comes down by itself on lost link"),
    ],
)
def test_where_that_is(action, words, monkeypatch):
    monkeypatch.setattr(rule, "area_failsafe", lambda _case: None if action is None else failsafe(action))
    assert rule._where("case") == words
