"""A profile that can be read: an axis that stands still under the hand, ground flown through, pens."""

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.assess import assess
from planner.desk.document import Document
from planner.desk.profile import tones
from planner.desk.profile.legend import Sample
from planner.desk.profile.panel import ProfilePanel
from planner.desk.profile.scale import Scale, Still
from planner.desk.profile.under_ground import dips_of
from planner.desk.profile_view import ProfileView
from planner.geo.heights import AboveSeaLevel
from tests import worlds
from tests.desk.desk_rig import settled
from tests.desk.profile_hand import LEFT, pull
from tests.missions import judged_demo


@pytest.fixture
def desk(qtbot):
    """Give a profile with its document: three legs of 200 m over level ground."""
    document = Document(assess, lambda _plan: worlds.world())
    panel = ProfilePanel()
    view = ProfileView(document, panel)
    qtbot.addWidget(panel)
    panel.resize(900, 300)
    panel.show()
    qtbot.waitExposed(panel)
    path = worlds.points([(0, 0, 20.0), (200, 0, 20.0), (400, 0, 20.0), (600, 0, 20.0)])
    document.replace(worlds.plan(path=path), None)
    settled(qtbot, document)
    QApplication.processEvents()
    yield view
    document.close()


def length_m(view):
    return view._document.assessment.track.length_m


def test_a_height_that_is_pulled_leaves_the_axis_alone_until_it_is_let_go(desk, qtbot):
    panel, heard = desk.panel, []
    panel.hovered.connect(heard.append)
    was_m, before = length_m(desk), [panel.plot.handle_position(k).x() for k in range(4)]
    ticks = panel.plot.view.stretch_m
    at = pull(panel, 1, -90, keys=Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: length_m(desk) > was_m + 5.0)
    QApplication.processEvents()
    after = [panel.plot.handle_position(k) for k in range(4)]
    assert [spot.x() for spot in after] == pytest.approx(before, abs=0.01)
    assert after[1].y() == pytest.approx(at.y(), abs=2.0)
    assert panel.plot.view.stretch_m == ticks
    scale = panel.plot.view.scale_now
    track = desk._document.assessment.track
    marker_x = panel.plot.plot_box().left() + scale.x_px(panel.marker_m)
    assert marker_x == pytest.approx(after[1].x(), abs=0.01), "marker and point part"
    assert heard[-1] == pytest.approx(float(track.distance_m[track.point_sample[1]]))
    # The line that is drawn bends at the handles, not at the longer path's own distances.
    bends_m = np.concatenate([line[0] for line in panel.plot.lines.tops])
    assert bends_m.max() == pytest.approx(was_m, abs=0.1)
    assert panel.plot.distance_at(after[1].x()) == pytest.approx(heard[-1], abs=0.5)
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, at)
    assert panel.plot.view.stretch_m[1] == pytest.approx(1.012 * length_m(desk), rel=1e-6)
    assert panel.plot.handles.held_words == ""
    assert panel.plot.handle_position(1).x() != pytest.approx(before[1], abs=2.0)


def test_a_pull_that_ends_where_it_began_leaves_nothing_held(desk):
    panel = desk.panel
    at = pull(panel, 1, -40, keys=Qt.KeyboardModifier.ShiftModifier)
    assert panel.plot.handles.held_words
    QTest.keyClick(panel, Qt.Key.Key_Escape)
    assert panel.plot.handles.held_words == ""
    assert not panel.plot.view.holds_axis
    QTest.mouseRelease(panel.plot.viewport(), LEFT, Qt.KeyboardModifier.NoModifier, at)
    assert panel.plot.view.stretch_m[1] == pytest.approx(1.012 * length_m(desk), rel=1e-6)


def test_a_still_axis_reads_back_what_it_draws():
    scale = Scale(0.0, 100.0, 0.0, 50.0, 1000.0, 100.0, Still((0.0, 60.0, 150.0), (0.0, 50.0, 100.0)))
    for at_m in (0.0, 30.0, 60.0, 100.0, 150.0):
        assert scale.distance_m(scale.x_px(at_m)) == pytest.approx(at_m)
    assert scale.x_px(60.0) == pytest.approx(500.0)
    assert scale.axis_m(500.0) == pytest.approx(50.0)


def test_what_runs_under_the_ground_is_hatched_and_explained(desk, qtbot):
    """Level ground at worlds.GROUND_M: the middle leg's end lies 30 m under it, so 3/5 of two legs do."""
    panel, document = desk.panel, desk._document
    assert panel.plot.under_ground.dips == ()
    assert Sample.UNDER not in panel.legend.samples
    path = list(worlds.points([(0, 0, 20.0), (200, 0, 20.0), (400, 0, 20.0), (600, 0, 20.0)]))
    import attrs

    path[2] = attrs.evolve(path[2], height=AboveSeaLevel(worlds.GROUND_M - 30.0))
    document.replace(worlds.plan(path=tuple(path)), None)
    settled(qtbot, document)
    (dip,) = panel.plot.under_ground.dips
    track = document.assessment.track
    ends_m = track.distance_m[track.point_sample]
    low, high = ends_m[1] + (ends_m[2] - ends_m[1]) * 0.4, ends_m[2] + (ends_m[3] - ends_m[2]) * 0.6
    assert dip.distance_m[[0, -1]] == pytest.approx([low, high], abs=0.5)
    assert Sample.UNDER in panel.legend.samples
    scale, box = panel.plot.view.scale_now, panel.plot.plot_box()
    middle = QPointF(
        box.left() + scale.x_px(ends_m[2]) - 14, box.top() + scale.y_px(dip.planned_ft.min() + 40)
    )
    image = panel.plot.grab().toImage()
    here = [
        QColor(image.pixel(int(middle.x()) + dx, int(middle.y()) + dy)) for dx in range(8) for dy in range(8)
    ]
    assert any(one.red() > one.green() + 50 for one in here), "the hatch is not on the ground"


def test_ground_that_is_not_known_is_no_ground_to_be_under(desk):
    import attrs

    track = desk._document.assessment.track
    lost = attrs.evolve(track, ground_amsl_m=np.full(len(track), np.nan))
    assert dips_of(lost) == ()


def test_pens_count_the_pixels_of_the_screen(monkeypatch):
    """Qt draws a cosmetic pen in the screen's own pixels, so at a scale of 2 it has to be twice as wide."""
    once = tones.ceiling_pen().widthF()
    monkeypatch.setattr(tones, "pixels_a_px", lambda: 2.0)
    assert tones.ceiling_pen().widthF() == 2 * once
    assert tones.asked_pen().dashPattern() == [3.0, 2.5]  # in widths of the pen


@pytest.mark.parametrize("width", [1200, 420])
def test_the_words_about_a_point_that_is_held_never_cover_it(desk, width):
    panel = desk.panel
    panel.resize(width, 300)
    QApplication.processEvents()
    handles = panel.plot.handles
    for index in range(4):
        for amsl_m in (worlds.GROUND_M + 1.0, worlds.GROUND_M + 60.0):
            handles.hold(index, amsl_m, "282 ft above ground · 448 ft above sea · 282 ft over the ceiling")
            centre = handles.centre(index)
            box = handles.words_box(index)
            assert not box.adjusted(-5, -5, 5, 5).contains(centre), (index, amsl_m)
    handles.let_go()


@pytest.mark.parametrize("wide_px", [330, 400, 650])
def test_the_names_of_strips_are_whole_in_a_narrow_profile_too(panel, dressed, wide_px):
    """Beside a path that begins close to the axis; the longest name has as much ink as in a wide one."""
    panel.show_assessment(judged_demo("canyon_video_breaks"))
    inks = []
    for width in (1200, wide_px):
        panel.resize(width, 340)
        QTest.qWait(50)
        strips = panel.strips
        shot = strips.grab().toImage()
        ground = shot.pixelColor(0, 0)
        left = int(strips._left_px + max(strips._scale.x_px(0.0), 0.0)) - 4
        dark = sum(
            255 - shot.pixelColor(x, y).lightness()
            for x in range(left)
            for y in range(shot.height())
            if shot.pixelColor(x, y) != ground
        )
        inks.append(dark)
    assert inks[1] == pytest.approx(inks[0], rel=0.01)
