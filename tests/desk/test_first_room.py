"""Who has just begun gets the map large; the profile takes its room when there is something to read in it."""

import pytest

from planner.desk.desk import Desk
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan import edits
from tests.desk.desk_rig import Answers, small_plan

FIRST, SECOND = Place(-150.2, 37.8), Place(-150.201, 37.801)
HEIGHT = AboveGround(30.0)


@pytest.fixture
def desk(qtbot, monkeypatch):
    monkeypatch.setattr("planner.desk.questions.Boxes", lambda _window: Answers())
    desk = Desk(None, None)
    desk.move_in()
    desk.window.resize(1280, 720)
    desk.window.show()
    desk.start(None)
    qtbot.waitUntil(lambda: desk.window.side is not None, timeout=60_000)
    yield desk
    desk.window.close()
    desk.close()


def shares(desk):
    upper, lower = desk.window.stack.sizes()
    return upper / (upper + lower)


def test_the_map_is_large_until_the_path_is_drawn_and_does_not_move_meanwhile(qtbot, desk):
    large = shares(desk)
    assert large > 0.6
    desk.window.use_tool("path")
    for place in (FIRST, SECOND):
        desk.document.try_edit(edits.AppendPoint(place, HEIGHT))
    assert shares(desk) == large
    desk.window.use_tool("move")
    assert shares(desk) < 0.55
    desk.document.undo_stack.undo()
    assert shares(desk) < 0.55, "an undone point must not move the map"


def test_a_plan_that_is_opened_shows_its_profile_at_once(desk):
    desk.document.replace(small_plan(), None)
    assert shares(desk) < 0.55
    desk.window.commands.new()
    assert shares(desk) > 0.6


def test_what_was_shared_by_hand_stays(qtbot, desk):
    desk.window.stack.moveSplitter(250, 1)
    chosen = shares(desk)
    desk.document.replace(small_plan(), None)
    assert shares(desk) == chosen
