"""A path of hundreds of points: handles that leave the line in view, marks and figures as of a short one."""

from itertools import pairwise

import attrs
import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from planner.assess import assess
from planner.briefing.never_exceed_words import begun_words, figures_by_leg
from planner.ceiling.never_exceed import readout_unit
from planner.desk import points_model
from planner.desk.path_marks import path_marks
from planner.desk.points_model import HEIGHT, NEVER, figures_of
from planner.desk.profile.handles import Handles
from planner.drawing.path_pattern import stretches
from planner.plan.edits import SetPointHeight
from tests.desk.desk_rig import make_document, make_window, point, settled, small_plan
from tests.desk.profile_hand import handle, pull
from tests.desk.test_points_panel import level_world

MANY = 400


def winding(points):
    return tuple(point(0.05 * k, 0.05 * (k % 2), 30.0 + k % 7) for k in range(points))


@pytest.fixture
def desk(qtbot):
    document = make_document(level_world)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.resize(1280, 720)
    window.show()
    document.replace(small_plan(path=winding(MANY)), None)
    settled(qtbot, document)
    yield window
    document.close()


def gaps_px(handles, drawn):
    centres = handles.centres()
    return [float(np.hypot(*(centres[two] - centres[one]))) for one, two in pairwise(drawn)]


def test_handles_that_would_hide_the_line_are_left_out_until_there_is_room(qtbot, desk):
    plot = desk.profile_view.panel.plot
    handles = plot.handles
    assert handles.count == MANY
    few = handles.drawn()
    assert 20 < len(few) < MANY / 3
    assert min(gaps_px(handles, few)) >= 14.0
    handles.select(few[3] + 1, (few[3] + 1, few[3] + 2))
    assert {few[3] + 1, few[3] + 2} <= set(handles.drawn())
    handles.select(0, range(MANY))
    assert len(handles.drawn()) == len(few)
    closer_m = plot.view.stretch_m[1] / 20
    plot.view._set_stretch(0.0, closer_m)
    at_m = handles._handles.distance_m
    assert handles.drawn() == np.flatnonzero(at_m <= closer_m * 1.01).tolist()[: len(handles.drawn())]
    assert len(handles.drawn()) > MANY / 25
    QTest.qWait(30)


def test_a_handle_is_taken_hold_of_in_its_disc_drawn_or_not(desk):
    panel = desk.profile_view.panel
    handles = panel.plot.handles
    for index in (0, 7, MANY // 2, MANY - 1):
        centre = handles.centre(index)
        assert handles.contains(centre + QPointF(5.0, 0.0))
        assert handles.shape().contains(centre + QPointF(5.0, 0.0))
    assert not handles.contains(handles.centre(0) - QPointF(10.0, 0.0))
    handles.hold(3, float("nan"), "")
    assert np.isnan(handles.centres()[3, 1])
    handles.let_go()
    handles.show_handles(Handles(np.array([0.0, 10.0]), np.array([np.nan, np.nan])))
    assert handles.drawn() == []
    assert not handles.contains(QPointF(0.0, 0.0))


def test_one_of_many_is_pulled_like_one_of_few(qtbot, desk):
    panel, plan = desk.profile_view.panel, desk.document.plan
    assert handle(panel, 200).x() > handle(panel, 100).x()
    release = pull(panel, 200, -20)
    QTest.mouseRelease(panel.plot.viewport(), Qt.MouseButton.LeftButton, pos=release)
    moved = [
        k for k, (one, two) in enumerate(zip(plan.path, desk.document.plan.path, strict=True)) if one != two
    ]
    assert len(moved) == 1
    assert abs(moved[0] - 200) < 5


@pytest.fixture(scope="module")
def answer():
    """Give a judgement whose ceilings go up and down by chance, so that patterns change on many legs."""
    plan = small_plan(path=winding(120))
    made = assess(plan, level_world(plan))
    track, chance = made.track, np.random.default_rng(5)
    ceiling_m = track.ground_amsl_m + chance.uniform(0.0, 90.0, len(track))
    ceiling_m[chance.random(len(track)) < 0.1] = np.nan
    profile = attrs.evolve(made.profile, ceiling_amsl_m=ceiling_m)
    return attrs.evolve(made, profile=profile, findings=(), permissions=(), case=None)


def test_marks_lie_leg_by_leg_and_end_to_end(answer):
    marks, parts = path_marks(answer), stretches(answer)
    ends_m = answer.track.distance_m[answer.track.point_sample]
    wanted = [
        leg
        for leg in range(len(ends_m) - 1)
        for part in parts
        if min(part.to_m, ends_m[leg + 1]) > max(part.from_m, ends_m[leg])
    ]
    assert len(wanted) > len(ends_m)
    assert [mark["from"] for mark in marks] == wanted
    for one, two in pairwise(marks):
        assert one["coords"][1] == pytest.approx(two["coords"][0], abs=1e-12)
    for leg in (0, 5, len(ends_m) - 2):
        of_leg = [mark["coords"] for mark in marks if mark["from"] == leg]
        for at, coords in ((leg, of_leg[0][0]), (leg + 1, of_leg[-1][1])):
            place = answer.plan.path[at].place
            assert coords == pytest.approx([place.lon_deg, place.lat_deg], abs=1e-9)


def test_the_limit_at_a_point_is_the_lowest_of_both_sides_and_not_known_if_one_is_not(answer):
    track, ceiling_m = answer.track, answer.profile.ceiling_amsl_m
    for index, figures in enumerate(figures_of(answer)):
        sample = track.point_sample[index]
        lowest_m = ceiling_m[track.distance_m == track.distance_m[sample]].min() - track.ground_amsl_m[sample]
        limit_m = np.nan if figures.ceiling_agl_m is None else figures.ceiling_agl_m
        assert limit_m == pytest.approx(lowest_m, nan_ok=True)


def test_the_table_tells_each_leg_its_own_figure_and_measures_few_rows(qtbot, desk):
    desk.document.try_edit(SetPointHeight((3,), point(0, 0, 90.0).height))
    model = desk.side.points.model
    model._never.clear()
    unit = readout_unit(desk.document.plan)
    for leg, figures in list(enumerate(figures_by_leg(desk.document.assessment)))[:5]:
        shown = model.index(leg, NEVER).data()
        assert begun_words(figures, unit).startswith(shown)
    model._never.clear()
    model.longest(NEVER)
    assert len(model._never) <= 100
    assert figures_by_leg(assess(small_plan(path=()), level_world(None))) == ()


def test_columns_have_room_for_their_longest_words_and_each_is_said_once(desk, monkeypatch):
    """30 to 36 m above ground, and one of 1,200 m, over 400 points: eight heights."""
    desk.document.try_edit(SetPointHeight((3,), point(0, 0, 1_200.0).height))
    model = desk.side.points.model
    goggles = next(
        column
        for column in range(model.columnCount())
        if model._shown(model.index(3, column)) == model._goggles(3)
    )
    for column in (HEIGHT, goggles):
        cells = [model.index(row, column).data() for row in range(MANY)]
        longest = model.longest(column)
        assert max(cells, key=len) in longest
        assert set(longest) <= set(cells)
    said, once = [], points_model._typed
    monkeypatch.setattr(points_model, "_typed", lambda height: said.append(height) or once(height))
    model.longest(HEIGHT)
    assert len(said) == 8
