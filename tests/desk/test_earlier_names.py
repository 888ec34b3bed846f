"""Plans and libraries of the ending they had before are opened, titled and kept all the same."""

import shutil

from planner.desk.standing import FILE_NAME, StandingPermissions
from planner.locate import demo_missions_dir
from planner.plan.file import EARLIER_SUFFIX, PLAN_SUFFIX
from tests.desk.desk_rig import make_document, make_window, settled


def test_a_plan_of_the_earlier_ending_opens_and_is_no_name_for_a_sheet(qtbot, tmp_path):
    file = tmp_path / f"flight{EARLIER_SUFFIX}"
    shutil.copy(demo_missions_dir() / f"ridge_line{PLAN_SUFFIX}", file)
    window = make_window(qtbot, make_document())
    assert window.commands.open_path(file)
    settled(qtbot, window.document)
    assert window.document.plan.path
    window.document.close()


def test_a_library_of_the_earlier_ending_goes_on(tmp_path):
    new = tmp_path / FILE_NAME
    assert FILE_NAME.endswith(PLAN_SUFFIX)
    old = new.with_name(FILE_NAME.removesuffix(PLAN_SUFFIX) + EARLIER_SUFFIX)
    old.write_text("not a library", "utf-8")
    kept = StandingPermissions(tmp_path)
    assert new.exists()
    assert not old.exists()
    assert kept.trouble
