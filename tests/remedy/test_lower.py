"""Lowering a path: property tests against the assessment itself, and cases worked by hand.

No value from outside but the 400 ft of 14 CFR 107.51(b), check_values 1.1, standing B.
"""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.geometry import LegShape
from planner.remedy.lower import lower_path
from planner.remedy.remedy import NoRemedy, Remedy
from planner.rules.finding import Mark
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    cell,
    cliff,
    disc,
    ft,
    plan,
    points,
    record,
    recreational,
    sea_level,
    terrain,
    tower,
    volume,
    world,
)

MARGIN_M = 5.0


def stops(answer):
    return [finding.rule for finding in answer.findings if finding.mark is Mark.STOP]


def hills(scale_m, height_m):
    return lambda east, north: 300 + height_m * np.sin(east / scale_m) * np.cos(north / (1.3 * scale_m))


heights = st.one_of(
    st.floats(20, 400).map(AboveGround),
    st.floats(20, 400).map(AboveLaunch),
    st.floats(320, 800).map(AboveSeaLevel),
)
path_points = st.lists(
    st.tuples(st.integers(-2500, 2500), st.integers(-2500, 2500), heights), min_size=2, max_size=5
)


@settings(max_examples=60, deadline=None)
@given(
    path_points,
    st.sampled_from(list(LegShape)),
    st.floats(40, 600),
    st.floats(0, 120),
    st.sampled_from([0.0, 4.0, 25.0]),
    st.floats(0.0, 30.0),
)
def test_a_lowered_path_is_never_above_the_limit(path, shape, scale_m, height_m, uncertainty_m, margin_m):
    charts = world(
        terrain=terrain(hills(scale_m, height_m), horizontal_uncertainty_m=uncertainty_m),
        structures=(tower(402, (100, 100), 300.0),),
    )
    before = plan(path=points(path, shape), structures_standing=frozenset({"tower 402"}))
    answer = assess(before, charts)
    remedy = lower_path(answer, margin_m)
    if isinstance(remedy, NoRemedy):
        assert remedy.reason
        return
    after = assess(remedy.edit.apply(before), charts)
    assert "above-height-limit" not in stops(after)
    assert "into-ground" not in stops(after) or "into-ground" in stops(answer)
    # No point of the old path is raised or moved on the map.
    waiting = list(before.path)
    for point in after.plan.path:
        if waiting and point.place == waiting[0].place:
            assert point.height.m <= waiting.pop(0).height.m + 1e-9
    assert not waiting
    assert remedy.after.least_room_m >= min(margin_m, remedy.before.least_room_m) - 1e-3


def test_level_run_over_level_ground_is_lowered_to_400_ft_less_the_margin():
    before = plan(path=points([(-500, 0, 200.0), (500, 0, 200.0)]))
    remedy = lower_path(assess(before, world()), MARGIN_M)
    assert isinstance(remedy, Remedy)
    lowered = remedy.edit.apply(before).path
    expected_m = 400 * FOOT_M - MARGIN_M
    assert [point.height.m for point in lowered] == pytest.approx([expected_m] * 2, abs=0.1)
    assert all(point.height.m <= expected_m for point in lowered)
    assert remedy.before.least_room_m == pytest.approx(400 * FOOT_M - 200, abs=0.01)
    assert remedy.after.points == 2


def test_a_leg_that_follows_the_ground_goes_on_doing_so():
    charts = world(terrain=terrain(hills(200, 60)))
    before = plan(path=points([(-800, 0, 200.0), (800, 0, 60.0)], LegShape.FOLLOW_GROUND))
    after = lower_path(assess(before, charts), MARGIN_M).edit.apply(before)
    assert {point.leg.shape for point in after.path} == {LegShape.FOLLOW_GROUND}
    assert after.path[-1] == before.path[-1]


def test_points_are_put_in_before_a_cliff_and_the_kind_of_height_is_kept():
    charts = world(terrain=terrain(cliff(80.0), cell_m=10))
    before = plan(path=points([(-400, 0, AboveLaunch(150.0)), (400, 0, AboveLaunch(150.0))]))
    after = lower_path(assess(before, charts), MARGIN_M).edit.apply(before)
    assert len(after.path) > 2
    assert {type(point.height) for point in after.path} == {AboveLaunch}
    assert "above-height-limit" not in stops(assess(after, charts))


def test_a_path_under_a_shelf_is_lowered_under_its_floor():
    floor_m = GROUND_M + 90.0
    charts = world(airspace=(volume(AirspaceKind.CLASS_C, disc(5000), sea_level(floor_m)),))
    before = plan(path=points([(-300, 0, 100.0), (300, 0, 100.0)]))
    answer = assess(before, charts)
    assert answer.profile.in_unpermitted.all()
    after = assess(lower_path(answer, MARGIN_M).edit.apply(before), charts)
    assert not after.profile.in_unpermitted.any()
    assert after.track.planned_amsl_m.max() <= floor_m - MARGIN_M + 1e-6


def test_room_is_counted_under_what_a_record_allows_not_under_the_airspace_top():
    """467 ft where a record allows 200 ft: what is authorized is the limit (49 USC 44809(a)(5))."""
    charts = world(airspace=(volume(),), cells=(cell(200),))
    high = points([(-300, 0, ft(467)), (300, 0, ft(467))])
    before = recreational(path=high, permissions=(record("INVENTED CLASS-D", ft(200)),))
    remedy = lower_path(assess(before, charts), ft(20))
    assert remedy.title == "Lower path to 20 ft under the ceiling"
    assert remedy.before.least_room_m == pytest.approx(ft(-267), abs=0.01)
    assert remedy.after.least_room_m == pytest.approx(ft(20), abs=0.1)


def test_in_airspace_that_can_only_be_asked_for_the_height_that_can_be_asked_for_counts():
    charts = world(airspace=(volume(),))
    before = plan(path=points([(-300, 0, 150.0), (300, 0, 150.0)]))
    after = lower_path(assess(before, charts), MARGIN_M).edit.apply(before)
    assert after.path[0].height.m == pytest.approx(400 * FOOT_M - MARGIN_M, abs=0.1)


def test_reasons_why_not():
    fine = lower_path(assess(plan(), world()), MARGIN_M)
    assert isinstance(fine, NoRemedy)
    assert "already" in fine.reason
    nothing = lower_path(assess(plan(path=()), world()), MARGIN_M)
    assert "no path" in nothing.reason
    unknown = lower_path(assess(plan(path=points([(0, 0, 200.0), (9000, 0, 200.0)])), world()), MARGIN_M)
    assert "not known" in unknown.reason
    drop = world(terrain=terrain(cliff(300.0), cell_m=10, horizontal_uncertainty_m=15.0))
    edge = lower_path(assess(plan(path=points([(-200, 0, 30.0), (200, 0, 30.0)])), drop), MARGIN_M)
    assert "no room" in edge.reason


def test_it_is_one_undo_step_that_says_what_it_does():
    before = plan(path=points([(-500, 0, 200.0), (500, 0, 200.0)]))
    edit = lower_path(assess(before, world()), MARGIN_M).edit
    assert edit.merge_key is None
    assert edit.title == "Lower path to 16 ft under the ceiling"


@pytest.mark.parametrize("shape", list(LegShape))
def test_five_kilometres_take_no_more_than_200_ms_of_processor_time(shape):
    charts = world(terrain=terrain(hills(150, 50), cell_m=10, cells=601, horizontal_uncertainty_m=5.0))
    before = plan(path=points([(-2500, 0, AboveSeaLevel(480.0)), (2500, 0, AboveSeaLevel(460.0))], shape))
    answer = assess(before, charts)
    spent = []
    for _ in range(5):
        begun = time.process_time()
        assert isinstance(lower_path(answer, MARGIN_M), Remedy)
        spent.append(time.process_time() - begun)
    assert min(spent) < 0.2
