"""Appearance and size of text: worn at once, taken off on Cancel, kept for the next time."""

import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk import palette
from planner.desk.preferences import read_settings, write_settings
from planner.desk.style import dress, scaled, style_sheet, text_font
from planner.drawing.patterns import Pattern
from planner.settings import Settings
from tests.desk.desk_rig import make_document, make_window, settled, small_plan


@pytest.fixture
def dressed(qapp):
    """Dress the application as the program does; the tests after this find it undressed."""
    before = qapp.font(), qapp.palette()
    dress(qapp)
    yield qapp
    palette.put_on(qapp, "light")
    qapp.setStyleSheet("")
    qapp.setFont(before[0])
    qapp.setPalette(before[1])


@pytest.fixture
def window(qtbot, dressed):
    document = make_document()
    window = make_window(qtbot, document)
    window.bring_profile()
    document.replace(small_plan(), None)
    settled(qtbot, document)
    window.show()
    yield window
    document.close()


def asked(window):
    QTest.keyClick(window, Qt.Key.Key_Comma, Qt.KeyboardModifier.ControlModifier)
    return window.doors.preferences.dialog


def choose(box, words):
    box.setFocus()
    while not box.currentText().startswith(words):
        QTest.keyClick(box, Qt.Key.Key_Down)
        assert box.currentIndex() < box.count() - 1 or box.currentText().startswith(words)


def colour_at(widget):
    """Return the colour near a widget's upper right corner."""
    return widget.grab().toImage().pixelColor(widget.width() - 3, 3).name()


def test_another_appearance_is_worn_at_once_by_all_that_is_open(window, qapp):
    dialog = asked(window)
    assert colour_at(window.top_bar) == palette.LIGHT.paper
    choose(dialog.appearance.box, "Dark")
    assert palette.in_use() is palette.DARK
    assert qapp.palette().color(QPalette.ColorRole.WindowText).name() == palette.DARK.ink
    for widget in (window.top_bar, dialog, window.profile_view.panel.plot):
        assert colour_at(widget) == palette.DARK.paper
    lines = window.profile_view.panel.plot.lines
    assert [pen.color().name() for pen in lines.pens(Pattern.CLEAR)] == [palette.DARK.plan]
    icon = window.strip.buttons["path"].icon().pixmap(20, 20).toImage()
    inks = {
        icon.pixelColor(x, y).name()
        for x in range(icon.width())
        for y in range(icon.height())
        if icon.pixelColor(x, y).alpha() == 255
    }
    assert inks == {palette.DARK.ink}


def test_cancel_takes_it_off_again(window, qapp):
    told = []
    window.settings_changed.connect(told.append)
    dialog = asked(window)
    choose(dialog.appearance.box, "High")
    choose(dialog.text_size.box, "150")
    assert qapp.font().pointSizeF() == pytest.approx(1.5 * text_font().pointSizeF())
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert palette.in_use() is palette.LIGHT
    assert qapp.font().pointSizeF() == pytest.approx(text_font().pointSizeF())
    assert told == []
    assert window.settings == Settings()


def test_what_is_kept_is_told_with_all_other_settings(window, tmp_path):
    told = []
    window.settings_changed.connect(told.append)
    dialog = asked(window)
    choose(dialog.appearance.box, "Dark")
    choose(dialog.text_size.box, "120")
    window.menu_actions["flight_strips"].trigger()
    QTest.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert told[-1] == Settings(
        appearance="dark", text_percent=120.0, layer_switches={"flight-strips": False}
    )
    write_settings(tmp_path, told[-1])
    assert read_settings(tmp_path) == told[-1]


def test_larger_text_widens_what_holds_it(window):
    resized = []
    window.doors.preferences.resized.connect(lambda: resized.append(True))
    strip, side = window.strip.width(), window.side_place.minimumWidth()
    ticks = window.profile_view.panel.plot.plot_box().left()
    dialog = asked(window)
    choose(dialog.text_size.box, "150")
    assert window.strip.width() == pytest.approx(1.5 * strip, abs=1)
    assert window.side_place.minimumWidth() == pytest.approx(1.5 * side, abs=1)
    assert resized
    QApplication.processEvents()
    assert window.profile_view.panel.plot.plot_box().left() > 1.3 * ticks
    assert window.profile_view.panel.plot.view.font().pointSizeF() == pytest.approx(
        1.5 * text_font().pointSizeF()
    )
    assert scaled(100) == 150


def test_style_sheet_scales_words_and_ticks_and_no_edges():
    once, large = style_sheet(), style_sheet(palette.LIGHT, 150.0)
    sizes = [[float(size) for size in re.findall(r"([0-9.]+)pt", sheet)] for sheet in (once, large)]
    assert sizes[1] == pytest.approx([1.5 * size for size in sizes[0]])
    ticks = [re.search(r"::indicator { width: ([0-9]+)px", sheet).group(1) for sheet in (once, large)]
    assert ticks == ["12", "18"]
    edges = [re.findall(r"(?:border|padding)[a-z-]*: [0-9]px", sheet) for sheet in (once, large)]
    assert edges[0][:20] == edges[1][:20]


@pytest.mark.parametrize("appearance", list(palette.PALETTES))
def test_every_colour_of_the_style_sheet_is_of_the_appearance(appearance):
    colours = palette.PALETTES[appearance]
    named = set(re.findall(r"#[0-9a-f]{6}\b", style_sheet(colours)))
    assert named
    assert named <= set(colours.words().values())
