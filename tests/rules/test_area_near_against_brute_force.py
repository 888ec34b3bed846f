"""How near an area comes to an outline, and how high it comes over places, against all distances one by one.

Distances from places to segments, and inside by crossings of a ray (general geometry), in numpy alone.
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.rules import area_ahead as rule
from planner.rules.area_ahead import ahead_of, highest_within
from planner.rules.beside_area import nearest_of_area
from planner.world.airspace import AirspaceKind
from tests.worlds import sea_level, volume

CELL_M = 10.0
MAPPED = SimpleNamespace(ground=SimpleNamespace(cell_m=lambda _x, _y: CELL_M))
THERE = volume(AirspaceKind.RESTRICTED, floor=sea_level(330.0), top=sea_level(900.0))


def apart_m(places, ring):
    """How far each place is from a closed ring's inside [m]: 0 within it."""
    begin, way = ring[:-1], np.diff(ring, axis=0)
    to = places[:, None] - begin
    share = np.clip((to * way).sum(axis=2) / (way**2).sum(axis=1), 0.0, 1.0)
    away = np.linalg.norm(to - share[..., None] * way, axis=2).min(axis=1)
    (x_m, y_m), (x0, y0), (x1, y1) = places.T[..., None], ring[:-1].T, ring[1:].T
    upward = (y0 <= y_m) != (y1 <= y_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossed = upward & (x_m < x0 + (y_m - y0) * (x1 - x0) / (y1 - y0))
    return np.where(crossed.sum(axis=1) % 2 == 1, 0.0, away)


def star(rng, middle):
    """An outline of 12 corners about a place, no corner like the other."""
    turns, far = np.linspace(0.0, 2.0 * np.pi, 13)[:-1], rng.uniform(15.0, 70.0, 12)
    ring = np.array(middle) + far[:, None] * np.column_stack([np.cos(turns), np.sin(turns)])
    return np.vstack([ring, ring[:1]])


def an_area(rng):
    """Samples all over a square of 100 m, a third of them as high as the airspace begins."""
    x_m, y_m = rng.uniform(0.0, 100.0, (2, 80))
    planned_m = rng.choice([300.0, 320.0, 350.0, np.nan], 80, p=[0.3, 0.33, 0.33, 0.04])
    low_m = np.full(80, 290.0)
    return SimpleNamespace(
        x_m=x_m,
        y_m=y_m,
        planned_amsl_m=planned_m,
        flown_from_amsl_m=low_m,
        ground_amsl_m=low_m,
        lowest_ground_amsl_m=low_m,
        footprint=shapely.box(0.0, 0.0, 100.0, 100.0),
        kept={},
    )


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("only_some", [False, True])
def test_the_nearest_is_that_of_all_distances(seed, only_some):
    rng, found_any, none = np.random.default_rng(seed), 0, 0
    for _ in range(150):
        area, ring = an_area(rng), star(rng, rng.uniform(-90.0, 190.0, 2))
        outline, within_m = shapely.Polygon(ring), rng.uniform(2.0, 60.0)
        among = rng.random(80) < 0.4 if only_some else None
        reached = (area.planned_amsl_m >= 330.0) & (True if among is None else among)
        all_m = apart_m(np.column_stack([area.x_m, area.y_m]), ring)
        gap_m, least_m = float(shapely.distance(area.footprint, outline)), np.min(all_m[reached], initial=1e9)
        expected = least_m if only_some and gap_m == 0.0 else max(gap_m, least_m - 1.5 * CELL_M)
        found = nearest_of_area(MAPPED, area, THERE, outline, within_m, among)
        if gap_m > within_m or expected > within_m:
            assert found is None
            none += 1
            continue
        assert found is not None
        assert found.away_m == pytest.approx(expected, abs=1e-9)
        if only_some and gap_m == 0.0:
            assert apart_m(np.array([[found.x_m, found.y_m]]), ring)[0] == pytest.approx(least_m, abs=1e-9)
        found_any += 1
    assert min(found_any, none) > 20


@pytest.mark.parametrize("side_m", [0.5, 3.0, 17.0])
def test_each_place_is_in_its_own_square(side_m):
    places = np.random.default_rng(4).uniform(-90.0, 40.0, (500, 2))
    middles, own = rule._squares(places, side_m)
    assert (np.abs(middles[own] - places) <= side_m / 2.0 + 1e-9).all()
    assert (
        len(np.unique(middles, axis=0)) == len(middles) == len(np.unique(np.floor(places / side_m), axis=0))
    )


@pytest.mark.parametrize("far_m", [10.0, 35.0])
def test_asked_twice_it_comes_as_high_as_before_and_as_the_highest_so_near(far_m):
    rng = np.random.default_rng(5)
    area, places = an_area(rng), rng.uniform(-20.0, 120.0, (400, 2))
    away_m = np.hypot(area.x_m - places[:, :1], area.y_m - places[:, 1:])
    known = ~np.isnan(area.planned_amsl_m)
    away_m[:, ~known] = np.inf
    near = away_m <= np.maximum(far_m, away_m.min(axis=1, keepdims=True))
    most_m = np.where(near, np.nan_to_num(area.planned_amsl_m), -np.inf).max(axis=1)
    for _ in range(2):
        assert highest_within(area, places, far_m).tolist() == most_m.tolist()


def test_what_lies_ahead_is_found_once_for_one_area_and_map(monkeypatch):
    asked = []

    def nodes(_mapped, _samples, _strip, far_m):
        asked.append(far_m)
        return np.array([[50.0, 110.0]])

    monkeypatch.setattr(rule, "_edges", lambda _mapped, _strip: iter([np.empty((0, 2))]))
    monkeypatch.setattr(rule, "_nodes", nodes)
    area, here, there = an_area(np.random.default_rng(6)), SimpleNamespace(), SimpleNamespace()

    def case():
        return SimpleNamespace(plan=SimpleNamespace(area=None))

    first = ahead_of(case(), here, area, 20.0)
    assert ahead_of(case(), here, area, 20.0) is first
    assert ahead_of(case(), here, area, 30.0) is not first
    assert ahead_of(case(), there, area, 20.0) is not first
    assert asked == [20.0, 30.0, 20.0]
