"""Enter presses what has the focus, not the window's default; a low profile still has a scale."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog, QLineEdit, QPushButton, QVBoxLayout

from planner.desk.profile.scale import ticks
from planner.desk.profile.view import height_step_ft
from planner.desk.quiet_button import keep_quiet


@pytest.fixture
def dialog(qtbot):
    made = QDialog()
    column = QVBoxLayout(made)
    made.field, made.quiet, made.close_it = QLineEdit(), QPushButton("Another…"), QPushButton("Close")
    for widget in (made.field, made.quiet, made.close_it):
        column.addWidget(widget)
    keep_quiet(made.quiet)
    made.close_it.setDefault(True)
    made.pressed = []
    made.quiet.clicked.connect(lambda: made.pressed.append("quiet"))
    made.close_it.clicked.connect(lambda: made.pressed.append("close"))
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space])
def test_enter_presses_the_button_that_has_the_focus(dialog, key):
    dialog.quiet.setFocus()
    QTest.keyClick(dialog.quiet, key)
    assert dialog.pressed == ["quiet"]


def test_enter_in_a_field_presses_the_default_only(dialog):
    dialog.field.setFocus()
    QTest.keyClick(dialog.field, Qt.Key.Key_Return)
    assert dialog.pressed == ["close"]


@given(st.floats(-1_000, 14_000), st.floats(20.0, 5_000.0), st.floats(70.0, 600.0))
def test_a_profile_of_any_height_writes_two_heights_or_more_where_they_fit(low_ft, span_ft, size_px):
    step_ft = height_step_ft(low_ft, low_ft + span_ft, size_px)
    written = len(list(ticks(low_ft, low_ft + span_ft, step_ft)))
    apart_px = step_ft / span_ft * size_px
    assert apart_px >= 14.0 or step_ft == pytest.approx(1.0)
    # A step is below 14 px times 2.5, so two of them fit into 70 px.
    assert written >= 2
    assert written <= math.floor(size_px / 14.0) + 2
