"""Sight on the desk: the strip under the profile, the words at the pointer, the forms it hangs on."""

import itertools
import math

import attrs
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.assess import assess, assess_live
from planner.desk import saying
from planner.desk.commands import WorldSource
from planner.desk.forms.plan_form import PlanForm
from planner.desk.path_marks import path_marks
from planner.desk.profile.sight_readout import sight_words
from planner.desk.profile.strip import Pattern
from planner.desk.profile.strips import _LOOK_OF_SIGHT, sight, strips_of
from planner.desk.stand_dialog import StandDialog
from planner.drawing.path_pattern import stretches
from planner.drawing.patterns import Pattern as PathPattern
from planner.geo.heights import AboveGround
from planner.locate import demo_missions_dir
from planner.plan.crew import Task
from planner.plan.file import read_plan
from planner.plan.model import Plan
from planner.remedy.stand_crew import stand_question
from planner.rules.sight_axis import sight_axis
from planner.rules.verdict import Verdict
from planner.saying import AS_IT_COMES, Units
from planner.sight.along import Sight
from planner.units import STATUTE_MILE_M
from planner.world.terrain import SurfaceKind
from tests import worlds
from tests.desk.desk_rig import Answers, make_document, make_window, settled
from tests.worlds import plan, points, world


def wall(east_m, _north_m):
    """A wall across, 20 m high, 60 m wide, 150 m east of HERE."""
    return np.where(np.abs(east_m - 150.0) < 31.0, worlds.GROUND_M + 20.0, worlds.GROUND_M)


@pytest.fixture(scope="module")
def behind():
    # Toward the wall, over it, and down behind it.
    path = points([(30, 20, 25.0), (150, 20, 5.0), (215, 20, 15.0), (260, 20, 2.0)])
    return assess(plan(path=path), world(terrain=worlds.terrain(wall)))


def test_the_strip_tells_seen_from_hidden_by_pattern_and_covers_the_path(behind):
    strip = sight(behind)
    assert {"seen", "hidden"} <= {interval.text for interval in strip.intervals}
    assert len({(i.text, i.pattern) for i in strip.intervals}) == len({i.text for i in strip.intervals})
    assert next(i for i in strip.intervals if i.text == "hidden").pattern is Pattern.CROSSED
    ends = [(i.from_m, i.to_m) for i in strip.intervals]
    assert ends[0][0] == 0.0
    assert ends[-1][1] == pytest.approx(behind.track.length_m)
    assert all(first[1] == pytest.approx(after[0]) for first, after in itertools.pairwise(ends))


def test_while_it_is_awaited_the_strip_keeps_its_place(behind):
    live = assess_live(behind.plan, behind.world)
    assert [strip.name for strip in strips_of(live)] == [strip.name for strip in strips_of(behind)]
    assert [interval.text for interval in sight(live).intervals] == ["checking"]
    alone = assess(plan(crew=()), world())
    assert sight(alone).intervals == ()


def test_the_words_at_the_pointer_give_the_reason(behind):
    (hidden,) = sight_words(behind, behind.track.length_m)
    assert "hidden" in hidden
    assert "under the ground" in hidden
    (seen,) = sight_words(behind, 0.0)
    assert "seen" in seen
    assert "away" in seen
    # Level ground between: 25 m up it could come down to the ground, 82 ft, and still be seen.
    assert "in sight down to 82 ft lower" in seen


def test_how_far_the_aircraft_is_comes_in_the_unit_of_distances(behind, qapp):
    """A mile is 1,609.344 m and a nautical mile 1,852 m, by definition; rounded up."""
    far_m = float(sight_axis(behind.case).slant_range_m[-1])
    assert 0.1 * 1852 < far_m < 1000
    expected = {"km": f"{math.ceil(far_m)} m"}
    for unit, mile_m in (("mi", 1609.344), ("NM", 1852.0)):
        expected[unit] = f"{math.ceil(far_m / mile_m * 100) / 100:.2f} {unit}"
    try:
        for way, words in expected.items():
            saying.choose(qapp, Units(way=way))
            (said,) = sight_words(behind, behind.track.length_m)
            assert f"({words} away" in said
    finally:
        saying.choose(qapp, AS_IT_COMES)


def test_visibility_and_own_limit_are_typed_and_undone(qtbot):
    document = make_document()
    document.replace(Plan(crew=plan().crew), None)
    form = PlanForm(document)
    qtbot.addWidget(form)
    section = form.sections["sight"]
    section.visibility.edit.setText("10")
    section.visibility.edit.editingFinished.emit()
    assert document.plan.visibility_m == pytest.approx(10 * STATUTE_MILE_M)
    section.unseen.edit.setText("2.5")
    section.unseen.edit.editingFinished.emit()
    assert document.plan.own_unseen_s == 2.5
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.plan.visibility_m is None
    card = form.sections["crew"].cards[0]
    card.tasks.box.setCurrentIndex(3)
    card.tasks.committed.emit()
    assert document.plan.crew[0].tasks == {Task.WATCH, Task.SCAN}
    document.close()


def test_a_suggested_place_is_taken_in_one_step_and_cures_the_canyon(qtbot):
    document = make_document(WorldSource().load)
    mission = read_plan(demo_missions_dir() / "canyon_hidden.lowline.geojson")
    document.replace(mission, None)
    settled(qtbot, document)
    assert document.assessment.verdict is Verdict.MUST_CHANGE
    window = make_window(qtbot, document, Answers())
    window.menu_actions["stand"].trigger()
    dialog = window.doors.stands.dialog
    qtbot.waitUntil(lambda: dialog.again.isVisible() and bool(dialog.places), timeout=60_000)
    assert "100 % of the path seen" in dialog.list.item(0).text()
    dialog.take.click()
    assert document.assessment.verdict is Verdict.READY
    assert len({member.place for member in document.plan.crew}) == 1
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.plan.crew == mission.crew
    window.doors.stands.close()
    document.close()


def test_the_search_shows_how_far_it_is_and_stops_with_the_best_so_far(qtbot):
    document = make_document(WorldSource().load)
    document.replace(read_plan(demo_missions_dir() / "canyon_hidden.lowline.geojson"), None)
    settled(qtbot, document)
    dialog = StandDialog(document)
    qtbot.addWidget(dialog)
    dialog.show()
    seen = []
    dialog.bar.valueChanged.connect(seen.append)
    dialog.look()
    assert dialog.bar.isVisible()
    assert dialog.stop.isVisible()
    # Stopped by hand right after the first places: they are kept, and the search says that it is not whole.
    qtbot.waitUntil(lambda: bool(dialog.places) or dialog.again.isVisible(), timeout=60_000)
    if dialog.stop.isVisible():
        QTest.mouseClick(dialog.stop, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(dialog.again.isVisible, timeout=30_000)
        assert dialog.state.text()
    assert dialog.places
    assert dialog.take.isEnabled()
    assert not dialog.bar.isVisible()
    assert seen == sorted(seen)
    # The token itself: stopped before anything is found.
    job, answers = dialog._job, []
    job.ended.connect(lambda answer, trouble: answers.append((answer, trouble)))
    job.start(stand_question(document.assessment))
    job.cancel()
    qtbot.waitUntil(lambda: bool(answers), timeout=30_000)
    answer, trouble = answers[0]
    assert trouble == ""
    assert answer.share < 1.0
    assert "Stopped" in dialog.state.text()
    # The plan is as it was.
    assert document.undo_stack.count() == 0
    dialog.close_for_good()
    document.close()


def test_what_is_missing_is_said_in_one_line(qtbot):
    document = make_document()
    dialog = StandDialog(document)
    qtbot.addWidget(dialog)
    dialog.look()
    assert dialog.state.text() == "There is no path to look at; draw the path first."
    assert not dialog.take.isEnabled()
    document.close()


def test_an_area_shrinks_to_what_one_observer_covers(qtbot):
    """An untried quad of 35 cm is judged to 134.45 m (estimate, standing B): the wide area is cut to that."""
    crew = tuple(attrs.evolve(member, tried_ranges=()) for member in plan().crew)
    wide = worlds.area(worlds.box(-300, -40, 300, 40), AboveGround(30.0))
    document = make_document(lambda _plan: world())
    document.replace(plan(path=(), area=wide, crew=crew), None)
    settled(qtbot, document)
    assert document.assessment.verdict is Verdict.UNDETERMINED
    window = make_window(qtbot, document, Answers())
    window.menu_actions["shrink"].trigger()
    qtbot.waitUntil(lambda: document.plan.area != wide, timeout=30_000)
    assert document.plan.area.top == wide.top
    assert document.assessment.verdict is Verdict.READY
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.plan.area == wide
    window.doors.stands.close()
    document.close()


def test_the_map_marks_what_is_hidden(behind):
    hidden = np.array([kind == "hidden" for kind in profile_kinds(behind)])
    ends_m = behind.track.distance_m[hidden][[0, -1]]
    hatched = [part for part in stretches(behind) if part.pattern is PathPattern.STOP]
    assert (hatched[0].from_m, hatched[-1].to_m) == (pytest.approx(ends_m[0]), pytest.approx(ends_m[1]))
    assert {"stop"} < {piece["mark"] for piece in path_marks(behind)}


def test_what_the_own_limit_allows_is_no_stop_on_strip_or_map():
    ground = attrs.evolve(worlds.terrain(wall), surface=SurfaceKind.SURFACE)
    path = points([(220, 0, 2.0), (220, 60, 2.0)])
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in path)
    answer = assess(plan(path=path, own_unseen_s=4.5), world(terrain=ground))
    (interval,) = sight(answer).intervals
    hidden = _LOOK_OF_SIGHT[Sight.HIDDEN]
    assert interval.text == "hidden, within your own limit"
    assert interval.pattern is not hidden[0]
    assert interval.tone is not hidden[1]
    assert len({look[0] for look in _LOOK_OF_SIGHT.values()}) == len(_LOOK_OF_SIGHT)
    assert {piece["mark"] for piece in path_marks(answer)} == {"brief"}
    (words,) = sight_words(answer, 0.0)
    assert "within your own limit" in words


def profile_kinds(answer):
    return [kind.value for kind in answer.sight.profiles[1].sight]
