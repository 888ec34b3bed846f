"""While another plan is opened its name stands over no picture of the one before.

Our own rule (issue 8: hard to use wrongly).
"""

import pytest
from PySide6.QtTest import QTest

from planner.desk.map_view import MapView
from planner.plan.edits import SetName
from planner.plan.model import Plan
from tests.desk.desk_rig import make_document, settled, small_plan


@pytest.fixture
def view(qtbot, canvas):
    document = make_document()
    made = MapView(document, canvas)
    settled(qtbot, document)
    yield made
    made.close()
    document.close()


def lifted(qtbot, veil):
    qtbot.waitUntil(lambda: not veil.isVisible(), timeout=10_000)


def test_the_map_is_covered_from_the_new_name_on_until_the_page_has_drawn_the_plan(qtbot, view, canvas):
    document, veil = view._document, view.veil
    document.replace(small_plan(name="first"), None)
    assert not veil.isVisible()  # an empty map shows nothing of another plan
    settled(qtbot, document)
    asked = []
    canvas.drawn.connect(asked.append)
    document.replace(small_plan(name="second"), None)
    assert veil.isVisible()
    assert veil.size() == canvas.size()
    assert veil.text() == "second: the map is being drawn."
    assert asked == []
    lifted(qtbot, veil)
    assert asked
    canvas.drawn.disconnect(asked.append)
    document.try_edit(SetName("an edit covers nothing"))
    assert not veil.isVisible()


def test_of_two_plans_opened_in_a_row_the_answer_for_the_first_lifts_nothing(qtbot, view):
    document, veil = view._document, view.veil
    document.replace(small_plan(name="first"), None)
    settled(qtbot, document)
    document.replace(small_plan(name="second"), None)
    first = veil._awaited
    document.replace(Plan(name="third"), None)
    veil._on_drawn(first)
    assert not veil._turn.isActive()
    assert veil.isVisible()
    lifted(qtbot, veil)


def test_a_page_that_does_not_answer_keeps_the_map_from_nobody(qtbot, view, canvas, monkeypatch):
    document, veil = view._document, view.veil
    document.replace(small_plan(name="first"), None)
    settled(qtbot, document)
    monkeypatch.setattr(canvas, "ask_drawn", lambda _number: None)
    veil._latest.setInterval(50)
    document.replace(small_plan(name="second"), None)
    assert veil.isVisible()
    QTest.qWait(100)
    assert not veil.isVisible()


def test_the_form_is_never_painted_between_two_plans(qtbot, side, document):
    form = side.plan
    document.replace(small_plan(name="second"), None)
    assert not form.updatesEnabled()
    assert form.sections["name"].name.edit.text() == ""
    qtbot.waitUntil(form.updatesEnabled)
    assert form.sections["name"].name.edit.text() == "second"
    side.go_to("points")
    document.replace(small_plan(name="third"), None)
    assert form.updatesEnabled()
