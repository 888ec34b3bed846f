"""What is flown without being drawn as places: ways home and ways that are not drawn, put in by hand.

Their places and heights are those put in (geometry); how many of them are looked at is our own choice.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.failsafe import RETURNS
from planner.plan.aircraft import LinkLossAction
from planner.rules import flown_unheld as rule
from planner.rules import lost_ways
from planner.rules.flown_unheld import flown_unheld
from planner.rules.lost_ways import level_parts, ways_home
from planner.rules.undrawn import UndrawnWay
from tests.rules.test_return_near_people_by_hand import CASE, ways
from tests.worlds import GROUND_M


def told(monkeypatch, losses=(), undrawn=(), case=CASE):
    monkeypatch.setattr(rule, "losses_of", lambda _case: [(loss, True) for loss in losses])
    monkeypatch.setattr(rule, "ways_not_drawn", lambda _case, _mapped: undrawn)
    return list(flown_unheld(case))


def test_ways_home_lie_where_their_level_parts_do(monkeypatch):
    ((what, home),) = told(monkeypatch, [ways(-30.0, 0.0, 20.0, high_m=(40.0, np.nan, 60.0))])
    assert what == "The way home on lost link"
    both = shapely.MultiLineString([[(-30, 200), (-30, 800)], [(20, 200), (20, 800)]])
    assert home.outline.equals(both)
    there = dict(zip(home.x_m.tolist(), (home.highest_amsl_m - GROUND_M).tolist(), strict=True))
    assert there == {-30.0: 40.0, 20.0: 60.0}
    assert (home.y_m.min(), home.y_m.max()) == (200.0, 800.0)
    assert np.diff(np.unique(home.y_m)).max() <= 100.0


@pytest.mark.parametrize("loss", [ways(0.0, high_m=np.nan), ways(), ways(0.0, action=LinkLossAction.LAND)])
def test_of_no_known_height_or_of_what_stays_there_are_none(loss, monkeypatch):
    assert not told(monkeypatch, [loss])
    assert len(told(monkeypatch, [loss, ways(0.0)])) == 1


@pytest.mark.parametrize(
    ("count", "most", "rows"),
    [(3, 5, [0, 1, 2]), (5, 5, [0, 1, 2, 3, 4]), (5, 3, [0, 2, 4]), (101, 3, [0, 50, 100]), (0, 5, [])],
)
def test_of_many_ways_home_some_are_chosen_from_the_first_to_the_last(count, most, rows):
    loss = ways(*range(count))
    assert ways_home(loss, most).tolist() == rows
    assert [line.coords[0][0] for line in level_parts(loss, ways_home(loss, most))] == rows


def test_which_ways_home_are_chosen():
    loss = ways(0.0, 1.0, 2.0, high_m=(40.0, np.nan, 40.0))
    assert ways_home(loss, 9).tolist() == [0, 2]
    assert ways_home(loss, 9, np.array([False, True, True])).tolist() == [2]
    for action in LinkLossAction:
        assert bool(len(ways_home(ways(0.0, action=action), 9))) is (action in RETURNS)


def test_a_way_that_is_not_drawn_is_as_high_as_it_is_along_it(monkeypatch):
    def way(*ends):
        rises = np.linspace(GROUND_M, GROUND_M + 30.0, 4)
        return UndrawnWay("out", shapely.LineString(ends), np.full(4, GROUND_M), rises)

    sloping, column = way((0, 0), (90, 0)), way((5, 7), (5, 7))
    (what, one), (_, upright) = told(monkeypatch, undrawn=(sloping, column))
    assert what == "A way that is not drawn"
    assert one.outline.equals(shapely.LineString([(0, 0), (90, 0)]))
    assert np.column_stack([one.x_m, one.y_m, one.highest_amsl_m - GROUND_M]) == pytest.approx(
        np.array([[0, 0, 0], [30, 0, 10], [60, 0, 20], [90, 0, 30]])
    )
    assert upright.outline.equals(shapely.Point(5, 7))
    assert upright.highest_amsl_m.max() == pytest.approx(GROUND_M + 30.0)


def test_without_a_map_there_is_nothing(monkeypatch):
    nowhere = attrs.evolve(CASE, mapped=None)
    assert not told(monkeypatch, [ways(0.0)], [SimpleNamespace()], case=nowhere)


@pytest.mark.parametrize(
    ("outline", "near"),
    [
        (shapely.box(5.0, 300.0, 15.0, 310.0), True),  # between both ways
        (shapely.box(-9.0, 700.0, 1.0, 790.0), True),  # at the end of the first, which is known
        (shapely.box(500.0, 300.0, 510.0, 310.0), False),
        (shapely.box(-9.0, 900.0, 29.0, 910.0), False),
    ],
)
@pytest.mark.parametrize("unknown", ["corner_x_m", "corner_y_m"])
def test_of_a_way_whose_end_nobody_knows_the_rest_is_near(unknown, outline, near):
    loss = ways(0.0, 20.0)
    places_m = getattr(loss, unknown).copy()
    places_m[1, 3] = np.nan
    assert lost_ways._near(attrs.evolve(loss, **{unknown: places_m}), outline) is near
