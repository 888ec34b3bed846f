"""A list that drops down shows all of a few choices, whole."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest


@pytest.mark.usefixtures("dressed")
def test_each_of_a_few_choices_stands_whole_in_the_list_and_no_arrow_over_it(side, qtbot):
    """Our own rule (issue 8: clear at the first look): nothing that there is room for is cut."""
    crew = side.plan.sections["crew"].add
    for box in (side.plan.sections["purpose"].purpose.box, crew):
        for _again in range(2):
            box.setFocus()
            QTest.mouseClick(box, Qt.MouseButton.LeftButton)
            qtbot.waitUntil(box.view().isVisible)
            seen = box.view().viewport().rect()
            rows = [box.view().visualRect(box.model().index(row, 0)) for row in range(box.count())]
            assert 3 <= box.count() <= box.maxVisibleItems()
            assert all(seen.top() <= row.top() and row.bottom() <= seen.bottom() for row in rows)
            assert box.view().window().height() < sum(row.height() for row in rows) + rows[0].height()
            box.hidePopup()
