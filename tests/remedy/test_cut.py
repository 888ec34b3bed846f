"""A leg cut in two: the same is flown as before, with one point more."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.assess import assess_live
from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, reference_of
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.remedy.cut import cut, middle_of
from tests import worlds
from tests.worlds import GROUND_M, at, plan, world

HILLS = world(terrain=worlds.terrain(lambda x_m, y_m: GROUND_M + 40.0 * np.sin(x_m / 90.0) + 0.1 * y_m))
KINDS = st.sampled_from(
    (AboveGround(30.0), AboveGround(70.0), AboveLaunch(95.0), AboveSeaLevel(GROUND_M + 90.0))
)
SHAPES = st.sampled_from(LegShape)


def judged(heights, shapes, charts=HILLS):
    places = (at(-400, 0), at(-50, 120), at(300, -80))
    path = tuple(
        PathPoint(place, height, Leg(shape, 9.0))
        for place, height, shape in zip(places, heights, shapes, strict=True)
    )
    return assess_live(plan(path=path, launch=plan().launch), charts)


@settings(deadline=None, max_examples=40)
@given(st.tuples(KINDS, KINDS, KINDS), st.tuples(SHAPES, SHAPES, SHAPES), st.floats(0.02, 0.98))
def test_what_is_flown_stays_as_it_was(heights, shapes, share):
    before = judged(heights, shapes)
    at_m = share * before.track.length_m
    try:
        edit = cut(before, at_m)
    except PlanError:
        assert np.abs(before.track.distance_m[before.track.point_sample] - at_m).min() < 0.5
        return
    after = assess_live(edit.apply(before.plan), HILLS)
    old, new = before.track, after.track
    assert len(after.plan.path) == 4
    assert reference_of(edit.height) == reference_of(before.plan.path[edit.index - 1].height)
    assert after.plan.path[edit.index].leg == before.plan.path[edit.index - 1].leg
    assert float(new.distance_m[new.point_sample[edit.index]]) == pytest.approx(at_m, abs=0.35)
    # On the map both are the same line; a leg that follows rough ground differs in its samples.
    old_m, new_m = (
        np.concatenate([[0], np.cumsum(np.hypot(np.diff(t.x_m), np.diff(t.y_m)))]) for t in (old, new)
    )
    assert new_m[-1] == pytest.approx(old_m[-1], abs=0.01)
    planned_m = np.interp(new_m, old_m, old.planned_amsl_m)
    ground_m = np.interp(new_m, old_m, old.ground_amsl_m)
    # Between samples of the ground both lines are chords: what they may differ by is what the ground bows.
    bow_m = np.abs(new.ground_amsl_m - ground_m)
    assert np.all(np.abs(new.planned_amsl_m - planned_m) <= bow_m + 0.02)


@pytest.mark.parametrize("at_m", [0.0, 0.2, 1e9, -5.0])
def test_where_nothing_is_to_be_cut_it_says_so(at_m):
    with pytest.raises(PlanError):
        cut(judged((AboveGround(30.0),) * 3, (LegShape.STRAIGHT,) * 3), at_m)


def test_without_ground_a_level_leg_is_cut_and_one_above_ground_is_not():
    bare = world(terrain=None)
    level = judged((AboveSeaLevel(300.0),) * 3, (LegShape.STRAIGHT,) * 3, bare)
    assert cut(level, 100.0).height == AboveSeaLevel(300.0)
    unknown = judged((AboveGround(30.0),) * 3, (LegShape.STRAIGHT,) * 3, bare)
    with pytest.raises(PlanError):
        cut(unknown, 100.0)


def test_the_middle_of_a_leg():
    answer = judged((AboveSeaLevel(GROUND_M + 90.0),) * 3, (LegShape.STRAIGHT,) * 3)
    edit = cut(answer, middle_of(answer, 0))
    assert edit.place.lon_deg == pytest.approx((at(-400, 0).lon_deg + at(-50, 120).lon_deg) / 2, abs=1e-7)
    assert np.isnan(middle_of(answer, 2))
