"""Small things that tell: hatches on a fine screen, names of steps, marks that go with their window."""

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest

from planner.desk.drawing_hand import DrawingHand
from planner.desk.profile.scale import Scale
from planner.desk.profile.strip import Interval, Pattern, Strip, Tone
from planner.desk.profile.strip_view import StripView
from planner.plan.model import Plan
from tests.desk.desk_rig import make_window


@pytest.mark.usefixtures("dressed")
@pytest.mark.parametrize("pattern", [Pattern.SLANTED, Pattern.UPRIGHT])
def test_hatches_are_as_wide_on_a_screen_of_twice_the_pixels(qtbot, pattern):
    """Our own rule (issue 8: 100 to 200 %): as many lines of a hatch, each twice as many pixels."""
    view = StripView()
    qtbot.addWidget(view)
    view.show_strips((Strip("others", (Interval(0.0, 100.0, "", "", pattern, Tone.UNKNOWN),)),))
    view.place(0.0, Scale(0.0, 100.0, 0.0, 1.0, 100.0, 50.0))
    view.resize(100, view.sizeHint().height())
    lines = []
    for ratio in (1, 2):
        image = QImage(100 * ratio, view.height() * ratio, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(ratio)
        view.render(image)
        row = [QColor(image.pixel(x, image.height() // 2)).lightness() for x in range(image.width())]
        lines.append(sum(1 for one, after in pairwise(row) if after < one))
    assert lines[0] >= 5
    assert lines[1] == pytest.approx(lines[0], abs=1)


def test_points_drawn_one_after_the_other_are_steps_with_names_of_their_own(qtbot, document):
    """Our own rule (issue 8: a named history)."""
    document.replace(Plan(), None)
    hand = DrawingHand(document, make_window(qtbot, document))
    for east in range(3):
        hand.click("path", -150.2 + east / 1000, 37.8)
    stack = document.undo_stack
    assert [stack.text(step) for step in range(stack.count())] == [
        "Add point 1",
        "Add point 2",
        "Add point 3",
    ]


def test_the_place_looked_at_leaves_the_map_with_the_window_that_tells_of_it(qtbot, document):
    """Our own rule (issue 8: nothing unexplained)."""
    window = make_window(qtbot, document)
    window.show()
    told = []
    window.doors.stands.place_chosen.connect(told.append)
    window.doors.stands.present()
    dialog = window.doors.stands.dialog
    qtbot.waitUntil(dialog.isVisible)
    told.clear()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: not dialog.isVisible())
    assert told == [None]
    window.doors.stands.close()
    assert told == [None]
