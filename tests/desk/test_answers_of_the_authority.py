"""What only the authority can say of Class E stands among the permissions; its answer takes a click.

Whether extensions need authorization: a memorandum of 2018 says no, AIM 3-2-6 counts them (check_values 1.13,
standing A). What the desk shows of that is our own choice.
"""

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.desk.commands import WorldSource
from planner.desk.record_dialog import RecordDialog
from planner.geo.heights import AboveGround
from planner.permission.need import Subject
from planner.plan.edits import ReplacePermission
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.desk.saving_rig import MISSION, Rig, grant_for_ever

NAME = "CORROW FIELD EXTENSION (INVENTED)"


def as_extension(volume):
    return attrs.evolve(volume, kind=AirspaceKind.CLASS_E4, name=NAME)


def load(plan):
    """The island, where the airspace about the airport is an extension of Class E."""
    world = WorldSource().load(plan)
    return attrs.evolve(
        world,
        airspace=tuple(
            as_extension(one) if one.kind is AirspaceKind.CLASS_C else one for one in world.airspace
        ),
    )


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path, load)
    made.open(MISSION)
    made.window.side.go_to("permissions")
    yield made
    made.document.close()


def test_the_answer_is_recorded_by_a_click_that_fills_in_the_name(rig, qtbot):
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.needs) == 1)
    assert rig.document.assessment.verdict is Verdict.UNDETERMINED
    assert rig.document.assessment.permissions == ()
    assert panel.open_count == 1
    (card,) = panel.needs
    assert (card.need.subject, card.need.airspace) == (Subject.INQUIRY, NAME)
    assert card.record.text() == "Record the answer…"
    QTest.mouseClick(card.record, Qt.MouseButton.LeftButton)
    (dialog,) = [one for one in rig.window.findChildren(RecordDialog) if one.isVisible()]
    assert dialog.airspace.edit.text() == NAME
    assert dialog.place.where.value() is None
    dialog.reference.edit.setText("INVENTED-70")
    dialog.ceiling.edit.setText("100 ft")
    grant_for_ever(dialog)
    QTest.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(panel.records) == 1)
    # The flight goes up to 149.7 ft over the lowest ground within the terrain's error of place: on its sheet,
    # below, 10 ft of the readout's are added to that.
    assert rig.document.assessment.verdict is Verdict.UNDETERMINED
    fault = "Does not cover the plan: the plan is 49 ft above record INVENTED-70 at 438 m"
    assert panel.records[0].coverage.text() == fault
    higher = attrs.evolve(panel.records[0].record, ceiling=AboveGround(60.0))
    assert rig.document.try_edit(ReplacePermission(0, higher))
    assert rig.document.assessment.verdict is Verdict.READY
    qtbot.waitUntil(lambda: panel.needs[0].need.references == "INVENTED-70")
    assert panel.open_count == 0
    assert panel.records[0].coverage.text() == f"Covers what is drawn in {NAME}"


def test_the_request_sheet_asks_whether_the_flight_may_enter(rig):
    (request,) = requests_for(rig.document.assessment)
    text = request_text(request, rig.document.plan)
    assert "ask the authority whether" in text.route
    rows = dict(text.rows)
    assert NAME in rows["airspace"]
    assert "air traffic facility" in rows["whom to ask"]
    assert not {"cells touched", "facility", "airports"} & set(rows)
    assert rows["highest, above ground"].startswith("type 160 ft")
