"""What is said of a flying area and of a path within it, at the edges; worked by hand on level ground.

Heights: 400 ft above the ground (14 CFR 107.51(b), check_values 1.1, standing B); the rest is design.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.area import area_height
from planner.rules.finding import Basis, Mark
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, at, box, ft, plan, points, terrain, volume, world

PLACE = box(-600, -200, 600, 200)


def found(rule, charts=None, top=None, outline=PLACE, **changes):
    given = {"launch": None, "landing": None, "area": worlds.area(outline, top), **changes}
    answer = assess_live(plan(**given), charts or world())
    return [each for each in answer.findings if each.rule == rule]


def alone(rule, charts=None, **changes):
    """The same for an area without a path."""
    return found(rule, charts, path=(), **changes)


# ---- the area itself


@pytest.mark.parametrize(("top_ft", "over"), [(400.0, []), (400.4, [1]), (401.0, [1]), (420.5, [21])])
def test_above_400_ft_the_excess_is_told_rounded_up(top_ft, over):
    told = alone("area-above-limit", top=AboveGround(ft(top_ft)))
    assert [each.title for each in told] == [f"Area's top is {feet} ft above the limit" for feet in over]
    for each in told:
        assert each.mark is Mark.STOP
        assert each.numbers["over_m"] == pytest.approx(ft(top_ft - 400), abs=1e-6)


@pytest.mark.parametrize(
    ("top_ft", "room"), [(380.0, []), (383.0, []), (384.0, ["16 ft"]), (395.5, ["4 ft"]), (400.0, ["0 ft"])]
)
def test_under_the_limit_by_less_than_the_uncertainty_is_an_act(top_ft, room):
    """5 m of the terrain's own error are 16.4 ft."""
    charts = world(terrain=terrain(vertical_uncertainty_m=5.0))
    told = alone("area-close-under-limit", charts, top=AboveGround(ft(top_ft)))
    assert [each.mark for each in told] == [Mark.ACT] * len(room)
    for each, feet in zip(told, room, strict=True):
        assert f"the top is {feet} under the limit; 17 ft are uncertainty" in each.message
        assert each.numbers["room_m"] == pytest.approx(ft(400 - top_ft), abs=1e-6)
    assert not alone("area-close-under-limit", top=AboveGround(ft(top_ft)))


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
def test_in_an_airspace_that_is_not_open_the_entry_counts_not_how_close_it_is(kind):
    charts = world(terrain=terrain(vertical_uncertainty_m=5.0), airspace=(volume(kind),))
    assert not alone("area-close-under-limit", charts, top=AboveGround(2.0))


def test_ground_that_is_not_known_is_told_by_its_share():
    half = terrain(lambda east_m, _: np.where(east_m > 0, np.nan, GROUND_M), cell_m=10.0)
    (told,) = alone("area-ground-not-known", world(terrain=half), top=AboveGround(60.0))
    assert told.mark is Mark.UNKNOWN
    share = float(told.message.split("%")[0].split()[-1])
    assert 45 <= share <= 55
    assert not alone("area-ground-not-known", top=AboveGround(60.0))


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.001, "For 1 % of"), (0.5, "For 50 % of"), (0.991, "For 100 % of"), (1.0, "For 100 % of")],
)
def test_of_a_share_that_is_not_known_no_part_is_left_out(share, words):
    """Rounded up: a little of it is not nothing."""
    case = judged(plan(path=(), area=worlds.area(box(-50, -50, 50, 50), AboveGround(60.0))))
    given = attrs.evolve(case, area=attrs.evolve(case.area, unknown_share=share))
    (one,) = [found for found in area_height(given) if found.rule == "area-ground-not-known"]
    assert one.message.startswith(words)


@pytest.mark.parametrize(("known", "told"), [(True, [Mark.UNKNOWN]), (False, [])])
def test_a_top_under_the_ground_is_told_only_where_all_ground_is_known(known, told):
    """Where it is not, something of the area may lie above the ground after all."""
    east_m = 0.0 if not known else 9_000.0
    ground = terrain(lambda x_m, _: np.where(x_m > east_m, np.nan, GROUND_M), cell_m=10.0)
    found_there = alone("area-without-room", world(terrain=ground), top=AboveSeaLevel(GROUND_M - 5))
    assert [each.mark for each in found_there] == told


def test_an_area_without_a_top_is_judged_only_by_the_path_in_it():
    one = points([(0, 0, 30.0)])
    two = points([(0, 0, 30.0), (100, 0, 30.0)])
    rule = "area-without-top"
    assert [each.mark for each in alone(rule)] == [Mark.UNKNOWN]
    assert [each.mark for each in found(rule, path=one)] == [Mark.UNKNOWN]
    assert found(rule, path=two) == []
    assert alone(rule, top=AboveGround(60.0)) == []


# ---- a path in it: the pilot's own bounds, no law


@pytest.mark.parametrize(("beyond_m", "leaves"), [(0.3, False), (0.8, True)])
@pytest.mark.parametrize("side", [-1, 1])
def test_half_a_metre_beyond_the_area_is_still_in_it(beyond_m, leaves, side):
    path = points([(0, 0, 30.0), (side * (600 + beyond_m), 0, 30.0)])
    told = found("path-outside-area", path=path, outline=PLACE)
    assert bool(told) is leaves
    assert all(each.basis is Basis.OWN_LIMIT and each.mark is Mark.STOP for each in told)


def test_where_a_path_leaves_its_area_is_told():
    path = points([(0, 0, 30.0), (800, 0, 30.0), (800, 100, 30.0), (0, 100, 30.0)])
    (told,) = found("path-outside-area", path=path)
    assert told.from_m == pytest.approx(600, abs=31)  # a raster line apart at most
    assert told.to_m == pytest.approx(1_100, abs=31)


def test_a_notch_between_two_samples_is_left_on_either_side():
    """The path is outside for 4 m; both samples about it lie inside, and say so."""
    notched = PLACE - box(13, -20, 17, 300)
    charts = world(terrain=terrain(cell_m=250.0, cells=21))
    path = points([(-500, 0, 30.0), (500, 0, 30.0)])
    (told,) = found("path-outside-area", charts, path=path, outline=notched)
    assert told.from_m < 513 < 517 < told.to_m
    assert told.to_m - told.from_m < 25  # the samples next to it, no more


LAUNCH = GroundSpot(at(-500), LandStatus.OWN)


@pytest.mark.parametrize("top", [AboveGround(60.0), AboveLaunch(60.0), AboveSeaLevel(GROUND_M + 60.0)])
@pytest.mark.parametrize(("height_m", "over"), [(60.0, []), (60.2, [1]), (70.0, [33])])
def test_a_path_above_the_areas_top_is_told_where_it_is_worst(top, height_m, over):
    path = points([(-500, 0, 30.0), (0, 0, height_m), (500, 0, 30.0)])
    told = found("path-above-area", path=path, top=top, launch=LAUNCH)
    middle_m = np.hypot(500, height_m - 30)
    assert [each.numbers["over_m"] for each in told] == [pytest.approx(height_m - 60, abs=0.01)] * len(over)
    for each, feet in zip(told, over, strict=True):
        assert each.message == f"At {middle_m:,.0f} m it is {feet} ft above."
        assert each.from_m - 1e-6 <= middle_m <= each.to_m + 1e-6


def test_a_top_above_the_launch_counts_from_its_ground_a_top_above_ground_from_that_below():
    hill = terrain(lambda east_m, _: np.clip(east_m, 0, 20.0) + GROUND_M, cell_m=10.0)
    path = points([(-500, 0, 50.0), (500, 0, 50.0)])
    charts = world(terrain=hill)
    assert not found("path-above-area", charts, path=path, top=AboveGround(60.0), launch=LAUNCH)
    (told,) = found("path-above-area", charts, path=path, top=AboveLaunch(60.0), launch=LAUNCH)
    assert told.numbers["over_m"] == pytest.approx(10.0, abs=0.01)
