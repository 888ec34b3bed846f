"""The parts of the plan's form behind their heads: closed at first, told in a line, opened and reached."""

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk import palette, saying
from planner.desk.forms.summaries import summary
from planner.desk.manual.address import address_of
from planner.geo.heights import AboveGround
from planner.locate import demo_missions_dir
from planner.plan.edits import SetName
from planner.plan.file import read_plan
from planner.plan.model import Plan, Purpose
from planner.plan.papers import Papers
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Basis, Finding, Mark
from planner.saying import AS_IT_COMES, Units
from tests.desk.desk_rig import make_window, small_plan
from tests.desk.form_hand import open_all_parts, type_into

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def side(qtbot, document):
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    window.activateWindow()
    return window.side


@pytest.fixture
def form(side):
    return side.plan


def heads(form):
    return {key: drawer.head for key, drawer in form.drawers.items()}


def test_all_parts_fit_under_each_other_closed_and_a_click_opens_one(form, qtbot):
    assert not any(section.isVisible() for section in form.sections.values())
    qtbot.waitUntil(lambda: form.widget().height() < 1_000)
    head = heads(form)["weather"]
    assert all(one.text() == form.sections[key].heading.text() for key, one in heads(form).items())
    form.ensureWidgetVisible(head)
    QTest.mouseClick(head, LEFT)
    assert [key for key, section in form.sections.items() if section.isVisible()] == ["weather"]
    type_into(form.sections["weather"].cloud, "2500 ft")
    QTest.mouseClick(head, LEFT)
    assert not form.sections["weather"].isVisible()
    assert "cloud 2,500 ft" in head.accessibleName()


def test_a_head_says_what_its_part_holds_and_says_it_anew(form, document, qtbot):
    name = heads(form)["name"]
    document.try_edit(SetName("Ridge, evening (INVENTED)"))
    qtbot.waitUntil(lambda: "Ridge, evening (INVENTED)" in name.accessibleName())
    assert "Ridge, evening" in name.toolTip()
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: "Ridge, evening" not in name.accessibleName())


def test_the_keys_open_close_and_go_from_head_to_head(form):
    every = list(heads(form).values())
    every[0].setFocus()
    QTest.keyClick(every[0], Qt.Key.Key_Down)
    assert every[1].hasFocus()
    for key, opened in (
        (Qt.Key.Key_Right, True),
        (Qt.Key.Key_Right, True),
        (Qt.Key.Key_Left, False),
        (Qt.Key.Key_Space, True),
        (Qt.Key.Key_Return, False),
        (Qt.Key.Key_Enter, True),
    ):
        QTest.keyClick(every[1], key)
        assert form.drawers["window"].is_open is opened
    # What Tab leads to is inside, then the next head.
    QTest.keyClick(every[1], Qt.Key.Key_Tab)
    assert form.sections["window"].isAncestorOf(QApplication.focusWidget())
    every[1].setFocus()
    QTest.keyClick(every[1], Qt.Key.Key_Left)
    QTest.keyClick(every[1], Qt.Key.Key_Tab)
    assert every[2].hasFocus()
    QTest.keyClick(every[2], Qt.Key.Key_End)
    assert every[-1].hasFocus()
    QTest.keyClick(every[-1], Qt.Key.Key_Down)
    assert every[-1].hasFocus()
    QTest.keyClick(every[-1], Qt.Key.Key_Home)
    assert every[0].hasFocus()


def test_all_are_opened_and_closed_in_one(form):
    open_all_parts(form)
    assert form.all.text().startswith("Close all")
    QTest.mouseClick(form.all, LEFT)
    assert not any(drawer.is_open for drawer in form.drawers.values())
    form.drawers["crew"].open()
    QTest.mouseClick(form.all, LEFT)
    assert all(drawer.is_open for drawer in form.drawers.values())


def test_opened_at_the_least_width_of_the_panel_nothing_is_cut_at_the_side(dressed, form, document, qtbot):
    document.replace(read_plan(demo_missions_dir() / "canyon_video_breaks.lowline.geojson"), None)
    open_all_parts(form)
    qtbot.waitUntil(lambda: form.verticalScrollBar().maximum() > 1_000)
    scroll_bar_px, edge_px = 10, 2
    room_px = form.window().side_place.minimumWidth() - scroll_bar_px - edge_px
    assert form.widget().minimumSizeHint().width() <= room_px


def test_a_findings_cure_opens_its_part_and_brings_the_field_into_view(side, qtbot):
    form = side.plan
    finding = Finding(
        "cloud-too-near", Mark.STOP, Basis.LAW, "Cloud", "Too near.", "14 CFR 107.51(d)", "look again"
    )
    side.go_to("findings")
    side.go_to_cure(finding)
    cloud = form.sections["weather"].cloud.edit
    qtbot.waitUntil(cloud.hasFocus)
    assert form.drawers["weather"].is_open
    qtbot.waitUntil(lambda: not cloud.visibleRegion().isEmpty())
    assert address_of(cloud) == "plan/weather#cloud-base"
    assert address_of(heads(form)["weather"]) == "plan/weather"


def test_what_can_not_be_read_shows_on_the_closed_head(form):
    section, head = form.sections["sight"], heads(form)["sight"]
    form.drawers["sight"].open()
    type_into(section.visibility, "far")
    assert section.visibility.has_trouble
    form.drawers["sight"].open(opened=False)
    assert "can't be read" in head.accessibleName()
    form.drawers["sight"].open()
    type_into(section.visibility, "10 mi")
    form.drawers["sight"].open(opened=False)
    assert head.accessibleName() == "Sight: visibility 10 mi"


@pytest.mark.parametrize("appearance", ["light", "dark", "high-contrast"])
def test_the_head_that_the_keyboard_works_on_has_a_ring_around_what_it_says(form, qapp, appearance):
    palette.put_on(qapp, appearance)
    try:
        head = heads(form)["crew"]
        plain = head.grab().toImage()
        head.setFocus(Qt.FocusReason.TabFocusReason)
        QApplication.processEvents()
        ringed = head.grab().toImage()
        colour = palette.in_use().focus
        middle = head.height() // 2
        assert ringed.pixelColor(1, middle).name() == colour
        assert plain.pixelColor(1, middle).name() != colour
        inside = [ringed.pixelColor(x, middle).name() for x in range(6, head.width() - 6)]
        assert inside == [plain.pixelColor(x, middle).name() for x in range(6, head.width() - 6)]
    finally:
        palette.put_on(qapp, "light")


def test_summaries_say_what_is_not_there_and_use_the_units_preferred(qapp):
    empty = Plan()
    said = {key: summary(key, empty) for key in ("purpose", "window", "crew", "sheet", "land", "weather")}
    assert said == {
        "purpose": "not set",
        "window": "not set",
        "crew": "nobody",
        "sheet": "nothing said",
        "land": "not drawn",
        "weather": "nothing said",
    }
    # 5.144 m/s are 10 kt.
    weather = PlannedWeather(TypedWind(10 * 1852 / 3600, 240.0), cloud_base_m=762.0, metar="METAR X")
    full = small_plan(weather=weather, papers=Papers(marked=True, certificate="1"), purpose=Purpose.PART_107)
    full = attrs.evolve(full, area=attrs.evolve(full.area, top=AboveGround(60.96)))
    assert summary("weather", full) == "10 kt from 240° · METAR · cloud 2,500 ft"
    assert summary("area", full) == "top 200 ft above ground"
    assert summary("papers", full) == "2 said"
    assert summary("purpose", full) == "Part 107"
    assert summary("crew", full) == "remote pilot Ash (invented)"
    saying.choose(qapp, Units(height="m", speed="m/s"))
    try:
        assert summary("weather", full) == "5.1 m/s from 240° · METAR · cloud 762 m"
        assert summary("area", full) == "top 61 m above ground"
    finally:
        saying.choose(qapp, AS_IT_COMES)
