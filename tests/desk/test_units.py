"""Units by preference: everywhere on the desk, typed and said, and nothing of a plan changes with them."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit

import planner.desk
from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.desk import saying
from planner.desk.commands import WorldSource
from planner.desk.fields import Field, TextField
from planner.desk.points_model import LAUNCH, NEVER
from planner.desk.preferences import read_settings, write_settings
from planner.desk.profile.flight_readout import brief_words, strip_words
from planner.desk.profile.plot import ProfilePlot
from planner.desk.profile.readout import describe
from planner.desk.profile.sight_readout import sight_words
from planner.desk.profile.strips import strips_of
from planner.desk.quantities import HEIGHT, LENGTHS, SPEED, SPEEDS, parse, words
from planner.desk.respeak import speak_anew
from planner.locate import demo_missions_dir
from planner.plan.file import read_plan, write_plan
from planner.saying import AS_IT_COMES, Units
from planner.settings import Settings
from planner.units import FOOT_M, KNOT_MPS
from tests.desk.saving_rig import Rig

METRES = Units(height="m", speed="m/s", way="mi", utc=True)
BARE_FEET = re.compile(r"\b\d[\d,]*(?:\.\d+)? ?(?:ft|kt)\b(?! \([\d.,]+(?: to [\d.,]+)? m\))")
"""A figure in feet or knots without the metres beside it."""


@pytest.fixture(autouse=True)
def _as_it_comes(qapp):
    yield
    saying.choose(qapp, AS_IT_COMES)


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    made.open("canyon_video_breaks.lowline.geojson")
    yield made
    made.window.doors.close()
    made.document.close()


def texts_of(window):
    """Return every text that a window shows or offers."""
    for widget in [window, *window.findChildren(QLabel), *window.findChildren(QAbstractButton)]:
        yield getattr(widget, "text", lambda: "")()
        yield widget.toolTip()
    for line in window.findChildren(QLineEdit):
        yield line.text()
        yield line.placeholderText()
    for box in window.findChildren(QComboBox):
        yield from (box.itemText(row) for row in range(box.count()))
    for field in window.findChildren(Field):
        yield field.toolTip()


def test_everything_on_the_desk_is_said_in_metres_where_they_are_preferred(rig, qapp):
    window, document = rig.window, rig.document
    window.bring_profile()
    saying.choose(qapp, METRES)
    speak_anew(window, document)
    window.side.plan._refresh_now()
    found = set(texts_of(window))
    model, table = window.side.findings.model, window.side.points.model
    for row in range(model.rowCount()):
        found.add(str(model.data(model.index(row), Qt.ItemDataRole.AccessibleTextRole)))
    for row in range(table.rowCount()):
        for column in range(table.columnCount()):
            found.add(str(table.data(table.index(row, column), Qt.ItemDataRole.ToolTipRole)))
            # Launch and Never stand as the goggles show them, each with its unit.
            if column not in (LAUNCH, NEVER):
                found.add(str(table.data(table.index(row, column))))
    answer = document.assessment
    for share in range(11):
        at_m = answer.track.length_m * share / 10.0
        found.update(
            (*describe(answer, at_m).words(), *sight_words(answer, at_m), *brief_words(answer, at_m))
        )
        for name in ("battery", "control", "video", "beneath", "others"):
            found.update(strip_words(answer, at_m, name))
    for strip in strips_of(answer):
        found.update(each.text for each in strip.intervals)
    for finding in model.findings:
        window.doors.reasons.show_rule(finding)
        found.update(window.doors.reasons.rule.texts())
    window.doors.reasons.show_ceiling(100.0)
    for line in window.doors.reasons.ceiling.lines:
        found.update((line.what, line.change, line.height))
    # The goggles' own unit is a property of the aircraft, and a tip may name any unit as an example.
    aside = ("as the goggles show it", "unless you type another unit", "ft lbf")
    left = sorted(
        text for text in found if BARE_FEET.search(text) and not any(each in text for each in aside)
    )
    assert not left, "\n".join(left)
    assert any(re.search(r"\d m\b", text) for text in found)


def test_the_tab_of_permissions_follows_units_and_clock_at_once(rig, qapp):
    """Our own rule (issue 8: units by preference, everywhere consistent); nothing in the plan changes."""
    rig.open("under_the_cell_value.lowline.geojson")
    side = rig.window.side
    side.go_to("permissions")

    def told():
        qapp.processEvents()
        return " ".join(label.text() for label in side.permissions.widget().findChildren(QLabel))

    assert "lowest cell 200 ft" in told()
    saying.choose(qapp, METRES)
    speak_anew(rig.window, rig.document)
    assert "lowest cell 60 m" in told()  # 60.96 m; a limit is rounded down
    side.go_to("plan")
    saying.choose(qapp, AS_IT_COMES)
    speak_anew(rig.window, rig.document)
    side.go_to("permissions")
    assert "lowest cell 200 ft" in told()


def test_the_figures_on_the_profiles_axes_are_written_anew(rig, qapp):
    """350 ft are no round figure in metres: the axes have others, and at once."""
    window = rig.window
    window.resize(1400, 900)
    window.bring_profile()
    window.show()
    rig.qtbot.waitExposed(window)
    plot = window.findChild(ProfilePlot)
    qapp.processEvents()

    def axes():
        qapp.processEvents()
        return plot.grab().toImage()

    in_feet = axes()
    saying.choose(qapp, METRES)
    speak_anew(window, rig.document)
    in_metres = axes()
    assert in_metres != in_feet
    plot.dress()
    assert axes() == in_metres
    saying.choose(qapp, AS_IT_COMES)
    speak_anew(window, rig.document)
    assert axes() == in_feet


def test_what_is_typed_without_a_unit_is_taken_and_shown_in_the_unit_preferred(rig, qapp):
    section = rig.window.side.plan.sections["weather"]
    for units, typed, speed_mps, shown in (
        (METRES, "5", 5.0, "5 m/s"),
        (Units(speed="mph"), "10", 10 * 1609.344 / 3600, "10 mph"),
        (AS_IT_COMES, "8", 8 * KNOT_MPS, "8 kt"),
    ):
        saying.choose(qapp, units)
        speak_anew(rig.window, rig.document)
        section.direction.edit.setText("240")
        section.speed.edit.setText(typed)
        for field in (section.direction, section.speed):
            field.commit_now()
        assert rig.document.plan.weather.wind.speed_mps == pytest.approx(speed_mps)
        section.refresh()
        assert section.speed.edit.text() == shown
    saying.choose(qapp, METRES)
    speak_anew(rig.window, rig.document)
    section.refresh()
    assert section.speed.edit.text() == "4.1 m/s"
    assert "m/s unless you type kt, mph or km/h" in section.speed.toolTip()
    assert section.cloud.edit.placeholderText() == "e.g. 762 m"
    craft = rig.window.side.plan.sections["aircraft"]
    kg = rig.document.plan.aircraft.take_off_weight_kg
    craft.refresh()
    assert craft.fields["weight"].edit.text() == f"{kg:.3f}".rstrip("0") + " kg"
    assert craft.fields["size"].edit.text().endswith(" cm")
    assert "kilograms unless you type g, lb or oz" in craft.fields["weight"].toolTip()
    assert craft.fields["weight"].edit.placeholderText() == "e.g. 0.62 kg"
    assert f"{kg:.2f} kg" in rig.window.top_bar.chips["aircraft"].text()
    craft.fields["weight"].edit.setText("1.5")
    craft.fields["weight"].commit_now()
    assert rig.document.plan.aircraft.take_off_weight_kg == pytest.approx(1.5)
    # Another unit may always be typed.
    section.cloud.edit.setText("2500 ft")
    section.cloud.commit_now()
    assert rig.document.plan.weather.cloud_base_m == pytest.approx(762.0)


def test_a_height_typed_into_the_table_is_metres_where_they_are_preferred(rig, qapp):
    model = rig.window.side.points.model
    saying.choose(qapp, Units(height="m"))
    assert model.setData(model.index(0, 1), "30")
    assert rig.document.plan.path[0].height.m == pytest.approx(30.0)
    assert model.data(model.index(0, 1)) == "30"
    assert model.headerData(1, Qt.Orientation.Horizontal) == "Height\nm"
    assert model.setData(model.index(0, 1), "100 ft")
    assert rig.document.plan.path[0].height.m == pytest.approx(100 * FOOT_M)
    assert model.data(model.index(0, 1)) == "30.5"


def test_another_preference_changes_no_byte_of_the_plan_and_no_check(rig, qapp, tmp_path):
    document = rig.document
    before, was, json_before = tmp_path / "before", document.plan, check_json(document.assessment)
    write_plan(document.plan, before)
    for units in (METRES, Units(height="m"), Units(speed="mph", way="NM"), AS_IT_COMES):
        saying.choose(qapp, units)
        speak_anew(rig.window, document)
        rig.window.side.go_to("plan")
        for section in rig.window.side.plan.sections.values():
            section.refresh()
        for field in rig.window.side.plan.findChildren(TextField):
            field.commit_now()
        after = tmp_path / "after"
        write_plan(document.plan, after)
        assert after.read_bytes() == before.read_bytes()
        assert document.plan == was
        assert not document.undo_stack.canUndo()
        assert check_json(document.assessment) == json_before


def test_every_demo_flight_has_one_check_whatever_is_preferred(qapp):
    for mission in sorted(demo_missions_dir().glob("*.lowline.geojson"))[:4]:
        plan = read_plan(mission)
        world = WorldSource().load(plan)
        saying.choose(qapp, AS_IT_COMES)
        told = json.dumps(check_json(assess(plan, world)), ensure_ascii=False)
        saying.choose(qapp, METRES)
        assert json.dumps(check_json(assess(plan, world)), ensure_ascii=False) == told
        assert not re.search("[\ufdd0\ufdd1]", told)


def test_units_are_chosen_in_the_preferences_seen_at_once_and_kept(rig, qtbot):
    window, kept = rig.window, []
    window.settings_changed.connect(kept.append)
    window.menu_actions["preferences"].trigger()
    dialog = window.doors.preferences.dialog
    dialog.heights.box.setCurrentIndex(1)
    dialog.heights.box.activated.emit(1)
    assert saying.in_use().height == "m"
    assert "unless you type ft" in window.side.plan.sections["weather"].cloud.toolTip()
    dialog.reject()
    assert saying.in_use() == AS_IT_COMES
    window.menu_actions["preferences"].trigger()
    dialog = window.doors.preferences.dialog
    for field, row in ((dialog.heights, 1), (dialog.speeds, 2), (dialog.ways, 1), (dialog.times, 1)):
        field.box.setCurrentIndex(row)
        field.box.activated.emit(row)
    QTest.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert kept[-1].units == METRES
    assert saying.in_use() == METRES
    assert "UTC" in window.top_bar.chips["window"].text()


@pytest.mark.parametrize(
    "kept",
    [
        "",
        "[]",
        '{"units": 3}',
        '{"units": {"height": "yd", "speed": 7, "way": null, "utc": "no"}}',
        '{"units": []}',
    ],
)
def test_units_that_are_of_no_use_are_as_they_come(tmp_path, kept):
    (tmp_path / "settings.json").write_text(kept, "utf-8")
    assert read_settings(tmp_path).units == AS_IT_COMES


def test_units_are_kept_and_read_again(tmp_path):
    write_settings(tmp_path, Settings(units=METRES))
    assert read_settings(tmp_path).units == METRES
    (tmp_path / "settings.json").write_text('{"units": {"height": "m", "speed": "yd"}}', "utf-8")
    assert read_settings(tmp_path).units == Units(height="m")


@given(st.floats(0.1, 5_000.0), st.sampled_from([AS_IT_COMES, METRES, Units(speed="mph")]))
def test_what_a_field_shows_is_read_again_as_nearly_the_same(value, units):
    application = QApplication.instance() or QApplication([])
    saying.choose(application, units)
    for unit, known in ((HEIGHT, LENGTHS), (SPEED, SPEEDS)):
        shown = words(value, unit, known, 1)
        assert parse(shown, known, unit, "it") == pytest.approx(value, abs=0.51)
        assert parse(shown.split(" ")[0], known, unit, "it") == parse(shown, known, unit, "it")


_ELSEWHERE = {
    "desk/quantities.py": "the units that can be typed",
    "desk/saying.py": "asks planner.saying",
    "desk/map_layers.py": "limits as charts write them, in hundreds of feet",
    "desk/points_text.py": "points as text for other programs, in feet whatever is preferred",
}


def test_no_module_of_the_desk_writes_feet_or_knots_by_itself():
    writes = re.compile(
        r"\} ?(?:ft|kt)\b|removesuffix\(\" ?(?:ft|kt)\"\)|ft_from_m\(|kt_from_mps\(|setSuffix\(\" ft"
    )
    root = Path(planner.desk.__file__).parents[1]
    found = {
        path.relative_to(root).as_posix()
        for path in root.glob("desk/**/*.py")
        if writes.search(path.read_text("utf-8"))
    }
    assert found <= set(_ELSEWHERE)
    imports = re.compile(r"from planner\.wording import[^)]*?\b(?:limit_ft|planned_ft|nearest_ft)\b")
    assert [path.name for path in root.glob("desk/**/*.py") if imports.search(path.read_text("utf-8"))] == []
