"""The ceiling under the hand: it catches, lets through, says how high; real mouse events, and the rule."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk import saying
from planner.desk.profile.heights import zero_amsl_m
from planner.desk.profile.soft_stop import CATCH_PX, SoftStop, ceiling_at, stop_height_m
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.saying import AS_IT_COMES, Units
from planner.units import FOOT_M
from tests.bench.profile_scene import build
from tests.desk.profile_hand import LEFT, handle, pull

SHIFT = Qt.KeyboardModifier.ShiftModifier
heights = st.floats(-400.0, 3_000.0)
scales = st.floats(0.01, 50.0)


@given(heights, heights, heights, heights, scales)
def test_a_pull_never_jumps_never_turns_back_and_is_free_on_the_side_it_began(
    stop_m, begin_m, one_m, other_m, m_per_px
):
    stop = SoftStop.from_height(stop_m, begin_m)
    one, other = stop.height_m(one_m, m_per_px), stop.height_m(other_m, m_per_px)
    assert (one - other) * (one_m - other_m) >= 0
    assert abs(one - other) <= abs(one_m - other_m) + 1e-9
    assert abs(one - one_m) <= CATCH_PX * m_per_px + 1e-9
    if (one_m > stop_m) is stop.begins_above:
        assert one == one_m


@given(heights, st.floats(0.0, 1.0), scales, st.booleans())
def test_it_holds_for_as_many_pixels_as_said_and_then_lets_through(stop_m, share, m_per_px, from_above):
    side = -1.0 if from_above else 1.0
    stop = SoftStop.from_height(stop_m, stop_m - side * 10.0)
    caught = stop.height_m(stop_m + side * share * 0.999 * CATCH_PX * m_per_px, m_per_px)
    assert stop.holds(caught)
    through = stop.height_m(stop_m + side * (CATCH_PX + 5.0) * m_per_px, m_per_px)
    assert (through - stop_m) * side == pytest.approx(5.0 * m_per_px, rel=1e-6)


@given(heights, heights, scales)
def test_where_no_ceiling_is_known_nothing_catches(begin_m, pulled_m, m_per_px):
    stop = SoftStop.from_height(math.nan, begin_m)
    assert stop.height_m(pulled_m, m_per_px) == pulled_m
    assert not stop.holds(pulled_m)


@pytest.fixture
def told(panel):
    steps = []

    def on(*step):
        steps.append(step)
        panel.acknowledge()

    panel.point_height_dragged.connect(on)
    return steps


def under_its_ceiling(scene):
    """Find a point with known room above it."""
    planned_m = [float(scene.track.planned_amsl_m[k]) for k in scene.track.point_sample]
    room = {k: stop_height_m(scene, k) - planned_m[k] for k in range(len(planned_m))}
    return next(k for k, room_m in room.items() if 20 * FOOT_M < room_m < 400 * FOOT_M)


def px_to_the_stop(panel, scene, index):
    room_ft = (stop_height_m(scene, index) / FOOT_M) - panel.plot.handles.amsl_ft(index)
    return room_ft * panel.plot.view.scale_now.px_per_ft


def drop(panel, at_px):
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, at_px)


def test_a_point_pulled_a_little_past_the_ceiling_stays_at_it(panel, scene, told):
    index = under_its_ceiling(scene)
    end = pull(panel, index, -round(px_to_the_stop(panel, scene, index) + CATCH_PX / 2))
    assert panel.plot.handles.is_caught
    assert panel.plot.handles.held_words.endswith("· at the ceiling")
    drop(panel, end)
    assert told[-1] == (index, pytest.approx(stop_height_m(scene, index)), "end")
    assert told[-1][1] <= ceiling_at(scene, index) + 1e-6


def test_pulled_further_it_goes_through_and_says_by_how_much_it_is_over(panel, scene, told):
    index = under_its_ceiling(scene)
    end = pull(panel, index, -round(px_to_the_stop(panel, scene, index) + CATCH_PX + 12))
    assert not panel.plot.handles.is_caught
    words = panel.plot.handles.held_words
    assert words.endswith("over the ceiling")
    drop(panel, end)
    over_ft = (told[-1][1] - ceiling_at(scene, index)) / FOOT_M
    assert over_ft > 0
    assert f"· {math.ceil(over_ft - 1e-6):,} ft over" in words


def test_below_it_the_room_is_said_rounded_down(panel, scene, told):
    index = under_its_ceiling(scene)
    end = pull(panel, index, 12)
    words = panel.plot.handles.held_words
    drop(panel, end)
    room_ft = (ceiling_at(scene, index) - told[-1][1]) / FOOT_M
    assert words.endswith(f"· {math.floor(room_ft + 1e-3):,} ft under the ceiling")


def test_with_shift_it_does_not_catch(panel, scene, told):
    index = under_its_ceiling(scene)
    end = pull(panel, index, -round(px_to_the_stop(panel, scene, index) + CATCH_PX / 2), keys=SHIFT)
    assert not panel.plot.handles.is_caught
    assert abs(handle(panel, index).y() - end.y()) <= 2
    drop(panel, end)
    assert told[-1][1] > stop_height_m(scene, index)


def test_from_above_it_catches_on_the_way_down(panel, scene, told):
    index = under_its_ceiling(scene)
    lifted = build(1200, (stop_height_m(scene, index) / FOOT_M) - panel.plot.handles.amsl_ft(index) + 60.0)
    panel.show_assessment(lifted)
    QApplication.processEvents()
    down_px = -px_to_the_stop(panel, lifted, index)
    assert down_px > 0
    end = pull(panel, index, round(down_px + CATCH_PX / 2))
    assert panel.plot.handles.is_caught
    drop(panel, end)
    assert told[-1][1] == pytest.approx(stop_height_m(lifted, index))


def test_escape_at_the_stop_ends_where_it_began(panel, scene, told):
    index = under_its_ceiling(scene)
    pull(panel, index, -round(px_to_the_stop(panel, scene, index) + CATCH_PX / 2))
    QTest.keyClick(panel, Qt.Key.Key_Escape)
    assert told[-1] == (index, told[0][1], "end")
    assert not panel.plot.handles.is_caught


def test_arrow_keys_are_not_held_back_and_say_the_same(panel, scene, told):
    index = under_its_ceiling(scene)
    panel.select_point(index)
    steps = round((stop_height_m(scene, index) / FOOT_M - panel.plot.handles.amsl_ft(index)) // 10) + 2
    for _ in range(steps):
        QTest.keyPress(panel, Qt.Key.Key_Up, SHIFT)
    assert panel.plot.handles.held_words.endswith("over the ceiling")
    QTest.keyRelease(panel, Qt.Key.Key_Up, SHIFT)
    assert told[-1][1] > ceiling_at(scene, index)


@pytest.fixture
def in_metres(qapp):
    saying.choose(qapp, Units(height="m"))
    yield
    saying.choose(qapp, AS_IT_COMES)


@pytest.mark.parametrize(("index", "kind"), [(3, AboveSeaLevel), (4, AboveGround), (8, AboveLaunch)])
def test_in_metres_a_drag_and_the_arrow_keys_move_by_whole_metres(panel, told, scene, in_metres, index, kind):
    track, plain = scene.track, Qt.KeyboardModifier.NoModifier
    zero_m = {AboveSeaLevel: 0.0, AboveGround: track.ground_amsl_m[track.point_sample[index]]}.get(
        kind, track.launch_ground_amsl_m
    )
    end = pull(panel, index, -30, keys=Qt.KeyboardModifier.ShiftModifier)
    QTest.mouseRelease(panel.plot.viewport(), LEFT, plain, end)
    above_m = told[-1][1] - zero_m
    assert above_m == pytest.approx(round(above_m), abs=1e-6)
    for modifier, metres in ((plain, 1.0), (Qt.KeyboardModifier.ShiftModifier, 10.0)):
        told.clear()
        panel.select_point(index)
        QTest.keyClick(panel, Qt.Key.Key_Up, modifier)
        # The first step goes from where the point stood to a whole metre.
        assert told[-1][1] - told[0][1] == pytest.approx(metres, abs=0.51)
        above_m = told[-1][1] - zero_m
        assert above_m == pytest.approx(round(above_m), abs=1e-6)


def test_in_metres_the_ceiling_catches_at_the_whole_metre_below_it(scene, in_metres):
    for index, sample in enumerate(scene.track.point_sample):
        stop_m, ceiling_m = stop_height_m(scene, index), ceiling_at(scene, index)
        if np.isnan(stop_m):
            continue
        zero_m = zero_amsl_m(
            scene.plan.path[index].height,
            float(scene.track.ground_amsl_m[sample]),
            scene.track.launch_ground_amsl_m,
        )
        assert -1e-5 <= ceiling_m - stop_m < 1.0 + 1e-5
        assert stop_m - zero_m == pytest.approx(round(stop_m - zero_m), abs=1e-6)
