"""On opening: how the plan stood the last time, and why it stands otherwise now; kept within bounds."""

import hashlib
import json
from datetime import UTC, datetime, timedelta

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.last_time.kept import FILE_NAME, MOST_PLANS, keep_standing, standing_kept
from planner.desk.last_time.line import _digest, _is_of
from planner.geo.heights import AboveGround
from planner.plan.edits import SetName, SetPointHeight
from planner.plan.file import plan_to_json, read_plan, write_plan
from planner.remedy.compare_last import Cause, Standing
from planner.rules.verdict import Verdict
from tests.desk.full_plan import full_plan
from tests.desk.saving_rig import MISSION, READY, Rig

THEN = datetime(2026, 11, 24, 8, 0, 36, tzinfo=UTC)  # its seconds are told nowhere


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    yield made
    if made.dialog:
        made.dialog.reject()
    made.document.close()


def line(rig):
    return rig.window.last_time


def stood(state_dir, path, verdict, *causes):
    keep_standing(state_dir, path, Standing(verdict, THEN, tuple(Cause(key, key) for key in causes)))


def opened(rig, mission):
    path = rig.open(mission)
    QTest.qWait(20)
    return path


def reopen(rig, path):
    assert rig.window.commands.open_path(path)
    rig.qtbot.waitUntil(lambda: not rig.document.checking, timeout=30_000)
    QTest.qWait(20)


def test_the_first_time_and_the_same_verdict_say_nothing(rig, state_dir):
    path = opened(rig, READY)
    assert line(rig).isHidden()
    assert standing_kept(state_dir, path).verdict is Verdict.READY
    reopen(rig, path)
    assert line(rig).isHidden()


def test_another_verdict_names_the_day_and_the_new_cause_and_leads_to_it(rig, state_dir):
    path = rig.folder / MISSION
    stood(state_dir, path, Verdict.READY)
    opened(rig, MISSION)
    assert line(rig).isVisible()
    words = line(rig).words.text()
    # 8 hours UTC are the evening before in the plan's own zone, Etc/GMT+10 (POSIX: ten hours behind UTC).
    assert words.startswith("Was Ready on Mon 23 Nov 2026, 22:00 UTC-10, now ")
    assert "now Permission needed: CORROW FIELD CLASS C (INVENTED)" in words
    rig.window.side.go_to("points")
    QTest.mouseClick(line(rig).show_cause, Qt.MouseButton.LeftButton)
    assert rig.window.side.currentWidget() is rig.window.side.permissions
    QTest.mouseClick(line(rig).dismiss, Qt.MouseButton.LeftButton)
    assert line(rig).isHidden()
    reopen(rig, path)
    assert line(rig).isHidden(), "told once; from now on this is how it stood"


def test_a_finding_is_led_to_and_an_edit_that_changes_the_verdict_takes_the_line_away(rig, state_dir):
    path = opened(rig, READY)
    write_plan(SetPointHeight((1,), AboveGround(200.0)).apply(read_plan(path)), path)
    reopen(rig, path)
    assert "now Must change: 261 ft above the limit" in line(rig).words.text()
    assert "The plan was changed since" in line(rig).words.text()
    rig.window.side.go_to("points")
    QTest.mouseClick(line(rig).show_cause, Qt.MouseButton.LeftButton)
    assert rig.window.side.currentWidget() is rig.window.side.findings
    rig.document.try_edit(SetName("Other (INVENTED)"))
    QTest.qWait(20)
    assert line(rig).isVisible()
    rig.document.try_edit(SetPointHeight((1,), AboveGround(30.0)))
    QTest.qWait(20)
    assert line(rig).isHidden()


def test_what_is_gone_is_told_and_a_plan_that_is_the_same_is_not_called_changed(rig, state_dir):
    path = opened(rig, READY)
    kept = standing_kept(state_dir, path)
    cause = Cause("data-x: unknown: Data on x expired", "Data on x expired")
    keep_standing(state_dir, path, attrs.evolve(kept, verdict=Verdict.UNDETERMINED, causes=(cause,)))
    reopen(rig, path)
    assert "now Ready: no longer in the way: Data on x expired." in line(rig).words.text()
    assert "changed since" not in line(rig).words.text()
    assert line(rig).show_cause.isHidden()


def test_what_an_earlier_version_kept_of_the_same_plan_is_known_again(rig, state_dir):
    """By earlier versions a plan was known by the sum (SHA-256, FIPS 180-4) of its file's text."""
    path = opened(rig, READY)
    kept = standing_kept(state_dir, path)
    for plan, changed in (
        (read_plan(path), False),
        (SetName("Was another (INVENTED)").apply(read_plan(path)), True),
    ):
        text = plan_to_json(attrs.evolve(plan, saved_as_draft=False))
        earlier = attrs.evolve(
            kept, verdict=Verdict.UNDETERMINED, plan_digest=hashlib.sha256(text.encode()).hexdigest()
        )
        keep_standing(state_dir, path, earlier)
        reopen(rig, path)
        assert line(rig).words.text().startswith("Was Cannot be determined")
        assert ("changed since" in line(rig).words.text()) is changed


def test_a_plan_is_the_same_whether_it_was_a_draft_or_not_and_no_other_one_is():
    plan = full_plan()
    digest = _digest(plan)
    assert _is_of(digest, attrs.evolve(plan, saved_as_draft=not plan.saved_as_draft))
    assert not _is_of(digest, SetName("Another (INVENTED)").apply(plan))
    assert not _is_of(digest, SetPointHeight((1,), AboveGround(12.25)).apply(plan))
    assert not _is_of("", plan)


def test_only_what_lies_on_the_disk_is_kept(rig, state_dir):
    path = opened(rig, READY)
    rig.document.try_edit(SetPointHeight((1,), AboveGround(200.0)))
    QTest.qWait(20)
    assert standing_kept(state_dir, path).verdict is Verdict.READY
    rig.window.menu_actions["save"].trigger()
    QTest.qWait(20)
    assert standing_kept(state_dir, path).verdict is Verdict.MUST_CHANGE


def test_other_charts_for_this_sitting_leave_no_trace(rig, state_dir):
    rig.window.commands.source.charts = [rig.folder]
    path = opened(rig, READY)
    assert standing_kept(state_dir, path) is None


def test_what_is_damaged_or_too_large_is_forgotten_and_written_anew(tmp_path):
    plan = tmp_path / "a.lowline.geojson"
    for text in (
        "{",
        "[1, {}, null]",
        '{"a": 1}',
        "[" * 5000,
        '[{"path": "x", "verdict": "none"}]',
        " " * 5_000_000,
    ):
        (tmp_path / FILE_NAME).write_text(text, "utf-8")
        assert standing_kept(tmp_path, plan) is None
        keep_standing(tmp_path, plan, Standing(Verdict.READY, THEN))
        assert standing_kept(tmp_path, plan) == Standing(Verdict.READY, THEN)


def test_the_oldest_plans_make_room(tmp_path):
    entries = [
        {"path": f"/p{k}", "verdict": "ready", "at_utc": THEN.isoformat(), "plan_digest": "", "causes": []}
        for k in range(MOST_PLANS + 50)
    ]
    (tmp_path / FILE_NAME).write_text(json.dumps(entries), "utf-8")
    plan = tmp_path / "a.lowline.geojson"
    keep_standing(tmp_path, plan, Standing(Verdict.READY, THEN + timedelta(days=1)))
    kept = json.loads((tmp_path / FILE_NAME).read_text("utf-8"))
    assert len(kept) == MOST_PLANS
    assert kept[0]["path"] == str(plan)


def test_a_disk_that_refuses_costs_only_the_memory(tmp_path):
    (tmp_path / FILE_NAME).mkdir()
    keep_standing(tmp_path, tmp_path / "a.lowline.geojson", Standing(Verdict.READY, THEN))
    assert standing_kept(tmp_path, tmp_path / "a.lowline.geojson") is None
