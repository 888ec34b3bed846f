"""Where a permission holds is recorded as it was asked for, not for all of an airspace."""

from datetime import UTC, datetime

import attrs
import pytest
from geographiclib.geodesic import Geodesic
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk import saying
from planner.desk.fields import Field
from planner.desk.record_dialog import RecordDialog
from planner.desk.record_place import Where
from planner.desk.standing import StandingPermissions
from planner.errors import PlanError
from planner.plan.edits import ReplacePath
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict
from tests.desk.saving_rig import MISSION, Rig, grant_for_ever

NM_M = 1852.0


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    made.open(MISSION)
    yield made
    made.document.close()


def form(rig, need="first"):
    first = rig.document.assessment.permissions[0]
    dialog = RecordDialog(rig.document, first if need == "first" else need, rig.window)
    dialog.reference.edit.setText("INVENTED-50")
    grant_for_ever(dialog)
    return dialog


def moved_away(plan, north_deg):
    """The same path somewhere else in the airspace."""
    path = [
        attrs.evolve(point, place=type(point.place)(point.place.lon_deg, point.place.lat_deg + north_deg))
        for point in plan.path
    ]
    return ReplacePath(tuple(path))


def test_a_path_is_recorded_inside_the_outline_asked_for_where_that_is_chosen(rig):
    dialog = form(rig)
    dialog.place.where.show_value(Where.ASKED)
    dialog.accept()
    document = rig.document
    assert document.assessment.verdict is Verdict.READY
    ring = document.plan.permissions[0].ring
    assert ring is not None
    # 50 m about the flight, by geographiclib: no corner of the outline is nearer to a point of the path.
    for corner in ring:
        for point in document.plan.path:
            away_m = Geodesic.WGS84.Inverse(
                corner.lat_deg, corner.lon_deg, point.place.lat_deg, point.place.lon_deg
            )["s12"]
            assert away_m > 50.0
    document.try_edit(moved_away(document.plan, -0.005))
    assert document.assessment.verdict is not Verdict.READY
    (need, *_) = document.assessment.permissions
    assert "record INVENTED-50 does not cover the whole place" in need.shortfall
    # Kept for other plans it keeps its outline.
    library = StandingPermissions(rig.folder)
    library.keep(document.plan.permissions[0])
    assert StandingPermissions(rig.folder).records[0].ring == ring


def test_a_circle_is_asked_for_whole_and_never_wider_than_typed(rig, qtbot):
    dialog = form(rig)
    dialog.open()
    qtbot.waitExposed(dialog)
    assert not dialog.place.centre.isVisible()
    height = dialog.height()
    dialog.place.where.show_value(Where.CIRCLE)
    assert dialog.place.centre.isVisible()
    assert dialog.height() > height
    assert (dialog.place.centre.value(), dialog.place.radius.value()) == (None, None)
    centre = rig.document.plan.path[0].place
    dialog.place.centre.edit.setText(f"{centre.lat_deg:.6f} {centre.lon_deg:.6f}")
    centre = dialog.place.centre.value()
    dialog.place.radius.edit.setFocus()
    QTest.keyClicks(dialog.place.radius.edit, "0.5 NM")
    ring = dialog.record().ring
    for corner, following in zip(ring, (*ring[1:], ring[0]), strict=True):
        for lat, lon in (
            (corner.lat_deg, corner.lon_deg),
            ((corner.lat_deg + following.lat_deg) / 2, (corner.lon_deg + following.lon_deg) / 2),
        ):
            radius_m = Geodesic.WGS84.Inverse(centre.lat_deg, centre.lon_deg, lat, lon)["s12"]
            assert 0.999 * 0.5 * NM_M < radius_m <= 0.5 * NM_M + 1e-3
    dialog.reject()


@pytest.mark.parametrize("typed", ["0 NM", "-1 NM", "200 NM", ""])
def test_a_circle_without_a_radius_is_no_place(rig, typed):
    dialog = form(rig)
    dialog.place.where.show_value(Where.CIRCLE)
    dialog.place.radius.edit.setText(typed)
    with pytest.raises(PlanError, match="radius"):
        dialog.record()


def test_all_of_an_airspace_is_only_recorded_by_choosing_it(rig):
    dialog = form(rig, need=None)
    dialog.airspace.edit.setText("CLASS D (INVENTED)")
    assert dialog.place.where.value() is None
    with pytest.raises(PlanError, match="not said where"):
        dialog.record()
    dialog.place.where.show_value(Where.EVERYWHERE)
    assert dialog.record().ring is None


def test_what_holds_for_all_of_an_airspace_is_to_be_looked_at_on_a_cell_of_nothing(rig):
    """The path is moved onto the runway, where the island's facility map says 0 ft."""
    dialog = form(rig)
    dialog.ceiling.edit.setText("400 ft")
    dialog.place.where.show_value(Where.EVERYWHERE)
    dialog.accept()
    document = rig.document
    document.try_edit(moved_away(document.plan, -0.018))
    told = [one for one in document.assessment.findings if one.rule == "permission-beyond-cells"]
    assert len(told) == 1
    assert "0 ft" in told[0].message


def test_a_sites_agreement_holds_on_the_site_which_the_chart_bounds(rig):
    dialog = form(rig)
    dialog.kind.show_value(PermissionKind.FIXED_SITE_AGREEMENT)
    dialog.kind.committed.emit()
    assert dialog.place.where.value() is Where.EVERYWHERE
    assert dialog.place.where.box.currentText() == "All of the site"


def test_a_permission_is_typed_by_the_clock_that_is_preferred_with_the_other_beside(rig, qapp):
    """Our own rule (issue 8); by hand: the plan's zone, Etc/GMT+10, is ten hours behind UTC."""
    before = saying.in_use()
    granted = datetime(2027, 6, 12, 18, 30, tzinfo=UTC)
    for utc, typed, label, other in (
        (False, "2027-06-12 08:30", "Holds from (UTC-10)", "= 12 Jun 2027 18:30 UTC"),
        (True, "2027-06-12 18:30", "Holds from (UTC)", "= 12 Jun 2027 08:30 UTC-10"),
    ):
        saying.choose(qapp, attrs.evolve(before, utc=utc))
        try:
            dialog = form(rig)
            dialog.valid_from.edit.setText(typed)
            assert (dialog.valid_from.label.text(), dialog.valid_from.other.text()) == (label, other)
            assert dialog.record().valid_from_utc == granted
            dialog.valid_from.edit.setText("")
            with pytest.raises(PlanError, match="Holds from"):
                dialog.record()
        finally:
            saying.choose(qapp, before)


def test_a_form_that_was_closed_does_not_stay_behind(qtbot, rig):
    panel = rig.window.side.permissions
    for _ in range(2):
        panel.record(None)
        dialogs = [one for one in rig.window.findChildren(RecordDialog) if one.isVisible()]
        assert len(dialogs) == 1
        dialogs[0].reject()
        qtbot.waitUntil(lambda: not rig.window.findChildren(RecordDialog))


def test_a_refusal_makes_the_window_larger_and_leads_into_the_field_it_speaks_of(rig, qtbot):
    """Our own rule (issue 8: hard to use wrongly): no field is squeezed, no typing goes into another one."""
    asked = form(rig)
    asked.show()
    asked.activateWindow()
    qtbot.waitUntil(asked.isActiveWindow)
    qtbot.wait(20)
    before = {one.label.text(): one.input.height() for one in asked.findChildren(Field)}
    # A field itself refuses, in more words than its row has room for.
    asked.valid_to.edit.setText("2027-06-12, as on the paper")
    asked.valid_to.commit_now()
    qtbot.waitUntil(lambda: asked.valid_to.error.height() > asked.valid_to.label.height())
    qtbot.waitUntil(
        lambda: {one.label.text(): one.input.height() for one in asked.findChildren(Field)} == before
    )
    assert asked.valid_to.other.geometry().top() > asked.valid_to.edit.geometry().bottom()
    asked.valid_to.show_moment(None)
    for typed, where, meant in (
        ("", Where.EVERYWHERE, asked.valid_from),
        ("12.6.2027 8:00", Where.EVERYWHERE, asked.valid_from),
        ("none stated", None, asked.place.where),
    ):
        asked.valid_from.edit.setText(typed)
        asked.place.where.show_value(where)
        asked.reference.edit.setFocus()
        QTest.keyClick(asked.reference.edit, Qt.Key.Key_Return)
        qtbot.wait(20)
        assert asked.isVisible()
        assert QApplication.focusWidget() is meant.input
        assert meant.input.property("invalid")
        assert {one.label.text(): one.input.height() for one in asked.findChildren(Field)} == before
        assert asked.error.height() >= asked.error.heightForWidth(asked.error.width())
