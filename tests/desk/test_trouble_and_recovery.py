"""What happens when something goes wrong: calm words, a log, work kept."""

import sys
from datetime import UTC, datetime, timedelta

import pytest

from planner.desk import saying
from planner.desk.banner import UnsavedBanner
from planner.desk.recovery import Recovery, UnsavedWork, discard, find_unsaved
from planner.desk.trouble import TroubleDesk
from planner.errors import OutputError, PlanError
from planner.geo.window import TimeWindow
from planner.plan.edits import SetName
from planner.saying import AS_IT_COMES, Units
from tests.desk.desk_rig import make_document, place, settled, small_plan


@pytest.fixture
def document(qtbot):
    made = make_document()
    yield made
    made.close()


@pytest.fixture
def trouble(tmp_path, qtbot):
    desk = TroubleDesk(tmp_path)
    yield desk
    desk.leave()


def raised(error):
    try:
        raise error
    except type(error):
        return sys.exc_info()


def test_an_unexpected_error_is_logged_in_full_and_told_in_one_line(trouble):
    heard = []
    trouble.told.connect(heard.append)
    trouble.report(*raised(ZeroDivisionError("the inner workings")))
    assert len(heard) == 1
    assert "\n" not in heard[0]
    assert "the inner workings" not in heard[0]
    log = trouble.log_path.read_text("utf-8")
    assert "ZeroDivisionError: the inner workings" in log
    assert "Traceback" in log


def test_an_expected_error_that_nobody_caught_speaks_for_itself(trouble):
    heard = []
    trouble.told.connect(heard.append)
    trouble.report(*raised(PlanError("the path has no height", remedy="give it one")))
    assert heard == ["the path has no height; give it one"]


def test_unsaved_work_is_kept_at_an_error_and_an_error_in_that_is_not_the_end(trouble):
    kept = []

    def keep():
        kept.append(1)
        raise OSError("disk full")

    trouble.keep_work = keep
    trouble.report(*raised(ZeroDivisionError()))
    trouble.report(*raised(ZeroDivisionError()))
    assert kept == [1, 1]
    assert "disk full" in trouble.log_path.read_text("utf-8")


def test_the_hooks_are_given_back(tmp_path, qtbot):
    before = sys.excepthook
    desk = TroubleDesk(tmp_path)
    desk.listen()
    assert sys.excepthook == desk.report
    desk.leave()
    assert sys.excepthook is before


def test_unsaved_work_is_written_by_itself_and_found_after_a_crash(qtbot, document, tmp_path):
    recovery = Recovery(document, tmp_path)
    document.replace(small_plan(), tmp_path / "ridge.lowline.geojson")
    settled(qtbot, document)
    document.try_edit(SetName("Ridge (INVENTED)"))
    qtbot.waitUntil(recovery.file.exists, timeout=5000)
    assert find_unsaved(tmp_path) == [], "work of a program that still runs is not offered"
    recovery.close(keep=True)
    (work,) = find_unsaved(tmp_path)
    assert work.plan == document.plan
    assert work.plan_path == tmp_path / "ridge.lowline.geojson"
    assert work.name == "Ridge (INVENTED)"
    discard(work)
    assert find_unsaved(tmp_path) == []


def test_saved_work_leaves_no_copy(qtbot, document, tmp_path):
    recovery = Recovery(document, tmp_path)
    document.try_edit(SetName("Ridge"))
    recovery.keep_now()
    assert recovery.file.exists()
    document.mark_saved(tmp_path / "a.lowline.geojson", as_draft=True)
    assert not recovery.file.exists()
    recovery.close()


def test_the_newest_work_comes_first_and_a_broken_copy_is_set_aside(qtbot, document, tmp_path):
    for name in ("first", "second"):
        recovery = Recovery(document, tmp_path)
        document.try_edit(SetName(name))
        recovery.keep_now()
        recovery.close(keep=True)
    (tmp_path / "unsaved" / "broken.json").write_text("{", "utf-8")
    assert [work.name for work in find_unsaved(tmp_path)] == ["second", "first"]
    assert (tmp_path / "unsaved" / "broken.damaged").exists()


def test_a_plan_of_any_state_survives(qtbot, document, tmp_path):
    recovery = Recovery(document, tmp_path)
    document.replace(small_plan(name="", area=None, path=(small_plan().path[0],)), None)
    document.try_edit(SetName(" "))
    recovery.keep_now()
    recovery.close(keep=True)
    (work,) = find_unsaved(tmp_path)
    assert work.plan == document.plan
    assert work.plan.path[0].place == place(0, 0)


def test_the_offer_of_unsaved_work_names_the_zone_of_its_moment(qtbot, qapp, tmp_path):
    banner = UnsavedBanner()
    qtbot.addWidget(banner)
    kept_at = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)
    start = datetime(2026, 11, 25, 20, 0, tzinfo=UTC)
    window = TimeWindow(start, start + timedelta(hours=1), "Etc/GMT+10")
    banner.offer(UnsavedWork(tmp_path / "kept", small_plan(window=window), None, kept_at))
    # Etc/GMT+10 is ten hours behind UTC (POSIX).
    assert "from Mon 23 Nov 2026, 22:00 UTC-10 is still here" in banner.words.text()
    saying.choose(qapp, Units(utc=True))
    try:
        banner.speak()
        assert "from Tue 24 Nov 2026, 08:00 UTC is still here" in banner.words.text()
    finally:
        saying.choose(qapp, AS_IT_COMES)
    long = small_plan(name="take 2 <b>bold</b> " * 12)
    banner.offer(UnsavedWork(tmp_path / "kept", long, None, kept_at))
    assert "“take 2 <b>bold</b> take 2" in banner.words.text()
    assert len(banner.words.text()) < 130, "a long name leaves room for the time"
    assert "08:00 UTC is still here" in banner.words.text()
    assert banner.words.textFormat() == banner.words.textFormat().PlainText


def test_where_unsaved_work_cannot_be_kept_it_is_said_what_that_means(document, tmp_path, monkeypatch):
    """Our own rule: what is wrong, and what to do; not where the program keeps its state."""
    recovery = Recovery(document, tmp_path)
    document.try_edit(SetName("Full (INVENTED)"))

    def full(path, _text):
        raise OutputError("the file can't be written (No space left on device)", where=str(path))

    monkeypatch.setattr("planner.desk.recovery.write_text", full)
    with pytest.raises(OutputError) as told:
        recovery.keep_now()
    assert told.value.one_line() == (
        "Unsaved work can't be kept for a crash: the file can't be written (No space left on device); "
        "save the plan (Ctrl+S) where there is room"
    )
    recovery.close()
