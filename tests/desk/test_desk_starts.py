"""The desk as it starts: on nothing, with work left from before, or not at all."""

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from shiboken6 import isValid

from planner.desk import app
from planner.desk import desk as desk_module
from planner.desk.desk import Desk
from planner.desk.frame import DeskFrame
from planner.desk.style import style_sheet
from planner.errors import SystemLibraryError
from planner.geo.heights import AboveGround
from planner.locate import demo_missions_dir
from planner.plan.edits import AppendPoint, SetName
from tests.desk.desk_rig import Answers, place


@pytest.fixture
def start(qtbot):
    desks = []

    def begin(plan_path=None):
        desk = Desk(None, None)
        desks.append(desk)
        desk.window.bring_map()
        desk.move_in()
        desk.window.questions = desk.window.commands._questions = Answers()
        desk.window.show()
        desk.start(plan_path)
        return desk

    yield begin
    for desk in desks:
        if isValid(desk.window):
            desk.window.close()
            desk.close()


@pytest.fixture
def bare(qtbot):
    """Give a desk on which nothing has moved in."""
    desk = Desk(None, None)
    yield desk
    desk.window.close()
    desk.close()


def test_it_starts_on_the_charts_at_hand_and_offers_back_what_a_crash_left(qtbot, start):
    first = Desk(None, None)
    first.move_in()
    first.document.try_edit(SetName("Left behind (INVENTED)"))
    first.document.try_edit(AppendPoint(place(), AboveGround(30.0)))
    left = first.document.plan
    first.recovery.keep_now()
    first.recovery.close(keep=True)
    first.document.close()
    first.trouble.leave()
    first.window.dissolve()

    desk = start()
    banner = desk.window.banner
    assert banner.isVisible()
    assert "Left behind (INVENTED)" in banner.words.text()
    assert str(datetime.now(UTC).astimezone().year) in banner.words.text()
    qtbot.waitUntil(lambda: desk.document.plan.chart_sets == ("demo-island",), timeout=30_000)
    qtbot.waitUntil(lambda: not desk.document.checking, timeout=30_000)
    assert desk.document.world.invented
    desk.window.questions.thrown = False
    banner.discard.click()
    assert desk.window.questions.asked[0].startswith("unsaved work of “Left behind (INVENTED)” from ")
    assert banner.isVisible(), "thrown away by one stray click"
    banner.restore.click()
    assert not banner.isVisible()
    assert desk.document.plan == left
    assert desk.document.dirty, "restored work is not on the disk yet"


def test_work_drawn_before_the_charts_were_found_stays_and_gets_them(qtbot, start):
    desk = start()
    desk.document.try_edit(SetName("Quick (INVENTED)"))
    qtbot.waitUntil(lambda: desk.document.plan.chart_sets == ("demo-island",), timeout=30_000)
    assert desk.document.plan.name == "Quick (INVENTED)"


def test_a_plan_that_cannot_be_opened_is_told_and_the_desk_opens_all_the_same(qtbot, start, tmp_path):
    desk = start(tmp_path / "nowhere.lowline.geojson")
    told = desk.window.commands._questions.told
    assert len(told) == 1
    assert "nowhere.lowline.geojson" in told[0][1]
    assert desk.window.isVisible()


def test_the_map_is_there_before_what_the_plan_needs(qtbot, bare):
    bare.show_map_first(demo_missions_dir() / "ridge_line.lowline.geojson")
    assert bare.window.canvas.isVisible()
    assert bare.window.map_view is None
    qtbot.waitUntil(lambda: bare.window.profile_view is not None, timeout=30_000)
    qtbot.waitUntil(lambda: not bare.document.checking, timeout=30_000)
    assert bare.document.assessment.profile is not None


def test_a_map_page_that_never_comes_up_keeps_nobody_from_the_plan(qtbot, monkeypatch, bare):
    monkeypatch.setattr(desk_module, "_LONGEST_WAIT_S", 0.2)
    monkeypatch.setattr(DeskFrame, "map_settled", False)
    bare.show_map_first(demo_missions_dir() / "ridge_line.lowline.geojson")
    qtbot.waitUntil(lambda: bare.window.side is not None, timeout=30_000)
    assert bare.document.assessment.profile is not None


def test_a_window_closed_at_once_stays_closed(qtbot, bare):
    bare.show_map_first(None)
    bare.window.close()
    qtbot.wait(300)
    assert not bare.window.isVisible()
    assert bare.window.map_view is None


def test_a_desk_that_is_closed_is_gone_with_its_page_before_the_application_is(qtbot):
    desk = Desk(None, None)
    desk.show_map_first(None)
    window, page = desk.window, desk.window.canvas.page
    qtbot.waitUntil(lambda: window.side is not None, timeout=30_000)
    desk.close()
    assert not isValid(page)
    assert not isValid(window)


def test_a_desk_that_is_quit_ends_without_an_error_and_is_gone(start, qtbot):
    """As `app.run` ends it: the window closes, the event loop ends, then the rest is closed."""
    desk = start()
    window, page = desk.window, desk.window.canvas.page
    qtbot.waitUntil(lambda: not desk.document.checking, timeout=30_000)
    window.menu_actions["quit"].trigger()
    assert not window.isVisible()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    desk.close()
    assert not isValid(page)
    assert not isValid(window)


def test_missing_system_libraries_are_named_before_qt_is_touched(monkeypatch):
    monkeypatch.setattr(app, "missing", lambda: ["libxcb-cursor0"])
    with pytest.raises(SystemLibraryError) as refused:
        app.run(None, None, None)
    assert "libxcb-cursor0" in refused.value.one_line()


def test_the_style_sheet_leaves_no_name_unfilled():
    assert "@" not in style_sheet().replace("/* Names between @ signs", "")
