"""The profile panel worked like a hand does: real widgets, real mouse and key events."""

import gc
import weakref
from itertools import pairwise

import attrs
import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from planner.ceiling.profile import AreaCeiling, Binding
from planner.desk.profile.legend import Sample
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.readout import EMPTY
from planner.drawing.patterns import Pattern
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.geo.place import Place
from planner.units import FOOT_M
from tests.bench.profile_scene import LENGTH_M, MAST_M, MAST_TOP_FT, VOID_M, build
from tests.desk.profile_hand import LEFT, at, handle, pull


@pytest.fixture
def told(panel):
    steps = []
    panel.point_height_dragged.connect(lambda *step: steps.append(step))
    return steps


def wheel(panel, distance_m, notches):
    where = QPointF(at(panel, distance_m))
    viewport = panel.plot.viewport()
    event = QWheelEvent(
        where,
        QPointF(viewport.mapToGlobal(where.toPoint())),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(viewport, event)
    QApplication.processEvents()


def test_without_path_the_panel_says_how_to_begin(qtbot, scene):
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    panel.show()
    assert panel.message.text == EMPTY
    assert not panel.plot.isVisible()
    panel.show_assessment(scene)
    assert panel.plot.isVisible()
    panel.show_assessment(attrs.evolve(scene, track=None, profile=None))
    assert not panel.plot.isVisible()
    assert panel.message.text == EMPTY


def test_an_area_alone_shows_its_lowest_limit_as_plain_text(qtbot, scene):
    area = AreaCeiling(
        lowest_limit_amsl_m=1204.9 * FOOT_M,
        lowest_limit_agl_m=400 * FOOT_M,
        planned_top_amsl_m=1180 * FOOT_M,
        over_by_m=-24.9 * FOOT_M,
        binding=Binding.STRUCTURE,
        binding_name="<b>mast</b>",
        place=Place(-150.2, 37.8),
        uncertainty_m=3.0,
        unknown_share=0.0,
    )
    panel = ProfilePanel()
    qtbot.addWidget(panel)
    panel.show_assessment(attrs.evolve(scene, track=None, profile=None, area=area))
    assert "400 ft above ground, 1,204 ft above sea level (<b>mast</b> + 400 ft)" in panel.message.text
    assert "24 ft below" in panel.message.text
    panel.resize(620, 200)
    panel.show()
    qtbot.waitExposed(panel)
    for label in panel.message.findChildren(QLabel):
        assert label.height() >= label.heightForWidth(label.width())
    assert {label.textFormat() for label in panel.message.findChildren(QLabel)} == {Qt.TextFormat.PlainText}


def test_redrawing_makes_no_new_items(panel):
    before = panel.plot.scene().items()
    for lift_ft in (5.0, 60.0, 0.0):
        panel.show_assessment(build(1200, lift_ft))
        QApplication.processEvents()
    assert panel.plot.scene().items() == before


def test_lines_break_where_the_ground_is_not_known(panel, scene):
    curves = panel.plot.curves
    inside = (curves.distance_m > VOID_M[0]) & (curves.distance_m < VOID_M[1])
    assert inside.any()
    assert not curves.ceiling_joined[inside].any()
    assert panel.plot.has_unknown
    assert Sample.UNKNOWN in panel.legend.samples
    assert any("not known" in placed.label.text for placed in panel.plot.words.placed())


def test_each_pattern_has_a_pen_of_its_own(panel):
    """Colour never carries meaning alone: every pen differs from every other by width or dashes."""
    looks = {
        pattern: tuple((pen.widthF(), tuple(pen.dashPattern())) for pen in panel.plot.lines.pens(pattern))
        for pattern in Pattern
    }
    assert len(set(looks.values())) == len(Pattern)
    for pattern in set(Pattern) - {Pattern.BRIEF}:
        assert len(panel.plot.lines.drawn(pattern)[0]), pattern


def test_words_cover_neither_lines_nor_each_other(panel):
    words = list(panel.plot.words.placed())
    assert {"Tern mast + 400 ft", "under 900 ft AMSL · Corrow Class C"} <= {
        placed.label.text for placed in words
    }
    scale, curves = panel.plot.view.scale_now, panel.plot.curves
    for placed in words:
        box = placed.box
        assert 0 <= box.left < box.right <= scale.width_px
        assert 0 <= box.top < box.bottom <= scale.height_px
        x_px = scale.all_x_px(curves.distance_m)
        above = (x_px >= box.left) & (x_px <= box.right)
        top_px = scale.all_y_px(np.fmax(curves.ceiling_ft, curves.ground_ft))[above]
        assert not np.any(top_px < box.bottom)
    for number, one in enumerate(words):
        assert not any(one.box.touches(other.box) for other in words[number + 1 :])


def test_the_mast_stands_where_it_is_and_the_far_one_does_not(panel):
    (mast,) = panel.plot.towers
    assert mast.distance_m == pytest.approx(MAST_M, abs=0.5)
    assert mast.top_ft == pytest.approx(MAST_TOP_FT)


def test_the_strip_under_the_plot_says_what_binds(panel):
    strip = panel.strips.strips[0]
    assert strip.name == "binds"
    assert strip.intervals[0].from_m == 0.0
    assert strip.intervals[-1].to_m == pytest.approx(LENGTH_M)
    for before, after in pairwise(strip.intervals):
        assert before.to_m == after.from_m
    x_px = at(panel, MAST_M).x()
    assert panel.strips.interval_at(x_px, 8).text == "Tern mast + 400 ft"


def test_a_figure_at_the_upper_edge_is_not_cut_off(panel):
    """Figures stand beside their line, half above it: the plot leaves that much over its upper edge."""
    assert panel.plot.plot_box().top() >= panel.plot.fontMetrics().ascent() / 2


def test_all_heights_in_view_have_room_above_and_below(panel):
    for notches in (0, 6):
        wheel(panel, 6400.0, notches)
        scale, curves = panel.plot.view.scale_now, panel.plot.curves
        seen = (curves.distance_m >= scale.from_m) & (curves.distance_m <= scale.to_m)
        high_ft = np.nanmax(np.fmax(curves.ceiling_ft, curves.asked_ft)[seen])
        low_ft = np.nanmin(curves.ground_ft[seen])
        assert scale.low_ft < low_ft
        assert scale.high_ft > high_ft
        assert high_ft - low_ft > 0.5 * (scale.high_ft - scale.low_ft)


def test_hovering_moves_the_marker_and_tells(panel, qtbot):
    with qtbot.waitSignal(panel.hovered, timeout=1000) as signal:
        QTest.mouseMove(panel.plot.viewport(), at(panel, 2000.0))
    assert signal.args[0] == pytest.approx(2000.0, abs=1.1 / panel.plot.view.scale_now.px_per_m)
    assert panel.marker_m == signal.args[0]
    with qtbot.waitSignal(panel.hovered, timeout=1000) as signal:
        QTest.mouseMove(panel.strips, QPoint(at(panel, 5000.0).x(), 6))
    assert panel.marker_m == pytest.approx(5000.0, abs=1.1 / panel.plot.view.scale_now.px_per_m)


def test_leaving_takes_the_marker_away(panel, qtbot):
    panel.set_marker(1200.0)
    assert panel.marker_m == 1200.0
    with qtbot.waitSignal(panel.hover_left, timeout=1000):
        QApplication.sendEvent(panel.plot.viewport(), QEvent(QEvent.Type.Leave))
    assert panel.marker_m is None


def test_a_click_on_a_handle_selects_and_changes_nothing(panel, told, qtbot):
    with qtbot.waitSignal(panel.point_selected, timeout=1000) as signal:
        QTest.mouseClick(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, handle(panel, 3))
    assert signal.args == [3]
    assert panel.selected_point == 3
    assert told == []
    assert "Point 4" in panel.accessibleDescription()


@pytest.mark.parametrize(("index", "kind"), [(3, AboveSeaLevel), (4, AboveGround), (8, AboveLaunch)])
def test_a_drag_follows_the_mouse_in_whole_feet_of_the_points_own_kind(panel, told, scene, index, kind):
    assert isinstance(scene.plan.path[index].height, kind)
    track = scene.track
    sample = track.point_sample[index]
    low_before = panel.plot.view.scale_now
    end = pull(panel, index, -30, keys=Qt.KeyboardModifier.ShiftModifier)
    assert abs(handle(panel, index).y() - end.y()) <= 2
    assert panel.plot.view.scale_now == low_before
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    phases = [phase for _, _, phase in told]
    assert phases[0] == "start"
    assert phases[-1] == "end"
    assert {number for number, _, _ in told} == {index}
    assert told[0][1] == track.planned_amsl_m[sample]
    expected_ft = track.planned_amsl_m[sample] / FOOT_M + 30 / low_before.px_per_ft
    assert told[-1][1] / FOOT_M == pytest.approx(expected_ft, abs=1.5 / low_before.px_per_ft + 0.5)
    zero_m = {AboveSeaLevel: 0.0, AboveGround: track.ground_amsl_m[sample]}.get(
        kind, track.launch_ground_amsl_m
    )
    feet = (told[-1][1] - zero_m) / FOOT_M
    assert feet == pytest.approx(round(feet), abs=1e-6)


def test_one_move_at_a_time_and_the_newest_wins(panel, told):
    end = pull(panel, 3, -40, steps=8)
    assert [phase for _, _, phase in told] == ["start", "move"]
    panel.acknowledge()
    QApplication.processEvents()
    assert [phase for _, _, phase in told] == ["start", "move", "move"]
    newest = told[-1][1]
    panel.acknowledge()
    QApplication.processEvents()
    assert len(told) == 3
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    assert told[-1] == (3, newest, "end")


def test_a_new_assessment_during_a_drag_leaves_the_handle_under_the_mouse(panel, told):
    end = pull(panel, 3, -25, keys=Qt.KeyboardModifier.ShiftModifier)
    panel.show_assessment(build(1200, 3.0))
    assert abs(handle(panel, 3).y() - end.y()) <= 2
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    panel.show_assessment(build(1200, 0.0))
    planned_ft = panel.plot.handles.amsl_ft(3)
    assert planned_ft == pytest.approx(
        build(1200).track.planned_amsl_m[build(1200).track.point_sample[3]] / FOOT_M
    )


def test_a_handle_stops_at_the_ground(panel, told, scene):
    end = pull(panel, 3, 400)
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    ground_m = scene.track.ground_amsl_m[scene.track.point_sample[3]]
    assert ground_m <= told[-1][1] < ground_m + 1.01 * FOOT_M


def test_escape_ends_a_drag_where_it_began(panel, told):
    end = pull(panel, 3, -30)
    QTest.keyClick(panel, Qt.Key.Key_Escape)
    assert told[-1] == (3, told[0][1], "end")
    count = len(told)
    QTest.mouseMove(panel.plot.viewport(), end + QPoint(0, -20))
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, end)
    QApplication.processEvents()
    assert len(told) == count


@pytest.mark.parametrize(
    ("key", "modifier", "feet"),
    [
        (Qt.Key.Key_Up, Qt.KeyboardModifier.NoModifier, 1),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.NoModifier, -1),
        (Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier, 10),
    ],
)
def test_arrow_keys_change_the_selected_height(panel, told, scene, key, modifier, feet):
    panel.select_point(4)
    QTest.keyClick(panel, key, modifier)
    assert [phase for _, _, phase in told] == ["start", "end"]
    change_ft = (told[-1][1] - told[0][1]) / FOOT_M
    assert change_ft == pytest.approx(feet, abs=1e-6)


def test_a_click_into_the_plot_brings_the_keys_here(panel, qtbot):
    panel.activateWindow()
    qtbot.waitActive(panel)
    panel.clearFocus()
    QTest.mouseClick(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, handle(panel, 2))
    assert panel.hasFocus()


def test_arrow_keys_choose_the_point(panel, qtbot):
    assert panel.focusPolicy() is Qt.FocusPolicy.StrongFocus
    assert panel.accessibleName()
    panel.select_point(0)
    with qtbot.waitSignal(panel.point_selected, timeout=1000) as signal:
        QTest.keyClick(panel, Qt.Key.Key_Right)
    assert signal.args == [1]


def test_the_wheel_zooms_along_the_path_only_within_it(panel):
    whole = panel.plot.view.stretch_m
    wheel(panel, 3000.0, 3)
    assert panel.plot.view.is_zoomed
    from_m, to_m = panel.plot.view.stretch_m
    assert whole[0] <= from_m < 3000.0 < to_m <= whole[1]
    wheel(panel, 3000.0, 60)
    from_m, to_m = panel.plot.view.stretch_m
    assert to_m - from_m >= 19.9
    wheel(panel, 3000.0, -100)
    assert panel.plot.view.stretch_m == whole


def test_dragging_the_empty_plot_pans_and_a_double_click_resets(panel, told):
    whole = panel.plot.view.stretch_m
    wheel(panel, 5000.0, 6)
    before = panel.plot.view.stretch_m
    start = QPoint(round(panel.plot.plot_box().center().x()), round(panel.plot.plot_box().top()) + 6)
    viewport = panel.plot.viewport()
    QTest.mousePress(viewport, LEFT, Qt.KeyboardModifier.NoModifier, start)
    for step in (10, 40, 80, 120):
        QTest.mouseMove(viewport, start + QPoint(step, 0), 20)
    QTest.mouseRelease(viewport, LEFT, Qt.KeyboardModifier.NoModifier, start + QPoint(120, 0))
    after = panel.plot.view.stretch_m
    assert after[0] < before[0]
    assert after[1] - after[0] == pytest.approx(before[1] - before[0])
    QTest.mouseClick(viewport, LEFT, Qt.KeyboardModifier.NoModifier, start)
    QTest.mouseDClick(viewport, LEFT, Qt.KeyboardModifier.NoModifier, start)
    QTest.mouseRelease(viewport, LEFT, Qt.KeyboardModifier.NoModifier, start)
    assert panel.plot.view.stretch_m == whole
    assert told == []


def test_a_panel_can_go_at_any_time(qtbot, scene):
    """A cycle through a plot item once let the collector take Qt's objects in a wrong order."""
    for _ in range(3):
        panel = ProfilePanel()
        panel.show()
        panel.show_assessment(scene)
        QApplication.processEvents()
        weak = weakref.ref(panel)
        del panel
        gc.collect()
        assert weak() is None


def test_fewer_points_end_a_drag(panel, told, scene):
    pull(panel, 12, -20)
    fewer = attrs.evolve(scene.track, point_sample=scene.track.point_sample[:5])
    panel.show_assessment(attrs.evolve(scene, track=fewer))
    assert told[-1][2] == "end"
