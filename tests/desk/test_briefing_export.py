"""The desk's briefing is the command line's, byte for byte; where it can't be written, the pilot is told."""

import pytest

from planner import cli
from planner.briefing.briefing import write_briefing
from planner.desk.commands import WorldSource
from planner.locate import demo_missions_dir
from planner.plan.edits import SetName
from planner.plan.file import read_plan
from tests.desk.desk_rig import Answers, make_document, make_window, settled

MISSION = demo_missions_dir() / "under_the_cell_value.lowline.geojson"


@pytest.fixture
def answers():
    return Answers()


@pytest.fixture
def window(qtbot, answers):
    document = make_document(WorldSource().load)
    made = make_window(qtbot, document, answers)
    document.replace(read_plan(MISSION), MISSION)
    settled(qtbot, document)
    return made


def test_desk_and_command_line_write_the_same_sheet(qtbot, window, answers, tmp_path, capsys):
    answers.brief = tmp_path / "desk"
    window.menu_actions["briefing"].trigger()
    qtbot.waitUntil((tmp_path / "desk.pdf").exists, timeout=30_000)
    assert cli.main(["brief", str(MISSION), "-o", str(tmp_path / "line.pdf")]) == 0
    capsys.readouterr()
    written = (tmp_path / "desk.pdf").read_bytes()
    assert written.startswith(b"%PDF-")
    assert written == (tmp_path / "line.pdf").read_bytes()
    assert answers.told == []


def test_the_sheet_is_of_the_plan_as_it_is_on_the_desk(qtbot, window, answers, tmp_path):
    window.document.try_edit(SetName("Another name (INVENTED)"))
    answers.brief = tmp_path / "desk.pdf"
    window.menu_actions["briefing"].trigger()
    qtbot.waitUntil(answers.brief.exists, timeout=30_000)
    write_briefing(window.document.assessment, tmp_path / "same.pdf")
    write_briefing(make_document(WorldSource().load).assessment, tmp_path / "other.pdf")
    assert answers.brief.read_bytes() == (tmp_path / "same.pdf").read_bytes()
    assert answers.brief.read_bytes() != (tmp_path / "other.pdf").read_bytes()


def test_no_sheet_while_the_charts_are_being_read(qtbot, window, answers, tmp_path):
    heard = []
    window.document.message.connect(heard.append)
    answers.brief = tmp_path / "early.pdf"
    window.document.reload_world()
    window.menu_actions["briefing"].trigger()
    assert heard == ["The check is not done yet: export the briefing right after it"]
    settled(qtbot, window.document)
    assert not answers.brief.exists()


def test_a_sheet_that_cannot_be_written_is_told_in_one_line(qtbot, window, answers, tmp_path):
    answers.brief = tmp_path / "no such folder" / "sheet.pdf"
    window.menu_actions["briefing"].trigger()
    qtbot.waitUntil(lambda: bool(answers.told), timeout=30_000)
    ((head, line),) = answers.told
    assert head == "The briefing was not written"
    assert "no such folder" in line
    assert "\n" not in line
