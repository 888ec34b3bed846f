"""Who is near to ways home that are put in by hand: nearer than it is high there (1:1, common practice).

The path runs west to east along y = 0; the ways lead north, far from it. Distances are differences.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.flight.failsafe import RETURNS
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules import return_near_people as rule
from planner.rules.finding import Mark
from planner.rules.return_near_people import _as_near_as_flown, _passed, returns_past
from tests.rules.test_flight_rules import judged
from tests.worlds import GROUND_M

FIXED, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
CASE = judged(link_loss=LinkLoss(FIXED, 0.0, AboveLaunch(40.0), speed_mps=10.0)).case


def ways(*east_m, high_m=40.0, blown=(), action=FIXED, case=CASE):
    """A way from south to north at each of some places, so high above the ground; a level of each, or one."""
    loss, n = case.flight.loss, len(east_m)
    x_m, high = np.array(east_m, dtype=float), np.broadcast_to(np.array(high_m, dtype=float), n)
    return attrs.evolve(
        loss,
        failsafe=attrs.evolve(loss.failsafe, action=action),
        corner_x_m=np.column_stack([x_m] * 4),
        corner_y_m=np.column_stack([np.full(n, 200.0)] * 3 + [np.full(n, 800.0)]),
        corner_amsl_m=np.column_stack([GROUND_M + high] * 4),
        blown_away=np.isin(np.arange(n), blown),
        margin_m=0.0,
    )


def somebody(west_m, below=Below.PEOPLE, name="JO (INVENTED)", south_m=499.0):
    return Thing(below, name, shapely.box(west_m, south_m, west_m + 2.0, south_m + 2.0))


@pytest.mark.parametrize(
    ("east_m", "given", "apart_m"),
    [
        ((0.0, 20.0), {}, 30.0),
        ((20.0, 0.0, -10.0), {}, 30.0),  # the first of several
        ((-10.0, 0.0, 20.0), {}, 30.0),  # the last
        ((0.0, 20.0), {"blown": (1,)}, None),  # that one never comes home, and is told as that
        ((0.0, 20.0), {"high_m": (60.0, 20.0)}, 50.0),  # the nearer one is too low to matter
        ((0.0, 20.0), {"high_m": (40.0, np.nan)}, None),  # nobody knows how high
        ((0.0, 20.0), {"high_m": (60.0, np.nan)}, 50.0),
        ((20.0, 51.0), {}, None),  # one leads over them
        ((20.0,), {"action": LAND}, None),
        ((), {}, None),
        (tuple(np.linspace(-300.0, 20.0, 500)), {}, 30.0),  # of very many the last is looked at
        (tuple(np.linspace(20.0, -300.0, 500)), {}, 30.0),  # and the first
    ],
)
def test_the_nearest_way_that_is_higher_than_near(east_m, given, apart_m):
    found = _passed(CASE, ways(*east_m, **given), somebody(50.0))
    assert (found and found.apart_m) == (apart_m and pytest.approx(apart_m))
    if found:
        assert (found.x_m, found.y_m) == pytest.approx((51.0, 500.0), abs=1.0)
        assert found.height_m == pytest.approx(60.0 if apart_m == 50.0 else 40.0)


def test_it_is_as_high_as_it_is_over_the_ground_where_they_are():
    """They stand in a hollow 30 m deep: 40 m over the launch's ground are 70 m over them."""
    hollow = SimpleNamespace(ground=lambda x_m, _y_m: np.where(x_m > 40.0, GROUND_M - 30.0, GROUND_M))
    case = attrs.evolve(CASE, mapped=attrs.evolve(CASE.mapped, ground=hollow))
    assert _passed(CASE, ways(0.0), somebody(60.0)) is None
    assert _passed(case, ways(0.0), somebody(60.0)).height_m == pytest.approx(70.0)
    nowhere = attrs.evolve(CASE, mapped=attrs.evolve(CASE.mapped, ground=None))
    assert _passed(nowhere, ways(0.0), somebody(30.0)) is None


def flown(agl_m, y_m=0.0, case=CASE):
    """The path at a place each, so high there."""
    track = SimpleNamespace(x_m=np.full(len(agl_m), 50.0), y_m=np.full(len(agl_m), y_m), planned_agl_m=agl_m)
    return attrs.evolve(case, track=track, area=None, area_samples=None)


def over(top_agl_m, case=CASE):
    """An area 100 m wide, its west edge 100 m east; places in it as high as given above their ground."""
    samples = SimpleNamespace(
        footprint=shapely.box(100.0, 400.0, 200.0, 600.0),
        planned_amsl_m=GROUND_M + np.array(top_agl_m),
        ground_amsl_m=np.full(len(top_agl_m), GROUND_M),
    )
    return attrs.evolve(case, track=None, area=object(), area_samples=samples)


@pytest.mark.parametrize(
    ("case", "judged_there"),
    [
        (flown(np.array([5.0, 60.0]), y_m=448.0), True),  # one place of it is enough: 51 m away, 60 m up
        (flown(np.array([5.0, 40.0]), y_m=448.0), False),
        (flown(np.array([np.nan, 60.0]), y_m=448.0), True),
        (over([10.0, 60.0]), True),  # 48 m away
        (over([10.0, 40.0]), False),
        (over([np.nan, 60.0]), True),
        (attrs.evolve(over([10.0, 60.0]), area=None), False),  # drawn about a path, which is judged
        (attrs.evolve(over([10.0, 60.0]), area_samples=None), False),
        (attrs.evolve(over([10.0, 40.0]), track=flown(np.array([60.0]), y_m=448.0).track), True),
    ],
)
def test_to_whom_path_or_area_come_as_near_it_is_told_of_those(case, judged_there):
    assert _as_near_as_flown(case, somebody(50.0)) is judged_there
    assert (_passed(case, ways(20.0), somebody(50.0)) is None) is judged_there


def told(monkeypatch, things, *losses, case=CASE):
    monkeypatch.setattr(rule, "things_about", lambda _case: things)
    monkeypatch.setattr(rule, "losses_of", lambda _case: [(loss, True) for loss in losses])
    found = list(returns_past(case))
    assert len(found) <= 1
    return found[0] if found else None


def test_of_all_who_are_passed_the_nearest_is_told_and_three_are_named(monkeypatch):
    row = [somebody(20.0 + 5 * k, name=f"{k} (INVENTED)") for k in (3, 1, 0, 2)]
    one = told(monkeypatch, row, ways(-100.0), ways(0.0))
    assert (one.mark, one.rule) == (Mark.ACT, "return-near-people")
    # 20 m are 65.6 ft, 40 m are 131.2 ft: room is rounded down, a height up.
    names = "0 (INVENTED), 1 (INVENTED), 2 (INVENTED)"
    assert f"its way home passes {names}: 65 ft beside, and up to 132 ft over" in one.message
    assert one.numbers == pytest.approx({"apart_m": 20.0, "height_m": 40.0})
    assert CASE.mapped.frame.place_to_xy(one.place) == pytest.approx((21.0, 500.0), abs=1.0)


def test_somebody_passed_twice_is_named_once(monkeypatch):
    one = told(monkeypatch, [somebody(20.0)], ways(0.0), ways(-5.0))
    assert one.message.count("JO (INVENTED)") == 1


@pytest.mark.parametrize("below", [Below.CREW, Below.TREES, Below.UNDER_COVER, Below.ROAD])
def test_only_people_are_told(below, monkeypatch):
    assert told(monkeypatch, [somebody(20.0, below)], ways(0.0)) is None


def test_whom_it_ends_on_is_told_as_that(monkeypatch):
    assert told(monkeypatch, [somebody(20.0)], ways(0.0))
    monkeypatch.setattr(rule, "ended_on", lambda _case, thing: thing.name.startswith("JO"))
    assert told(monkeypatch, [somebody(20.0)], ways(0.0)) is None
    other = somebody(25.0, name="AL (INVENTED)")
    assert "passes AL (INVENTED):" in told(monkeypatch, [somebody(20.0), other], ways(0.0)).message


def test_without_a_map_nothing_is_told(monkeypatch):
    assert told(monkeypatch, [somebody(20.0)], ways(0.0), case=attrs.evolve(CASE, mapped=None)) is None


def test_each_return_is_asked():
    for action in sorted(RETURNS):
        assert _passed(CASE, ways(0.0, action=action), somebody(20.0)).action is action
